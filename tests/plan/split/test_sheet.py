"""The split of the curriculum's lesson with a teacher's hand in it. The lesson is invented."""

from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.split.sheet import WHERES, SheetPart, SplitSheet
from pacer.plan.split.split import Where
from pacer.plan.split.text import read_parts

# An invented lesson of 60 minutes on fractions of a number line.
PARTS = (
    SheetPart(title="Fold a strip", seconds=300, value=2),
    SheetPart(title="Name the parts", seconds=480, value=3, tag="everyone"),
    SheetPart(title="Mark thirds", seconds=600, value=3, needs=(2,)),
    SheetPart(title="Partner check", seconds=300, value=2, needs=(3,)),
    SheetPart(title="Cut and compare", seconds=780, value=2, tag="materials"),
    SheetPart(title="Worksheet", seconds=600, value=1, tag="independent"),
    SheetPart(title="Beyond one whole", seconds=540, value=1, tag="extension"),
)
SHEET = SplitSheet(title="Thirds", parts=PARTS)


def moved(sheet: SplitSheet, places: dict[int, Where]) -> SplitSheet:
    """The sheet with parts put somewhere by hand, by their positions."""
    parts = enumerate(sheet.parts)
    put = tuple(part.model_copy(update={"moved_to": places.get(at, part.moved_to)}) for at, part in parts)
    return sheet.model_copy(update={"parts": put})


def test_every_part_has_one_fate_and_what_everyone_hears_is_said_to_all() -> None:
    made = SHEET.outcome()
    assert made.fates == (
        "whole group", "whole group", "whole group", "not taught", "table", "station", "extension",
    )  # fmt: skip
    assert (made.whole_s, made.table_s, made.tables_s, made.over_s) == (1380, 780, 2340, 0)
    assert (made.percent, made.lost_s, made.orphans) == (60, 300, ())


def test_twenty_five_minutes_for_all_and_thirteen_at_the_table_are_63_percent_of_sixty() -> None:
    """Own worked value: (25 + 13) of 60, and 22 minutes that no child gets."""
    parts = tuple(SheetPart(title=f"Part {n}", seconds=s * 60) for n, s in enumerate((25, 13, 22)))
    sheet = moved(SplitSheet(parts=parts), {0: "whole group", 1: "table", 2: "not taught"})
    made = sheet.outcome()
    assert (made.percent, made.lost_s) == (63, 22 * 60)


def test_a_part_that_was_moved_stays_and_the_others_are_split_anew_around_it() -> None:
    sheet = moved(SHEET, {0: "not taught"})
    assert sheet.outcome().fates[0] == "not taught"
    assert sheet.outcome().fates[3] == "whole group", "its five minutes went to the next best"


def test_what_was_moved_where_it_does_not_fit_is_told_as_too_long() -> None:
    made = moved(SHEET, {4: "whole group"}).outcome()
    assert made.fates[4] == "whole group"
    assert made.over_s >= 0
    crowded = moved(SHEET, dict.fromkeys((4, 2, 0), "whole group")).outcome()
    assert crowded.over_s == 480 + 600 + 300 + 780 - 1500


def test_a_part_taught_without_what_it_needs_is_named() -> None:
    made = moved(SHEET, {1: "not taught", 2: "whole group"}).outcome()
    assert made.orphans == (3,)
    at_table = moved(SHEET, {2: "table", 3: "whole group"}).outcome()
    assert at_table.orphans == (4,), "all hear it before they come to the table"


@given(
    st.lists(
        st.builds(
            SheetPart,
            title=st.just("P"),
            seconds=st.integers(1, 1200),
            value=st.integers(1, 3),
            tag=st.sampled_from([None, "everyone", "materials", "extension", "independent"]),
            needs=st.lists(st.integers(1, 8), max_size=2).map(tuple),
            moved_to=st.sampled_from([None, *WHERES]),
        ),
        max_size=9,
    ).map(tuple),
    st.integers(60, 3600),
    st.integers(0, 1800),
)
def test_minutes_add_up_whatever_was_moved(parts, whole_group_s, table_s) -> None:
    sheet = SplitSheet(parts=parts, whole_group_s=whole_group_s, table_s=table_s)
    made = sheet.outcome()
    by_fate = {
        where: sum(p.seconds for p, f in zip(parts, made.fates, strict=True) if f == where)
        for where in WHERES
    }
    assert sum(by_fate.values()) == sum(part.seconds for part in parts)
    assert (by_fate["whole group"], by_fate["table"], by_fate["not taught"]) == (
        made.whole_s, made.table_s, made.lost_s,
    )  # fmt: skip
    for part, fate in zip(parts, made.fates, strict=True):
        assert part.moved_to in (None, fate)
        if part.tag == "everyone" and part.moved_to is None:
            assert fate == "whole group", "never dropped silently"
    assert SplitSheet.model_validate_json(sheet.model_dump_json()) == sheet


def test_what_was_put_where_there_is_no_room_reaches_nobody():
    """By hand: 40 of 60 minutes for all in a room of 25, and 20 at a table of 13: (25 + 13) / 60 = 63 %."""
    parts = read_parts("Long 40 [everyone]\nTable game 20 -> table").parts
    sheet = SplitSheet(whole_group_s=1500, table_s=780, tables=3, parts=parts)
    assert sheet.outcome().percent == 63
