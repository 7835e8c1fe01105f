"""The unit at a glance: what was taught, moved, dropped, and what is to come."""

from datetime import date, timedelta

from pacer.frames.week.unit import subjects_of, unit_rows
from pacer.plan.dates.planned import DaySlot, PlannedDays
from pacer.plan.dates.taught import TaughtLesson

MON, TUE, WED, THU = (date(2026, 3, 9) + timedelta(days=number) for number in range(4))


def rows_of(planned: PlannedDays, taught, invented):
    def outline(name: str):
        return None if name == "gone" else invented.model_copy(update={"title": name.upper()})

    return unit_rows(planned, [TaughtLesson(*one) for one in taught], outline, WED)


def test_each_outline_says_what_became_of_it(invented):
    planned = PlannedDays()
    for day, name in ((MON, "a"), (MON, "b"), (TUE, "c"), (TUE, "d"), (THU, "e"), (THU, "gone")):
        planned = planned.assigned(day, name)
    planned = planned.moved(DaySlot(MON, 1), WED).taken_away(DaySlot(TUE, 1))
    rows = rows_of(planned, [(MON, "A"), (TUE, "X"), (date(2026, 3, 2), "B")], invented)
    assert [(row.title, row.became, row.taught, row.planned) for row in rows] == [
        ("A", "taught", "Mon 9 Mar", "Mon 9 Mar"),
        ("B", "to come, moved from Mon 9 Mar", "", "Wed 11 Mar"),
        ("C", "not taught", "", "Tue 10 Mar"),
        ("D", "dropped", "", ""),
        ("X", "taught without a plan", "Tue 10 Mar", ""),
        ("E", "to come", "", "Thu 12 Mar"),
        ("gone", "to come", "", "Thu 12 Mar"),
    ]
    assert subjects_of(rows) == ("mathematics",)


def test_one_that_came_back_to_its_day_was_not_moved(invented):
    planned = PlannedDays().assigned(WED, "a")
    planned = planned.moved(DaySlot(WED, 0), THU).moved(DaySlot(THU, 0), WED)
    (row,) = rows_of(planned, [], invented)
    assert row.became == "to come"


def test_one_that_was_taught_and_is_planned_again_says_both(invented):
    planned = PlannedDays().assigned(MON, "a").assigned(THU, "a")
    (row,) = rows_of(planned, [(MON, "A")], invented)
    assert row.became == "taught, and to come"


def test_without_a_plan_there_is_no_unit(invented):
    assert rows_of(PlannedDays(), [(MON, "A")], invented) == ()


def test_a_lesson_counts_for_its_own_file_whatever_it_was_called(invented):
    planned = PlannedDays().assigned(MON, "a").assigned(TUE, "b")
    a, b = rows_of(planned, [(MON, "B", "a"), (TUE, "Its earlier title", "b")], invented)
    assert [(row.title, row.taught) for row in (a, b)] == [("A", "Mon 9 Mar"), ("B", "Tue 10 Mar")]


def test_of_several_lessons_each_says_with_its_date_what_it_left(invented):
    planned = PlannedDays().assigned(MON, "a").assigned(TUE, "a").assigned(TUE, "b")
    lessons = [TaughtLesson(MON, "A", "a", 1), TaughtLesson(TUE, "A", "a", 2), TaughtLesson(TUE, "B", "b", 3)]
    left = {1: ("dropped: Share",), 3: ("dropped: Share", "not ticked: Line 1")}
    rows = unit_rows(planned, lessons, lambda _name: None, WED, left)
    assert [row.left for row in rows] == ["Mon 9 Mar:\ndropped: Share", "dropped: Share\nnot ticked: Line 1"]
