"""Which bell schedule a day has, and what an outline becomes on a short one. All days are invented."""

from datetime import date, datetime

import pytest
from pydantic import ValidationError

from pacer.plan.day_shapes import (
    STARTING_SHAPES,
    DayShape,
    DayShapes,
    days_named,
    doubts_in,
    ends_at,
    on_a_day,
    too_long_s,
)
from pacer.plan.outline import Outline

WEDNESDAY = date(2026, 3, 11)
EARLY = DayShape(name="Early release", start="9:24", length_s=48 * 60, share_s=180, groups=2)


def test_an_exception_by_date_wins_over_the_week_and_the_week_over_the_first_shape() -> None:
    shapes = DayShapes(shapes=STARTING_SHAPES)
    assert shapes.on(WEDNESDAY) == STARTING_SHAPES[0]
    weekly = shapes.model_copy(update={"week": {2: "Early release"}})
    assert weekly.on(WEDNESDAY) == STARTING_SHAPES[1]
    assert weekly.on(date(2026, 3, 12)) == STARTING_SHAPES[0]
    for name, shape in (
        ("Assembly", STARTING_SHAPES[2]),
        ("", None),  # no block on that day
        ("Gone", None),  # a shape that was deleted
    ):
        assert weekly.model_copy(update={"days": {WEDNESDAY.isoformat(): name}}).on(WEDNESDAY) == shape


def test_without_shapes_no_day_has_one() -> None:
    assert DayShapes().on(WEDNESDAY) is None


def test_the_bell_of_an_early_release_day() -> None:
    assert ends_at(EARLY, WEDNESDAY) == datetime(2026, 3, 11, 10, 12)
    late = EARLY.model_copy(update={"start": "23:30"})
    assert ends_at(late, WEDNESDAY) == datetime(2026, 3, 12, 0, 18)


def test_a_short_day_offers_its_honest_mini_lesson(invented: Outline) -> None:
    """Own arithmetic: 48 less 3 share, 3:30 moves and 1 clean-up leave 40:30, a third of it is 13:30."""
    assert too_long_s(invented, EARLY) == 1500 - 810
    cut = on_a_day(invented, EARLY, recut=True)
    assert (cut.mini_lesson_s, cut.block, cut.phases) == (810, EARLY.block, invented.phases)
    assert on_a_day(invented, EARLY, recut=False).mini_lesson_s == 1500, "her choice: the groups pay"


def test_a_day_that_is_no_shorter_offers_nothing(invented: Outline) -> None:
    assert too_long_s(invented, STARTING_SHAPES[0]) == 0
    longer = STARTING_SHAPES[0].model_copy(update={"length_s": 90 * 60})
    assert too_long_s(invented, longer) == 0
    assert on_a_day(invented, longer, recut=True).mini_lesson_s == 1500, "never longer than planned"


@pytest.mark.parametrize(
    "wrong", [{"name": ""}, {"start": "24:00"}, {"start": "9.00"}, {"length_s": 10}, {"groups": 13}]
)
def test_a_shape_that_makes_no_sense_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(ValidationError):
        DayShape.model_validate({**EARLY.model_dump(), **wrong})


def test_shapes_survive_being_written_down() -> None:
    shapes = DayShapes(shapes=STARTING_SHAPES, week={2: "Early release"}, days={"2026-03-11": ""})
    assert DayShapes.model_validate_json(shapes.model_dump_json()) == shapes


@pytest.mark.parametrize(
    ("name", "entry", "is_named"),
    [
        ("A", "Picture day", False),
        ("A", "A day", True),
        ("B day", "Club day", False),
        ("Regular", "Irregular schedule", False),
        ("Early release", "Early-release, all grades", True),
        ("Early release", "No early release this week", False),
    ],
)
def test_a_shape_is_named_by_whole_words(name: str, entry: str, is_named: bool) -> None:
    shapes = DayShapes(shapes=(EARLY.model_copy(update={"name": name}),))
    found, strangers = days_named([(WEDNESDAY, entry)], shapes)
    assert found == ({WEDNESDAY: name} if is_named else {})
    assert bool(strangers) is not is_named


def test_a_calendar_gives_its_days_the_shapes_that_it_names() -> None:
    shapes = DayShapes(
        shapes=(*STARTING_SHAPES, EARLY.model_copy(update={"name": "Early release, assembly"}))
    )
    found, strangers = days_named(
        [
            (WEDNESDAY, "EARLY RELEASE (all grades)"),
            (date(2026, 3, 12), "Spring assembly"),
            (date(2026, 3, 13), "Early release, assembly"),
            (date(2026, 3, 13), "Assembly"),
            (date(2026, 3, 16), "No school"),
        ],
        shapes,
    )
    assert found == {
        WEDNESDAY: "Early release",
        date(2026, 3, 12): "Assembly",
        date(2026, 3, 13): "Early release, assembly",
    }
    assert strangers == ((date(2026, 3, 16), "No school"),)


def test_what_could_not_be_read_is_kept_where_it_may_be_a_day_of_ours() -> None:
    shapes = DayShapes(shapes=STARTING_SHAPES)
    monday, friday = date(2026, 3, 9), date(2026, 3, 13)
    unread = [("EARLY RELEASE!", monday, friday), ("Book fair", monday, friday), ("", monday, monday)]
    doubts = doubts_in(unread, shapes)
    assert [doubt.name for doubt in doubts] == ["EARLY RELEASE!", ""]
    kept = shapes.model_copy(update={"doubts": doubts, "days": {"2026-03-11": "Regular"}})
    assert DayShapes.model_validate_json(kept.model_dump_json()) == kept
    assert [len(kept.doubts_on(date(2026, 3, day))) for day in (8, 9, 10, 11, 13, 14)] == [0, 2, 1, 0, 1, 0]
