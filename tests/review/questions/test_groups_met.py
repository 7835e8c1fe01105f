"""Which groups were met on which day, against the raw events by hand; weeks, days off, what is owed."""

from pathlib import Path

import pandas as pd

from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.groups_met import MetCell, groups_met
from tests.frames.pictures.met_factories import lesson_day, timed, weeks_of
from tests.review import by_hand
from tests.review.questions.test_lost_minutes import lost_by_hand

DEMO = LessonChoice(modes=("demo",))
LIVE = LessonChoice()


def test_every_cell_of_the_term_is_what_the_raw_events_say(term: tuple[Day, ...], term_folder: Path) -> None:
    table = lost_by_hand(term_folder)
    timed_runs = set(by_hand.legs(term_folder)["run"])
    met = groups_met(term, DEMO)
    found = {
        (day.date, group): (cell.planned_s, cell.met_s, cell.timed)
        for week in met.weeks
        for day in week.days
        for group, cell in day.cells.items()
    }
    wanted = {
        (row.date, row.group): (row.planned_s, row.kept_s, row.run in timed_runs)
        for row in table.itertuples()
    }
    assert found == wanted
    assert (met.with_groups, met.timed) == (table["run"].nunique(), len(timed_runs & set(table["run"])))
    last = table.groupby("group")["owed_s"].last()
    assert {group.group: group.owed_s for group in met.groups} == dict(last)


def test_each_week_has_its_sums_and_what_is_owed_after_it(term: tuple[Day, ...], term_folder: Path) -> None:
    table = lost_by_hand(term_folder)
    monday = pd.to_datetime(table["date"]).dt.to_period("W-SUN").dt.start_time.dt.date.astype(str)
    sums = table.groupby([monday, table["group"]]).agg(
        planned=("planned_s", "sum"), kept=("kept_s", "sum"), owed=("owed_s", "last")
    )
    for first, own in sums.groupby(level=0):
        (week,) = groups_met(term, DEMO, first).weeks
        assert week.monday == first
        found = {group.group: (group.planned_s, group.kept_s, group.owed_s) for group in week.groups}
        assert found == {group: tuple(row) for (_monday, group), row in own.iterrows()}
        assert list(week.unmet) == [group for (_monday, group), row in own.iterrows() if not row["kept"]]


def test_a_missed_visit_a_day_off_a_day_without_groups_and_one_not_timed_are_four_things() -> None:
    days = [
        timed(lesson_day(0, 2), 780, 0),
        lesson_day(2, 2)._replace(group_late_s=240, mini_end_s=1740),
        lesson_day(3, 2)._replace(block=(4500, 120, 0, 90, 60, 300)),
    ]
    monday, tuesday, wednesday, thursday, friday = groups_met(days, LIVE).weeks[0].days
    assert monday.cells == {"Circle": MetCell(780, 780, True), "Triangle": MetCell(780, 0, True)}
    assert (monday.cells["Triangle"].missed, monday.cells["Circle"].missed) == (True, False)
    assert (tuesday.lessons, friday.lessons) == (0, 0)
    assert not any(cell.timed for cell in wednesday.cells.values())
    assert (thursday.lessons, thursday.cells) == (1, {})


def test_two_lessons_of_a_day_are_one_cell_and_a_saturday_is_a_day_when_there_is_a_lesson() -> None:
    first = timed(lesson_day(0, 2), 780, 0)
    second = timed(lesson_day(0, 2), 300, 400)._replace(run=9)
    saturday = timed(lesson_day(0, 2), 780, 780)._replace(run=10, date="2026-03-14")
    (week,) = groups_met([first, second, saturday], LIVE).weeks
    assert week.days[0].cells["Circle"] == MetCell(1560, 1080, True)
    assert [day.date[-2:] for day in week.days] == ["09", "10", "11", "12", "13", "14"]


def test_a_group_that_was_due_and_not_met_all_week_is_named_and_one_that_was_not_due_is_not() -> None:
    days = [timed(lesson_day(0, 3), 780, 0, 780), timed(lesson_day(1, 2), 780, 0)]
    assert groups_met(days, LIVE).weeks[0].unmet == ("Triangle",)


def test_several_weeks_run_from_the_first_lesson_to_the_last_and_weeks_off_are_left_out() -> None:
    days = [timed(lesson_day(number, 2), 780, 780) for number in (2, 4, 16)]
    met = groups_met(days, LIVE)
    assert [week.monday for week in met.weeks] == ["2026-03-09", "2026-03-30"]
    shown = met.last_days(5)
    assert (shown[0].date, shown[-1].date, len(shown)) == ("2026-03-11", "2026-03-31", 5)
    assert len(groups_met(weeks_of(200, 3), LIVE).last_days(5)) <= 25


def test_without_lessons_there_is_nothing_and_nothing_breaks() -> None:
    for monday in (None, "", "2026-03-09"):
        met = groups_met([], LIVE, monday)
        assert (met.groups, met.lessons) == ((), 0)
