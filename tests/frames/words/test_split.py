"""What a split comes to, in plain words. Values of our own."""

import pytest

from pacer.frames.words.split import column_words, line_words, part_words, verdict, where_words
from pacer.plan.split.sheet import SheetPart, SplitSheet


@pytest.fixture
def sheet() -> SplitSheet:
    return SplitSheet(
        whole_group_s=600, table_s=300, tables=3,
        parts=(
            SheetPart(title="Fold", seconds=300, moved_to="whole group"),
            SheetPart(title="Mark", seconds=360, needs=(1,), moved_to="table"),
            SheetPart(title="Share", seconds=120, needs=(2,), moved_to="not taught"),
        ),
    )  # fmt: skip


def test_a_split_says_what_reaches_a_child_what_is_too_long_and_what_nobody_gets(
    sheet: SplitSheet,
) -> None:
    made = sheet.outcome()
    assert verdict(sheet, made) == (
        "77 % of the lesson reaches each child with you.",
        "The table is 1:00 too long for one visit.",
        "2 min no child gets: Share.",
        "Said once to all and not at 3 tables: 10 min of yours saved.",
        "The table parts cost 18 min at 3 tables; said once to all, 6 min.",
    )
    assert verdict(SplitSheet(), SplitSheet().outcome()) == (
        "Type or paste the lesson's parts, one a line: Mark thirds 10",
    )
    assert part_words(sheet, 1, "table").split("\n") == [
        "2  Mark", "6 min", "needs “Fold”", "said 3 times; once would save 12 min", "stays: put here by hand",
    ]  # fmt: skip
    assert line_words(sheet, 1, "table") == (
        "Mark: Table. Value 2: as much as most. It makes no sense without “Fold”. "
        "You put it there; Delete lets the split decide."
    )
    assert [column_words(where, sheet, made) for where in ("whole group", "table", "not taught")] == [
        "5 of 10 min", "6 of 5 min", "2 min",
    ]  # fmt: skip
    assert where_words("not taught") == "Not taught"


def test_a_part_without_what_it_needs_and_a_whole_group_that_is_too_long_are_told(sheet: SplitSheet) -> None:
    parts = (
        sheet.parts[0].model_copy(update={"moved_to": "not taught"}),
        sheet.parts[1].model_copy(update={"moved_to": "whole group", "seconds": 700}),
    )
    alone = sheet.model_copy(update={"parts": parts})
    said = verdict(alone, alone.outcome())
    assert "The whole group is 1:40 too long: move a part or take one out." in said
    assert "“Mark” is taught without what it needs." in said
