"""What goes along with an outline's file: planned days and accepted budgets."""

from datetime import date

from pacer.editing.library.followers import AcceptedFollower, PlannedFollower
from pacer.log.day_records import DayRecords
from pacer.plan.dates.taught import TaughtLesson
from pacer.run.clock import ManualClock
from pacer.settings.planned_days import PlannedDaysStore

MONDAY = date(2026, 3, 9)


def test_planned_days_follow_a_name_and_are_put_back(tmp_path):
    days = PlannedDaysStore(tmp_path / "planned-days.json", ManualClock(1_000_000_000_000))
    days.change(lambda now: now.with_day(MONDAY, ("thirds.toml", "other.toml")))
    follower = PlannedFollower(days)
    follower.renamed("thirds.toml", "fourths.toml")
    assert days.of(MONDAY) == ("fourths.toml", "other.toml")
    restore = follower.removed("fourths.toml")
    assert days.of(MONDAY) == ("other.toml",)
    restore("fourths-2.toml")
    assert days.of(MONDAY) == ("fourths-2.toml", "other.toml")


def test_lessons_that_were_taught_follow_a_name_and_are_put_back(tmp_path):
    days = PlannedDaysStore(tmp_path / "planned-days.json", ManualClock(1_000_000_000_000))
    days.was_taught([1, 2], "thirds.toml")
    follower = PlannedFollower(days)
    follower.renamed("thirds.toml", "fourths.toml")
    assert [days.taught_name(start) for start in (1, 2, 3)] == ["fourths.toml", "fourths.toml", None]
    restore = follower.removed("fourths.toml")
    assert days.taught_name(1) is None
    restore("fourths-2.toml")
    assert days.taught_name(1) == "fourths-2.toml"


def test_before_a_title_goes_lessons_known_by_it_alone_are_noted_unless_two_bear_it(tmp_path):
    days = PlannedDaysStore(tmp_path / "planned-days.json", ManualClock(1_000_000_000_000))
    lessons = [
        TaughtLesson(MONDAY, "Thirds", started_utc_ms=1),
        TaughtLesson(MONDAY, "Thirds", "other.toml", started_utc_ms=2),
        TaughtLesson(MONDAY, "Halves", started_utc_ms=3),
    ]
    follower = PlannedFollower(days, lambda: lessons)
    follower.retitling("thirds.toml", "Thirds", is_only=False)
    assert days.now.taught == {}
    follower.retitling("thirds.toml", "Thirds", is_only=True)
    assert days.now.taught == {1: "thirds.toml"}


def test_accepted_budgets_follow_a_name(tmp_path):
    with DayRecords.open(tmp_path) as records:
        for target in ("thirds.toml", "other.toml"):
            records.accepted().add(
                utc_ms=1, target=target, phase="go", kind="review", old_s=60, new_s=90, lessons=8, cut_off=0
            )
        follower = AcceptedFollower(lambda: records)
        follower.renamed("thirds.toml", "fourths.toml")
        follower.removed("other.toml")("other.toml")
        assert [one.target for one in records.accepted().all()] == ["fourths.toml", "other.toml"]


def test_without_day_records_nothing_follows():
    AcceptedFollower(lambda: None).renamed("a.toml", "b.toml")
