import pytest

from pacer.plan.taken.read_file import text_in
from pacer.plan.taken.taken import NotTakenError
from tests.plan.taken.file_factories import docx, paragraph, word_table, zipped

MACRO = {"word/vbaProject.bin": b"not opened", "word/media/image1.png": b"\x89PNG"}


def text(body: str) -> str:
    return text_in(docx(body), "lesson.docx").text


def test_paragraphs_are_lines_and_lists_keep_their_numbers_and_their_nesting():
    assert text(
        paragraph("Thirds on a number line")
        + paragraph("Warm-up 5 min", number=1)
        + paragraph("count by halves", number=1, level=1)
        + paragraph("clap", number=1, level=1)
        + paragraph("Review", number=1)
        + paragraph("strips", number=2)
    ) == (
        "Thirds on a number line\n1. Warm-up 5 min\n    a) count by halves\n    b) clap\n2. Review\n• strips"
    )


def test_a_table_is_rows_with_tabs_and_a_cell_of_several_paragraphs_is_one_cell():
    table = word_table([["Phase", "Minutes"], [paragraph("Model") + paragraph("two examples"), "7"]])
    assert text(paragraph("Plan") + table + paragraph("Bring strips")) == (
        "Plan\n\nPhase\tMinutes\nModel; two examples\t7\n\nBring strips"
    )


def test_a_frame_of_one_column_is_no_table():
    assert text(word_table([[paragraph("Warm-up 5") + paragraph("Review 3")]])) == "Warm-up 5\nReview 3"


def test_struck_out_text_is_marked_and_deleted_or_hidden_text_is_left_out():
    body = (
        paragraph("Warm-up 5", run="<w:strike/>")
        + paragraph("Review 3", run='<w:strike w:val="false"/>')
        + paragraph("for me", run="<w:vanish/>")
        + "<w:p><w:del><w:r><w:delText>Gone 9</w:delText></w:r></w:del>"
        + "<w:ins><w:r><w:t>Share 4</w:t></w:r></w:ins></w:p>"
    )
    assert text(body) == "~~Warm-up 5~~\nReview 3\n\nShare 4"


def test_what_stands_in_a_templates_fields_and_in_text_boxes_is_not_lost():
    body = (
        f"<w:sdt><w:sdtPr/><w:sdtContent>{paragraph('Warm-up 5')}</w:sdtContent></w:sdt>"
        "<w:p><w:sdt><w:sdtContent><w:r><w:t>Review 3</w:t></w:r></w:sdtContent></w:sdt>"
        f"<w:r><w:txbxContent>{paragraph('Share 4')}</w:txbxContent></w:r></w:p>"
    )
    assert text(body) == "Warm-up 5\nReview 3\nShare 4"


def test_macros_and_pictures_are_left_aside_and_that_is_said():
    taken = text_in(docx(paragraph("Warm-up 5"), MACRO), "lesson.docm")
    assert taken.text == "Warm-up 5"
    assert [words.split()[1] for words in taken.left_aside] == ["macros", "pictures"]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (docx(paragraph("Warm-up"))[:300], "broken or cut short"),
        (b"PK\x03\x04 and then nothing", "broken or cut short"),
        (zipped({"word/document.xml": "<w:document>"}), "broken or cut short"),
        (zipped({"letter.txt": "Warm-up"}), "packed file"),
        (docx(""), "no text in it"),
        (docx("<w:p>" * 400 + "</w:p>" * 400), "broken"),
        (docx(paragraph("a"), head='<!DOCTYPE a [<!ENTITY b "cc">]>'), "broken"),
        (docx(paragraph("x") * 5_000), "more than 2000 lines"),
        (docx("<a/>" * 300_000), "far larger than any lesson"),
    ],
    ids=["cut", "no archive", "no XML", "other", "empty", "deep", "own type", "long", "many tags"],
)  # fmt: skip
def test_a_document_that_is_broken_or_too_much_is_refused_in_a_plain_sentence(data, says):
    with pytest.raises(NotTakenError, match=says):
        text_in(data, "lesson.docx")
