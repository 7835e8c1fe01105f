"""The date of the lesson about to run, and which of its outlines comes next."""

from datetime import date, datetime

import pytest

from pacer.editing.dates.lesson_day import LessonDay
from pacer.plan.dates.taught import TaughtLesson
from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes
from pacer.run.clock import ManualClock
from pacer.settings.planned_days import PlannedDaysStore
from pacer.settings.store import SettingsStore

CLOCK = ManualClock(1_773_046_800_123)
FRI, SUN, MON, TUE = date(2026, 3, 6), date(2026, 3, 8), date(2026, 3, 9), date(2026, 3, 10)
EARLY_MONDAY = DayShapes(shapes=STARTING_SHAPES, week={0: "Early release"})  # Monday's bell is at 9:48


class Bench:
    def __init__(self, folder, shapes: DayShapes) -> None:
        self.settings = SettingsStore(folder / "settings.json", CLOCK)
        self.settings.change(day_shapes=shapes)
        self.planned = PlannedDaysStore(folder / "planned-days.json", CLOCK)
        self.taught: list[tuple[date, str]] = []
        self.day = LessonDay(
            self.settings,
            self.planned,
            lambda day: [TaughtLesson(*one) for one in self.taught if one[0] == day],
            str.upper,
        )

    def plan(self, day: date, *names: str) -> None:
        self.planned.change(lambda days: days.with_day(day, names))

    def at(self, day: date, time: str) -> date:
        hour, minute = time.split(":")
        return self.day.at(datetime(day.year, day.month, day.day, int(hour), int(minute)))


@pytest.fixture
def bench(tmp_path):
    return Bench(tmp_path, EARLY_MONDAY)


def test_on_sunday_evening_it_is_monday(bench):
    assert bench.at(SUN, "20:30") == MON


def test_until_the_last_bell_it_is_today_and_then_the_next_school_day(bench):
    assert [bench.at(MON, "9:47"), bench.at(MON, "9:48")] == [MON, TUE]
    assert bench.at(FRI, "20:00") == MON


def test_with_another_lesson_planned_the_first_ones_bell_is_not_the_last(bench):
    bench.plan(MON, "a", "b")
    bench.taught = [(MON, "A")]
    assert [bench.at(MON, "9:48"), bench.at(MON, "15:59"), bench.at(MON, "16:00")] == [MON, MON, TUE]
    bench.taught += [(MON, "B")]
    assert bench.at(MON, "9:48") == TUE


def test_one_planned_lesson_that_was_not_taught_does_not_hold_the_day(bench):
    bench.plan(MON, "a")
    assert bench.at(MON, "9:48") == TUE


def test_without_day_shapes_the_day_lasts_until_school_is_over(tmp_path):
    bench = Bench(tmp_path, DayShapes())
    assert [bench.at(MON, "15:59"), bench.at(MON, "16:00")] == [MON, TUE]


def test_a_day_without_school_that_has_a_plan_or_a_chosen_shape_is_a_day(bench):
    bench.plan(SUN, "a")
    assert bench.at(SUN, "9:00") == SUN
    bench.plan(SUN)
    assert bench.at(SUN, "9:00") == MON
    bench.settings.change(day_choice=("2026-03-08", "Regular"))
    assert bench.at(SUN, "9:00") == SUN


def test_a_year_without_school_leaves_it_today(tmp_path):
    bench = Bench(tmp_path, DayShapes(week=dict.fromkeys(range(7), "")))
    assert bench.at(MON, "20:00") == MON


def test_the_next_one_not_yet_taught_comes_and_a_title_twice_is_two_lessons(bench):
    bench.plan(MON, "a", "b", "a")
    assert (bench.day.next_name(MON), bench.day.place(MON)) == ("a", (1, 3))
    bench.taught = [(MON, "A")]
    assert (bench.day.next_name(MON), bench.day.place(MON)) == ("b", (2, 3))
    bench.taught += [(MON, "B"), (TUE, "A")]
    assert (bench.day.next_name(MON), bench.day.place(MON)) == ("a", (3, 3))
    bench.taught += [(MON, "A")]
    assert (bench.day.next_name(MON), bench.day.place(MON)) == (None, (0, 0))


def test_after_a_rename_a_lesson_taught_today_is_not_to_come_again(bench):
    bench.plan(MON, "a", "b")
    bench.taught = [(MON, "Its earlier title", "a")]
    assert bench.day.next_name(MON) == "b"


def test_a_day_without_a_bell_of_its_own_lasts_until_the_schools_last_bell(tmp_path):
    bench = Bench(tmp_path, DayShapes())
    bench.settings.change(last_bell="14:45")
    assert [bench.at(MON, "14:44"), bench.at(MON, "14:45")] == [MON, TUE]
    bench.settings.change(last_bell="17:30")
    assert [bench.at(MON, "17:29"), bench.at(MON, "17:30")] == [MON, TUE]
