import pytest

from pacer.plan.taken.read_file import text_in
from pacer.plan.taken.taken import NotTakenError


def text(body: str) -> str:
    return text_in(("{\\rtf1\\ansi\\ansicpg1252" + body + "}").encode("ascii"), "lesson.rtf").text


def test_lists_keep_their_numbers_and_tables_their_cells():
    assert (
        text(
            r"{\fonttbl{\f0 Plain;}}{\*\generator other;}Thirds\par"
            r"{\listtext\pard\plain 1.\tab}Warm-up 5\par{\listtext 2.\tab}Review 3\par"
            r"\trowd\intbl Phase\cell Min\cell\row\trowd\intbl Model\par twice\cell 7\cell\row\pard Share"
        )
        == "Thirds\n1. Warm-up 5\n2. Review 3\n\nPhase\tMin\nModel; twice\t7\n\nShare"
    )


def test_struck_out_text_is_marked_and_hidden_text_and_pictures_are_left_out():
    body = r"{\strike Old 4}\par{\v me}New{\pict 0a0b}\strike  x\strike0  y {\*\unknown zz}"
    assert text(body) == "~~Old 4~~\nNew ~~x~~ y"


def test_letters_of_other_alphabets_are_read_in_both_ways_of_writing_them():
    assert text(r"\u214\'d6ffnen \'e9 \u-10187?\u8211?") == "Öffnen é \ufffd–"


@pytest.mark.parametrize("begins", [r"\v", r"\*\aside"])
def test_half_of_a_sign_that_is_hidden_leaves_no_mark_in_what_is_seen(begins):
    assert text(r"Hook {" + begins + r" \u-10179?}5\par") == text(r"Hook 5\par")


def test_a_sign_beyond_the_first_plane_is_one_sign():
    told = text(r"Go \u-10180?\u-8314? 5\par\uc0\u55357\u56834 {\strike\u-10180\u-8314}")
    assert told == "Go 🎆 5\n😂~~🎆~~"
    assert text(r"a\u-8314?b\u-10180?c\u-10180?\par d") == "a\ufffdb\ufffdc\ufffd\nd"


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"{\\rtf1 " + b"{" * 1000, "broken"),
        (b"{\\rtf1 " + b"\\a" * 500_000, "more text than any lesson"),
        (b"{\\rtf1 {\\pict " + b"0a" * 7_000_000, "too much"),
        (b"{\\rtf1 " + b"Warm-up 5\\par " * 5_000, "more than 2000"),
        (b"{\\rtf1 {\\pict\\bin999999 ab", "no text"),
    ],
    ids=["deep", "words", "picture", "lines", "bin"],
)
def test_what_is_broken_or_too_much_is_refused_in_a_plain_sentence(data, says):
    with pytest.raises(NotTakenError, match=says):
        text_in(data, "lesson.rtf")
