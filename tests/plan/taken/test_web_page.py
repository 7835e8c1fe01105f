import pytest

from pacer.plan.taken.read_file import text_in
from pacer.plan.taken.taken import NotTakenError
from pacer.plan.taken.web_page import lines_of_html


def test_tables_lists_and_paragraphs_are_lines():
    assert lines_of_html(
        "<h1>Thirds</h1><p>Monday<br>Room 4</p><ol start=2><li>Warm-up 5<ul><li>clap</ul>"
        "<li><p>Review 3</p></ol>"
        "<table><tr><th>Phase<th>Min<tr><td rowspan=2>Model<td>7<tr><td>8</table><p>Share"
    ) == (
        "Thirds\nMonday\nRoom 4\n2. Warm-up 5\n    • clap\n3. Review 3\n\nPhase\tMin\nModel\t7\n\t8\n\nShare"
    )


def test_what_is_struck_out_is_marked_and_what_is_no_text_is_left_out():
    html = (
        "<style>p {}</style><script>run()</script><!-- no --><p><s>Old</s><del> 4</del> New&nbsp;5</p>"
        "<p style='text-decoration:line-through'>Gone 3</p><p style='display:none'>me</p><img src=http://a.invalid/b>"
    )
    assert lines_of_html(html) == "~~Old 4~~ New 5\n~~Gone 3~~"


def test_a_word_processors_list_on_the_clipboard_keeps_numbers_and_levels():
    html = (
        "<p class=L style='mso-list:l0 level1 lfo1'><span style='mso-list:Ignore'>1.<i>&nbsp;"
        "&nbsp; </i></span>Warm-up 5</p><p style='mso-list:l0 level2 lfo1'><span>a.&nbsp; </span>"
        "clap</p><p>Share 3</p>"
    )
    assert lines_of_html(html) == "1. Warm-up 5\n    a. clap\nShare 3"


def test_a_page_says_how_its_letters_are_written():
    page = "<html><head><meta charset='windows-1251'></head><body>Урок 5</body></html>"
    assert text_in(page.encode("cp1251"), "a.html").text == "Урок 5"


@pytest.mark.parametrize(
    ("html", "says"),
    [
        ("<b>" * 160_000, "far more in it"),
        ("<p>a</p>" * 5_000, "more than 2000"),
        ("a" * 7_000_000, "far more in it"),
    ],
    ids=["tags", "lines", "size"],
)
def test_what_is_too_much_is_refused_in_a_plain_sentence(html, says):
    with pytest.raises(NotTakenError, match=says):
        lines_of_html(html)


def test_what_is_nested_without_end_is_read_as_far_as_it_goes():
    assert lines_of_html("<div>" * 5_000 + "Warm-up 5") in ("Warm-up 5", "")


def test_a_tag_of_half_a_million_attributes_is_a_tag():
    many = " ".join(f"a{n}" for n in range(300_000))
    assert lines_of_html(f"<p {many}>Warm-up 5</p>") == "Warm-up 5"
