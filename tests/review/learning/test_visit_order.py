"""Who is owed most at the table goes first next time, by the name of the group."""

from collections.abc import Callable

import pytest

from pacer.plan.outline import Group, Outline
from pacer.review.day_book import work_out
from pacer.review.days import Day, DayVisit
from pacer.review.learning.visit_order import OwedFirst, owed_first, owed_now, visit_order, with_visit_order


@pytest.fixture
def lesson_day(new_lesson: Callable) -> Day:
    """A short lesson, to be given other visits."""
    return work_out(1, new_lesson().wait(60).do("groups").wait(60).do("end").journal.events, [])


def met(template: Day, had: dict[str, int], **changes: object) -> Day:
    """An invented day whose visits of 13:00 were timed."""
    visits = tuple(DayVisit(name, 780, seconds, 0 if seconds else None) for name, seconds in had.items())
    block = (75 * 60, 120, len(had), 90, 60, 300)
    return template._replace(
        visits=visits, groups=tuple(had), block=block, group_late_s=0, subject="", **changes
    )


def test_the_group_that_is_owed_most_goes_first_and_the_others_keep_their_order(
    lesson_day: Day, new_outline: Callable
) -> None:
    outline = new_outline({"budget": "25"})
    days = [met(lesson_day, {"Circle": 780, "Triangle": 700, "Hexagon": 390}, run=1)]
    assert owed_now(days, outline) == {"Circle": 0, "Triangle": 80, "Hexagon": 390}
    assert visit_order(days, outline) == ("Hexagon", "Triangle", "Circle")
    assert owed_first(days, outline) == OwedFirst("Hexagon", 390)
    taught = with_visit_order(days, outline)
    assert [taught.visitors[n].name for n in taught.visit_order] == ["Hexagon", "Triangle", "Circle"]


def test_an_order_that_was_worked_out_before_does_not_stand_in_the_way(
    lesson_day: Day, new_outline: Callable
) -> None:
    outline = new_outline({"budget": "25"})
    assert outline.visit_order == (0, 1, 2)
    taught = with_visit_order([met(lesson_day, {"Circle": 0, "Triangle": 0, "Hexagon": 780})], outline)
    assert taught.visit_order == (0, 1, 2), "both are owed as much, so they go as they always go"
    taught = with_visit_order([met(lesson_day, {"Circle": 780, "Triangle": 780, "Hexagon": 0})], outline)
    assert taught.visit_order == (2, 0, 1)
    assert Outline.model_validate_json(taught.model_dump_json()).visit_order == (2, 0, 1), "as it is replayed"


def test_time_met_beyond_the_plan_pays_back_but_is_never_lent(lesson_day: Day, new_outline: Callable) -> None:
    """By hand: Hexagon is owed 6:30, then has 2:00 more than planned; Circle is never owed less than 0."""
    days = [
        met(lesson_day, {"Circle": 900, "Triangle": 780, "Hexagon": 390}, run=1),
        met(lesson_day, {"Circle": 780, "Triangle": 780, "Hexagon": 900}, run=2),
    ]
    assert owed_now(days, new_outline({"budget": "25"})) == {"Circle": 0, "Triangle": 0, "Hexagon": 270}


def test_an_order_that_the_outline_writes_stands(lesson_day: Day, new_outline: Callable) -> None:
    outline = new_outline({"budget": "25"})
    written = outline.model_copy(update={"block": outline.block.model_copy(update={"order": ("Triangle",)})})
    days = [met(lesson_day, {"Circle": 780, "Triangle": 780, "Hexagon": 0})]
    assert visit_order(days, written) == ()
    assert with_visit_order(days, written) is written
    assert owed_first(days, written) is None


def test_where_no_group_is_owed_more_than_another_nothing_is_said(
    lesson_day: Day, new_outline: Callable
) -> None:
    outline = new_outline({"budget": "25"})
    assert owed_first([], outline) is None
    assert with_visit_order([], outline) is outline
    equal = [met(lesson_day, {"Circle": 700, "Triangle": 700, "Hexagon": 700})]
    assert owed_first(equal, outline) is None


def test_groups_typed_as_phases_have_no_order(lesson_day: Day, new_outline: Callable) -> None:
    typed = new_outline({"budget": "25"}, {"kind": "group", "budget": "40"})
    assert visit_order([met(lesson_day, {"Circle": 780, "Triangle": 780, "Hexagon": 0})], typed) == ()


def test_groups_of_another_subject_are_other_children(lesson_day: Day, new_outline: Callable) -> None:
    reading = met(lesson_day, {"Circle": 780, "Triangle": 780, "Hexagon": 0})._replace(subject="reading")
    assert owed_first([reading], new_outline({"budget": "25"})) is None


def test_what_is_owed_goes_by_the_name_of_the_group(lesson_day: Day, new_outline: Callable) -> None:
    outline = new_outline({"budget": "25"})
    renamed = outline.model_copy(update={"groups": (Group(name="Hexagon"), Group(name="Oval"))})
    days = [met(lesson_day, {"Circle": 0, "Triangle": 780, "Hexagon": 390})]
    assert owed_now(days, renamed) == {"Hexagon": 390, "Oval": 0, "Circle": 780}
