import pytest

from pacer.plan.taken.read_file import text_in
from pacer.plan.taken.taken import NotTakenError
from tests.plan.taken.file_factories import odf

STYLES = (
    '<style:style style:name="T1"><style:text-properties style:text-line-through-style="solid"/>'
    "</style:style>"
    '<text:list-style text:name="L1"><text:list-level-style-number text:level="1"/>'
    '<text:list-level-style-bullet text:level="2"/></text:list-style>'
)


def test_a_text_has_its_lists_with_numbers_its_tables_and_what_is_struck_out():
    body = (
        "<office:text><text:h>Thirds</text:h>"
        '<text:list text:style-name="L1"><text:list-item><text:p>Warm-up<text:tab/>5</text:p>'
        "<text:list><text:list-item><text:p>clap</text:p></text:list-item></text:list></text:list-item>"
        "<text:list-item><text:p>Review 3</text:p></text:list-item></text:list>"
        '<text:p><text:span text:style-name="T1">Old 4</text:span><text:s text:c="2"/>new</text:p>'
        '<table:table><table:table-row><table:table-cell table:number-columns-repeated="2"><text:p>a</text:p>'
        "</table:table-cell></table:table-row></table:table></office:text>"
    )
    text = text_in(odf(body, STYLES), "lesson.odt").text
    assert text == "Thirds\n1. Warm-up\t5\n    • clap\n2. Review 3\n~~Old 4~~  new\n\na\ta"


def test_a_spreadsheet_has_a_part_for_each_sheet_and_its_empty_end_is_left_out():
    row = "<table:table-row><table:table-cell><text:p>{}</text:p></table:table-cell>{}</table:table-row>"
    five = "<table:table-cell><text:p>5</text:p></table:table-cell>"
    empty = '<table:table-row table:number-rows-repeated="1048575"><table:table-cell'
    empty += ' table:number-columns-repeated="16384"/></table:table-row>'
    sheets = "".join(
        f'<table:table table:name="{name}">{row.format("Warm-up", five)}{empty}</table:table>'
        for name in ("Mon", "Tue")
    )
    taken = text_in(odf(f"<office:spreadsheet>{sheets}</office:spreadsheet>"), "plan.ods")
    assert [(part.name, part.text) for part in taken.parts] == [("Mon", "Warm-up\t5"), ("Tue", "Warm-up\t5")]


def test_a_million_repeated_rows_are_refused_and_not_made():
    row = '<table:table-row table:number-rows-repeated="1048576"><table:table-cell><text:p>a</text:p>'
    row += "</table:table-cell><table:table-cell><text:p>5</text:p></table:table-cell></table:table-row>"
    with pytest.raises(NotTakenError, match="more than 2000"):
        text_in(
            odf(f"<office:spreadsheet><table:table>{row * 3}</table:table></office:spreadsheet>"), "a.ods"
        )


def test_a_locked_file_says_that_there_is_a_password():
    manifest = {"META-INF/manifest.xml": "<manifest:encryption-data/>"}
    with pytest.raises(NotTakenError, match="locked with a password"):
        text_in(odf("<office:text/>", more=manifest), "lesson.odt")
