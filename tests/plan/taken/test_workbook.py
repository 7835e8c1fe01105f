from datetime import datetime, time, timedelta

import pytest

from pacer.plan.taken.read_file import text_in
from pacer.plan.taken.taken import NotTakenError
from tests.plan.taken.file_factories import raw_workbook, workbook

ROW = '<row r="{n}"><c r="A{n}" t="inlineStr"><is><t>Warm-up</t></is></c><c r="B{n}"><v>5</v></c></row>'


def test_each_sheet_is_a_part_of_rows_and_empty_columns_are_none():
    taken = text_in(
        workbook({
            "Monday": [["Phase", None, "Min"], ["Warm-up", None, 5], [], ["Review", None, 2.5]],
            "Notes": [["strips"]],
            "Empty": [],
        }),
        "plan.xlsx",
    )  # fmt: skip
    assert [(part.name, part.text) for part in taken.parts] == [
        ("Monday", "Phase\tMin\nWarm-up\t5\nReview\t2.5"), ("Notes", "strips"),
    ]  # fmt: skip


def test_times_are_written_as_a_sheet_shows_them():
    rows = [["Start", "Length", "Day"], [time(9, 5), timedelta(minutes=7), datetime(2026, 11, 30)]]
    text = text_in(workbook({"Plan": rows}), "plan.xlsx").text
    assert text == "Start\tLength\tDay\n9:05\t0:07:00\t2026-11-30"


def test_a_struck_out_cell_is_marked():
    import io

    import openpyxl
    from openpyxl.styles import Font

    book = openpyxl.Workbook()
    book.active.append(["Warm-up", 5])
    book.active["A1"].font = Font(strike=True)
    held = io.BytesIO()
    book.save(held)
    assert text_in(held.getvalue(), "plan.xlsx").text == "~~Warm-up~~\t5"


def test_a_hundred_thousand_rows_are_no_lesson():
    with pytest.raises(NotTakenError, match="more than 2000 lines or rows"):
        text_in(raw_workbook("".join(ROW.format(n=n) for n in range(1, 100_001))), "plan.xlsx")


@pytest.mark.parametrize(
    ("sheet", "says"),
    [
        ("".join(ROW.format(n=n) for n in range(1, 2_100)), "more than 2000"),
        ('<row r="1">' + "<c><v>1</v></c>" * 90_000 + "</row>", "more than 40000 cells"),
        ("<row", "broken"),
    ],
    ids=["rows", "cells", "cut"],
)
def test_a_sheet_that_is_broken_or_too_much_is_refused_in_a_plain_sentence(sheet, says):
    with pytest.raises(NotTakenError, match=says):
        text_in(raw_workbook(sheet), "plan.xlsx")
