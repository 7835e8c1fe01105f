"""Past endings from day records and imported tables, in order of time."""

import sqlite3
from collections.abc import Callable
from contextlib import closing

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.log.day_records import DayRecords
from pacer.log.imported import ImportedEnding
from pacer.pace.cut import cut
from pacer.pace.forecasts.past import PastEnding
from pacer.pace.move_by import move_by
from pacer.pace.stages import shown_stage
from pacer.review.learning.past_endings import endings_of, history, imported_lessons
from pacer.run.clock import ManualClock
from pacer.run.events import Mode
from pacer.run.session import Session

NINE_UTC_MS = 1_773_046_800_000  # 9 March 2026, 9:00 UTC
DAY_MS = 86_400_000


def ended(lesson) -> dict[str, PastEnding]:
    return {past.phase: past for past in endings_of(7, lesson.session.events)}


def test_each_phase_has_its_written_budget_its_phase_clock_seconds_and_its_ending(new_lesson):
    lesson = new_lesson(late_s=90).wait(130).do("next", "done").wait(200).do("pause").wait(60).do("go-on")
    lesson.wait(10.4).do("next", "moved-on").wait(100).do("end", "interrupted")
    found = ended(lesson)
    assert list(found) == [phase.id for phase in lesson.state.plan.phases]
    whose = ("Thirds on a number line", "mathematics")
    skip = PastEnding(7, "2026-03-09", "skip", "warm-up", 120, 130, "done", None, 90.0, *whose)
    assert found["skip"] == skip
    assert (found["review"].actual_s, found["review"].ending) == (210, "moved on")
    assert (found["model"].actual_s, found["model"].ending) == (100, "interrupted")
    assert {(found[one].actual_s, found[one].ending) for one in ("practice", "look-back")} == {(0, "skipped")}


def test_time_added_by_hand_leaves_the_written_budget(new_lesson):
    assert ended(new_lesson().do("add", "2:00").wait(200).do("next", "done"))["skip"].planned_s == 120


def test_a_phase_that_was_entered_again_counts_its_whole_time_and_its_last_ending(new_lesson):
    lesson = new_lesson().wait(60).do("next").wait(30).do("back").wait(45).do("next", "done")
    assert (ended(lesson)["skip"].actual_s, ended(lesson)["skip"].ending) == (105, "done")


def test_a_lesson_that_never_ended_tells_of_the_phases_that_did(new_lesson):
    assert list(ended(new_lesson().wait(60).do("next", "done").wait(500))) == ["skip"]


def test_an_undone_ending_counts_as_never_made(new_lesson):
    lesson = new_lesson().wait(60).do("next", "done").do("undo").wait(60).do("next", "moved-on")
    assert (ended(lesson)["skip"].actual_s, ended(lesson)["skip"].ending) == (120, "moved on")


def test_a_gap_that_was_taken_back_is_no_time_of_its_phase(new_lesson):
    """Sleep of 100 s is marked as a gap of 99: a second of it would have passed between two looks anyway."""
    lesson = new_lesson().wait(60)
    lesson.clock.advance(100_000)
    lesson.session.tick()
    assert ended(lesson.do("undo").wait(20).do("next"))["skip"].actual_s == 60 + 1 + 20


def test_the_stage_is_told_at_an_unsaid_ending_only_and_makes_the_guess(new_lesson):
    """At 1:00 of 2:00 the Desk is steady; at 9:12 the hard time of review has passed."""
    lesson = new_lesson().wait(60).do("next").until("9:12").do("next").wait(10).do("next", "done")
    found = ended(lesson)
    assert [found[one].stage for one in ("skip", "review", "model")] == ["steady", "move_on", None]
    assert found["skip"].is_complete("takes")
    assert not found["review"].is_complete("takes")
    assert found["review"].is_complete("gives")


def test_under_a_pause_the_stage_is_the_one_that_the_pause_covers(new_lesson):
    lesson = new_lesson().until("9:14").do("pause").wait(5).do("next")
    assert ended(lesson)["skip"].stage == "move_on"


PRESS = st.sampled_from(["next", "next", "back", "add", "take", "undo", "voice", "keep", "uncut", "example"])


@given(st.lists(st.tuples(st.integers(0, 400), PRESS), max_size=15), st.integers(-60, 400))
def test_the_stage_at_an_unsaid_ending_is_the_one_that_the_desk_showed(
    new_lesson: Callable, day: list, late: int
):
    """Source: the live session, asked just before each press. Undone endings are forgotten with it."""
    lesson = new_lesson(late_s=late)
    shown: dict[int, str] = {}  # by the place of the visit that ended; after an undo it ends anew
    for seconds, press in day:
        lesson.wait(seconds)
        before = lesson.state
        lesson.session.do(press)
        if press in ("next", "back") and before.visit is not None and lesson.state is not before:
            current = cut(before)
            by = move_by(before, current, lesson.now_ms)
            shown[len(before.visits) - 1] = shown_stage(before, current, by, lesson.now_ms).stage
    last = {
        visit.index: shown[place]
        for place, visit in enumerate(lesson.state.visits)
        if visit.end_ms is not None
    }
    plan = lesson.state.plan
    for past in endings_of(7, lesson.session.events):
        if past.ending == "unsaid":
            assert past.stage == last[plan.index_of(past.phase)]


@pytest.fixture
def records(tmp_path):
    with DayRecords.open(tmp_path) as opened:
        yield opened


def teach(records: DayRecords, outline, day: int, mode: Mode = "live", offset_s: int = 0) -> int:
    """A lesson on the n-th day of which only the first phase was done, in 100 s more for each day."""
    clock = ManualClock(NINE_UTC_MS + day * DAY_MS)
    journal = records.journal()
    session = Session(clock, journal)
    session.start(outline, utc_offset_s=offset_s, mode=mode)
    clock.advance((100 + day) * 1000)
    session.do("next", "done")
    session.do("end", "interrupted")
    assert journal.run_id is not None
    return journal.run_id


def firsts(found) -> list[float]:
    return [past.actual_s for past in found.endings if past.phase == "skip"]


def test_lessons_stand_in_order_of_time_however_they_were_written(records, invented):
    for day in (5, 1, 3):
        teach(records, invented, day)
    assert firsts(history(records)) == [101, 103, 105]


def test_rehearsed_invented_and_flagged_lessons_are_kept_apart_unless_asked_for(records, invented):
    flagged = teach(records, invented, 1)
    teach(records, invented, 2)
    teach(records, invented, 3, "demo")
    teach(records, invented, 4, "rehearsal")
    assert firsts(history(records)) == [101, 102]
    assert (firsts(history(records, without=[flagged])), history(records).kept_apart) == ([102], 2)
    assert firsts(history(records, ["demo"])) == [103]


def test_a_damaged_lesson_is_counted_and_does_not_hide_the_others(records, invented):
    damaged = teach(records, invented, 1)
    teach(records, invented, 2)
    with closing(sqlite3.connect(records.path, isolation_level=None)) as own:
        own.execute("UPDATE event SET body = '{' WHERE run_id = ? AND seq = 1", (damaged,))
    assert (firsts(history(records)), history(records).damaged) == ([102], 1)


def test_the_date_is_that_of_the_classroom(records, invented):
    """9:00 UTC is the evening before in a place eleven hours behind."""
    teach(records, invented, 0, offset_s=-11 * 3600)
    assert history(records).endings[0].date == "2026-03-08"


def test_imported_lessons_stand_among_the_live_ones_by_their_date_and_not_among_invented_ones(
    records, invented
):
    teach(records, invented, 0)
    teach(records, invented, 2)
    rows = [
        ImportedEnding("2026-03-11", "skip", "warm-up", 120.0, 77.0, "done"),
        ImportedEnding("2026-03-10", "skip", "warm-up", 120.0, 66.0, "bell"),
        ImportedEnding("2026-03-10", "review", "review", 180.0, 200.0, "unsaid"),
    ]
    records.imported().add(rows, "old.csv", "aa", 1)
    found = history(records)
    assert firsts(found) == [100, 66, 77, 102]
    assert len({past.run for past in found.endings}) == 4
    assert [past.run for past in found.endings] == sorted(
        [past.run for past in found.endings], key=[past.run for past in found.endings].index
    )
    assert history(records, ["demo"]).endings == ()


def test_a_phase_that_comes_twice_on_a_day_of_a_table_was_taught_in_two_lessons():
    rows = [
        (1, ImportedEnding("2025-09-01", phase, "other", 60.0, float(seconds), "done"))
        for phase, seconds in (("a", 1), ("b", 2), ("a", 3), ("b", 4), ("c", 5))
    ]
    found = imported_lessons(rows)
    assert [[past.actual_s for past in lesson] for lesson in found] == [[1, 2, 5], [3, 4]]
    assert [{past.run for past in lesson} for lesson in found] == [{-1}, {-2}]


def test_two_imports_of_one_day_are_lessons_of_their_own():
    row = ImportedEnding("2025-09-01", "a", "other", 60.0, 60.0, "done")
    assert len(imported_lessons([(1, row), (2, row)])) == 2
