"""What Today stands on: the date, and the outline planned for it, followed once each time."""

from datetime import date, datetime

import pytest

from pacer.editing.dates.followed_plan import FollowedPlan
from pacer.editing.dates.lesson_day import LessonDay
from pacer.plan.dates.taught import TaughtLesson
from pacer.plan.day_shapes import STARTING_SHAPES
from pacer.run.clock import ManualClock
from pacer.settings.planned_days import PlannedDaysStore
from pacer.settings.store import SettingsStore

CLOCK = ManualClock(1_773_046_800_123)
MON, TUE = date(2026, 3, 9), date(2026, 3, 10)


def at(day: date, hour: int, minute: int = 0) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute)


class Bench:
    def __init__(self, folder) -> None:
        self.folder = folder
        self.settings = SettingsStore(folder / "settings.json", CLOCK)
        self.planned = PlannedDaysStore(folder / "planned-days.json", CLOCK)
        self.taught: list[TaughtLesson] = []
        day = LessonDay(self.settings, self.planned, lambda _day: self.taught, str.upper)
        self.followed = FollowedPlan(self.settings, day, folder, at(MON, 7))

    def plan(self, day: date, *names: str) -> None:
        self.planned.change(lambda days: days.with_day(day, names))


@pytest.fixture
def bench(tmp_path):
    return Bench(tmp_path)


def test_what_is_planned_is_told_once_and_again_when_another_one_comes_next(bench):
    bench.plan(MON, "a.toml", "b.toml")
    follow = bench.followed.follow
    assert [follow(at(MON, 7), None), follow(at(MON, 8), None)] == [bench.folder / "a.toml", None]
    assert (bench.followed.is_planned, bench.followed.place) == (True, (1, 2))
    bench.taught.append(TaughtLesson(MON, "A.TOML"))
    assert follow(at(MON, 10), None) == bench.folder / "b.toml"
    assert bench.followed.place == (2, 2)


def test_where_nothing_is_planned_nothing_is_followed(bench):
    assert bench.followed.follow(at(MON, 7), None) is None
    assert (bench.followed.is_planned, bench.followed.place) == (False, (0, 0))


def test_after_the_bell_of_the_chosen_outline_it_is_the_next_school_day(bench, invented):
    bench.settings.change(block_start="9:00")
    bench.followed.follow(at(MON, 9), invented)
    assert bench.followed.day == MON
    bench.followed.follow(at(MON, 17), invented)
    assert bench.followed.day == TUE
    assert bench.followed.block(invented, None, at(MON, 17)).start == at(TUE, 9)


def test_a_lesson_starts_with_its_block_or_the_days_shape_unless_it_counts_from_the_press(bench, invented):
    bench.settings.change(block_start="9:00")
    shape, now = STARTING_SHAPES[0], at(MON, 9, 4)
    assert bench.followed.start(invented, None, now) == at(MON, 9)
    hour, minute = (int(part) for part in shape.start.split(":"))
    soon = at(MON, hour, minute)
    assert bench.followed.start(invented, shape, soon.replace(second=9)) == soon
    assert bench.followed.start(invented, None, at(MON, 7)) == at(MON, 7)
    bench.settings.change(start_when_pressed=True)
    assert bench.followed.start(invented, None, now) == now
