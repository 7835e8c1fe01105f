"""Outlines on dates: assigned, taken away, moved, copied from last week, shifted by a day."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from pacer.plan.dates.planned import MOST_A_DAY, MOST_MOVES, DaySlot, PlannedDays
from pacer.plan.dates.school_days import has_school, next_school_day
from pacer.plan.day_shapes import DayShapes

MON, TUE, WED, THU, FRI = (date(2026, 3, 9) + timedelta(days=number) for number in range(5))
NEXT_MON = date(2026, 3, 16)
NO_SHAPES = DayShapes()


def after(day: date) -> date | None:
    return next_school_day(NO_SHAPES, day)


def planned(**days: str) -> PlannedDays:
    """Days by their first letters: ``mon="a b"``."""
    by_name = {"mon": MON, "tue": TUE, "wed": WED, "thu": THU, "fri": FRI, "next_mon": NEXT_MON}
    value = PlannedDays()
    for name, outlines in days.items():
        for each in outlines.split():
            value = value.assigned(by_name[name], f"{each}.toml")
    return value


def on(value: PlannedDays, day: date) -> str:
    return " ".join(name.removesuffix(".toml") for name in value.of(day))


def test_two_lessons_of_a_day_keep_their_order():
    value = planned(mon="a b").assigned(MON, "c.toml", 1)
    assert on(value, MON) == "a c b"
    assert on(value, TUE) == ""


def test_one_is_taken_away_and_the_other_stays():
    value = planned(mon="a b")
    assert on(value.taken_away(DaySlot(MON, 0)), MON) == "b"
    assert value.taken_away(DaySlot(MON, 5)) == value == value.taken_away(DaySlot(TUE, 0))


def test_one_is_moved_to_another_day_or_elsewhere_in_its_own():
    value = planned(mon="a b", tue="c")
    moved = value.moved(DaySlot(MON, 0), TUE)
    assert (on(moved, MON), on(moved, TUE)) == ("b", "c a")
    assert on(value.moved(DaySlot(MON, 1), MON, 0), MON) == "b a"
    assert on(value.moved(DaySlot(MON, 1), TUE, 0), TUE) == "b c"


def test_what_was_moved_and_taken_away_is_known_and_an_order_is_no_move():
    value = (
        planned(mon="a b")
        .moved(DaySlot(MON, 0), MON, 1)
        .moved(DaySlot(MON, 1), TUE)
        .taken_away(DaySlot(MON, 0))
    )
    assert [(move.name, move.day, move.to) for move in value.moves] == [
        ("a.toml", "2026-03-09", "2026-03-10"),
        ("b.toml", "2026-03-09", ""),
    ]


def test_last_week_is_copied_where_nothing_stands_and_where_there_is_school():
    value = planned(mon="a b", tue="c", wed="d").assigned(NEXT_MON + timedelta(days=1), "mine.toml")
    shapes = DayShapes(days={"2026-03-18": ""})
    copied = value.week_copied(NEXT_MON, lambda day: has_school(shapes, day))
    assert [on(copied, NEXT_MON + timedelta(days=number)) for number in range(4)] == ["a b", "mine", "", ""]


def test_a_snow_day_moves_everything_from_then_on_to_the_next_day_with_school():
    shifted = planned(mon="a", wed="b c", fri="d", next_mon="e").shifted(WED, after)
    days = [on(shifted, day) for day in (MON, TUE, WED, THU, FRI, NEXT_MON, NEXT_MON + timedelta(days=1))]
    assert days == ["a", "", "", "b c", "", "d", "e"]


def test_days_without_school_are_skipped_by_the_shift():
    shapes = DayShapes(days={"2026-03-12": ""})
    shifted = planned(wed="a").shifted(WED, lambda day: next_school_day(shapes, day))
    assert on(shifted, FRI) == "a"


def test_nothing_is_shifted_where_a_year_has_no_school():
    value = planned(wed="a")
    assert value.shifted(WED, lambda _day: None) == value


def test_a_full_date_takes_no_more_and_nothing_is_lost():
    value = planned(mon="a b c d e f g h", tue="x")
    assert len(value.of(MON)) == MOST_A_DAY
    assert value.assigned(MON, "i.toml") == value
    assert value.moved(DaySlot(TUE, 0), MON) == value


def test_a_new_name_holds_on_every_date():
    value = planned(mon="a b", fri="a").moved(DaySlot(MON, 0), TUE).renamed("a.toml", "z.toml")
    assert [on(value, day) for day in (MON, TUE, FRI)] == ["b", "z", "z"]
    assert value.moves[0].name == "z.toml"


def test_an_outline_that_is_gone_goes_from_every_date_and_comes_back_to_its_places():
    value = planned(mon="a b", tue="a", wed="c")
    gone = value.without("a.toml")
    assert [on(gone, day) for day in (MON, TUE, WED)] == ["b", "", "c"]
    assert gone.put_back("a.toml", value.places("a.toml")) == value


def test_the_moves_that_are_kept_are_the_newest():
    value = PlannedDays()
    for number in range(MOST_MOVES + 2):
        value = value.assigned(MON, f"{number}.toml").taken_away(DaySlot(MON, 0))
    assert len(value.moves) == MOST_MOVES
    assert value.moves[-1].name == f"{MOST_MOVES + 1}.toml"


@pytest.mark.parametrize("name", ["", "..", "a/b.toml", "template/", "template/../x", "a\\b", "a\x00", "a\n"])
def test_a_name_that_leads_elsewhere_is_none(name):
    with pytest.raises(ValidationError):
        PlannedDays.model_validate({"days": {"2026-03-09": [name]}})


NAMES = st.sampled_from(["a.toml", "b.toml", "c.toml"])
DAYS = st.dates(MON, MON + timedelta(days=20))


@given(st.lists(st.tuples(DAYS, NAMES), max_size=12), DAYS)
def test_a_shift_loses_no_outline_and_puts_none_on_a_day_without_school(entries, first):
    value = PlannedDays()
    for day, name in entries:
        value = value.assigned(day, name)
    shifted = value.shifted(first, after)
    assert sorted(sum(shifted.days.values(), ())) == sorted(sum(value.days.values(), ()))
    assert all(
        has_school(NO_SHAPES, date.fromisoformat(key)) for key in shifted.days if key > first.isoformat()
    )
    assert PlannedDays.model_validate_json(shifted.model_dump_json()) == shifted
