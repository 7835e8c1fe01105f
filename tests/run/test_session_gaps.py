"""What is not a press: sleep, clocks that are set, crashes, and a disk that will not take an event."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest

from pacer.run import events as ev
from pacer.run.clock import ManualClock
from pacer.run.events import Event
from pacer.run.fold import fold
from pacer.run.session import Done, JournalError, MemoryJournal, Session


def test_sleep_seen_as_a_long_time_without_a_look_is_marked_and_counts(new_lesson: Callable) -> None:
    """The monotonic clock counts sleep; a program that stalled looks the same."""
    lesson = new_lesson().wait(30)
    lesson.clock.advance(91_000)
    lesson.wait(9)
    assert lesson.state.gaps == ((122_000, 91_000, "slept"),)
    assert (lesson.spent("skip"), lesson.now_ms) == (130, 130_000)
    assert (lesson.state.clock_set_ms, lesson.state.late_ms) == (0, 0)


@pytest.mark.parametrize("ms", [1999, 2000])
def test_up_to_two_seconds_are_no_gap(new_lesson: Callable, ms: int) -> None:
    lesson = new_lesson().wait(30)
    lesson.clock.shift_utc(ms)
    lesson.session.tick()
    lesson.clock.shift_utc(-ms)
    lesson.session.tick()
    lesson.clock.advance(1000 + ms)
    lesson.session.tick()
    assert lesson.state.gaps == ()
    assert lesson.now_ms == 31_000 + ms


def test_a_millisecond_over_two_seconds_is_a_gap(new_lesson: Callable) -> None:
    for shift, advance, gaps in (
        (2001, 0, ((0, 2001, "clock_set"),)),
        (-2001, 0, ((0, -2001, "clock_set"),)),
        (0, 3001, ((3001, 2001, "slept"),)),
        (-2001, 3001, ((3001, 2001, "slept"), (3001, -2001, "clock_set"))),
    ):
        lesson = new_lesson()
        lesson.clock.shift_utc(shift)
        lesson.clock.advance(advance)
        lesson.session.tick()
        assert lesson.state.gaps == gaps
        assert lesson.now_ms == advance


@pytest.mark.parametrize("ms", [90_000, -90_000, 3_600_000, -3_600_000])
def test_a_clock_that_is_set_changes_no_duration_and_only_times_of_day_move_with_it(
    new_lesson: Callable, ms: int
) -> None:
    lesson = new_lesson(late_s=60).wait(30)
    lesson.clock.shift_utc(ms)
    lesson.wait(10)
    assert lesson.state.gaps == ((31_000, ms, "clock_set"),)
    assert (lesson.spent("skip"), lesson.now_ms) == (40, 40_000)
    assert (lesson.state.clock_set_ms, lesson.state.late_ms) == (ms, 60_000)
    assert lesson.state.utc_ms(lesson.now_ms) == lesson.clock.now().utc_ms


def test_a_clock_that_is_set_twice_adds_up_and_there_is_nothing_to_take_back(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30)
    lesson.clock.shift_utc(60_000)
    lesson.wait(1)
    lesson.clock.shift_utc(-150_000)
    lesson.wait(1)
    assert (lesson.state.clock_set_ms, lesson.state.late_ms) == (-90_000, 0)
    assert lesson.refused("undo") == "There is nothing to undo."
    lesson.wait(8)
    assert (lesson.state.clock_set_ms, len(lesson.state.gaps)) == (-90_000, 2), "not found anew"
    assert (lesson.spent("skip"), lesson.now_ms) == (40, 40_000)


def test_a_clock_set_that_an_older_lesson_took_back_stays_taken_back(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30)
    before = lesson.state
    lesson.clock.shift_utc(60_000)
    lesson.wait(1)
    undone = Event(seq=2, t_ms=31_000, mono_ms=0, utc_ms=0, body=ev.Undone(target=1))
    assert fold([*lesson.session.events, undone]) == replace(before, pressed_ms=31_000)


def test_the_bell_is_as_late_as_the_time_that_passed_says(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(60)
    lesson.clock.shift_utc(-20_000)
    lesson.wait(10).do("bell-now")
    assert lesson.state.bell_offset_s == 60 + 10 - 75 * 60


def test_an_undone_gap_gives_the_phase_its_time_back_and_the_lesson_clock_keeps_it(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson().wait(30)
    lesson.clock.advance(90_000)
    lesson.wait(5)
    assert (lesson.spent("skip"), lesson.state.gaps) == (125, ((121_000, 90_000, "slept"),))
    lesson.do("undo").wait(5)
    assert (lesson.spent("skip"), lesson.now_ms) == (40, 130_000)
    assert lesson.state.gaps == ()
    lesson.do("next").wait(3)
    assert (lesson.spent("skip"), lesson.spent("review")) == (40, 3)


def test_a_gap_in_a_pause_gives_nothing_twice(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("pause").wait(5)
    lesson.clock.advance(90_000)
    lesson.wait(5)
    assert lesson.spent("skip") == 30
    lesson.do("undo").wait(5)
    assert (lesson.spent("skip"), lesson.state.is_paused) == (30, True)
    lesson.do("undo").wait(5)
    assert lesson.spent("skip") == 30 + 5 + 5 + 5 + 5, (
        "without the pause, the undone gap still gives back its 90 s"
    )


def test_undo_takes_the_press_the_teacher_saw_not_a_gap_found_by_this_very_undo(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("next").wait(10)
    lesson.clock.advance(60_000)
    lesson.clock.shift_utc(5_000)
    lesson.do("undo")
    assert (lesson.state.phase.id, lesson.spent("skip")) == ("skip", 100)
    assert lesson.state.gaps == ((100_000, 59_000, "slept"), (100_000, 5_000, "clock_set"))
    assert lesson.do("undo").state.gaps == ((100_000, 5_000, "clock_set"),)
    assert lesson.spent("skip") == 41
    assert lesson.refused("undo") == "There is nothing to undo."


def test_where_nothing_was_pressed_an_undo_that_finds_a_gap_takes_nothing_and_the_next_takes_the_gap(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson().wait(30)
    lesson.clock.advance(60_000)
    assert lesson.refused("undo") == "There is nothing to undo."
    assert lesson.state.gaps == ((90_000, 59_000, "slept"),)
    assert lesson.do("undo").state.gaps == ()


def test_no_gap_is_marked_before_the_start_or_after_the_end(invented, new_lesson: Callable) -> None:
    clock = ManualClock()
    session = Session(clock, MemoryJournal())
    clock.advance(500_000)
    session.tick()
    assert session.events == ()
    lesson = new_lesson().do("end")
    lesson.clock.shift_utc(500_000)
    lesson.clock.advance(500_000)
    lesson.wait(5)
    assert lesson.state.gaps == ()
    assert [event.body.kind for event in lesson.session.events] == ["started", "ended"]


def test_after_a_crash_the_lesson_goes_on_and_the_time_away_counts(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("next").wait(20)
    clock = ManualClock(lesson.clock.now().utc_ms + 40_000)
    journal = MemoryJournal()
    again = Session(clock, journal, lesson.journal.events)
    again.tick()
    assert (again.state.phase.id, again.now_ms()) == ("review", 90_000)
    assert again.state.spent_ms(1, again.now_ms()) == 60_000
    assert [event.body.kind for event in journal.events] == ["gap"]
    assert again.state.gaps == ((90_000, 60_000, "closed"),)
    clock.advance(1000)
    again.do("undo")
    assert again.state.spent_ms(1, again.now_ms()) == 1000, "the time away was given back"


def test_who_only_reads_a_stored_lesson_changes_nothing_in_it(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("next").wait(20)
    clock, journal = ManualClock(lesson.clock.now().utc_ms + 40_000), MemoryJournal()
    again = Session(clock, journal, lesson.journal.events)
    assert (again.state, again.events) == (lesson.state, lesson.session.events)
    assert (again.now_ms(), again.unsaved, again.last_undoable()) == (30_000, 0, lesson.session.events[-1])
    clock.advance(5_000)
    assert (again.state, journal.events) == (lesson.state, [])
    again.tick()
    assert again.state.gaps == ((95_000, 65_000, "closed"),), "counted up to the first look"
    clock.advance(1_000)
    again.tick()
    assert (len(journal.events), again.now_ms()) == (1, 96_000), "and only once"


def test_a_first_press_after_a_crash_is_made_after_the_time_away(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("next").wait(20)
    again = Session(ManualClock(lesson.clock.now().utc_ms + 40_000), MemoryJournal(), lesson.journal.events)
    assert isinstance(again.do("next", "done"), Done)
    assert [(event.body.kind, event.t_ms) for event in again.events[2:]] == [
        ("gap", 90_000),
        ("moved", 90_000),
    ]
    assert again.state.spent_ms(1, again.now_ms()) == 60_000


def test_a_first_undo_after_a_crash_takes_the_last_press_not_the_time_away(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("next")
    again = Session(ManualClock(lesson.clock.now().utc_ms + 40_000), MemoryJournal(), lesson.journal.events)
    again.do("undo")
    assert (again.state.phase.id, again.state.gaps) == ("skip", ((70_000, 40_000, "closed"),))
    assert again.state.spent_ms(0, again.now_ms()) == 70_000


def test_when_no_time_passed_no_time_away_is_written(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("next")
    journal = MemoryJournal()
    again = Session(ManualClock(lesson.clock.now().utc_ms), journal, lesson.journal.events)
    again.tick()
    assert (again.state, again.now_ms(), journal.events) == (lesson.state, 30_000, [])


def test_after_a_crash_with_the_clock_set_back_nothing_is_lost_or_negative(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("next")
    again = Session(ManualClock(0), MemoryJournal(), lesson.journal.events)
    again.tick()
    assert (again.now_ms(), again.state.phase.id) == (30_000, "review")
    assert [gap.cause for gap in again.state.gaps] == ["clock_set"]
    assert again.state.utc_ms(again.now_ms()) == 0, "the times of day are the computer's again"
    assert isinstance(again.do("undo"), Done)
    assert again.state.phase.id == "skip", "there is no time away to take back"


def test_after_a_crash_with_the_clock_set_back_the_time_since_it_was_read_still_counts(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson().wait(30).do("next")
    clock = ManualClock(0)
    again = Session(clock, MemoryJournal(), lesson.journal.events)
    clock.advance(5_000)
    seen = again.now_ms()
    again.tick()
    assert (seen, again.now_ms()) == (35_000, 35_000)
    assert again.state.gaps[0] == (35_000, 5_000, "closed")


def test_an_ended_lesson_is_opened_as_it_was(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("end")
    journal = MemoryJournal()
    again = Session(ManualClock(10**13), journal, lesson.journal.events)
    again.tick()
    assert (again.state, journal.events) == (lesson.state, [])


class FullDisk:
    """A journal that refuses until it is told not to."""

    def __init__(self) -> None:
        self.full = True
        self.events: list[Event] = []

    def append(self, events: Sequence[Event]) -> None:
        if self.full:
            raise JournalError("the disk is full")
        self.events.extend(events)


def test_a_journal_that_fails_never_stops_the_lesson_and_gets_every_event_in_order_later(invented) -> None:
    clock, journal = ManualClock(), FullDisk()
    session = Session(clock, journal)
    started = session.start(invented)
    assert isinstance(started, Done)
    assert not started.saved
    clock.advance(1000)
    moved = session.do("next")
    assert isinstance(moved, Done)
    assert not moved.saved
    assert (session.trouble, session.unsaved, journal.events) == ("the disk is full", 2, [])
    assert session.state.index == 1, "the lesson went on all the same"
    journal.full = False
    clock.advance(1000)
    session.tick()
    assert (session.trouble, session.unsaved) == ("", 0)
    assert journal.events == list(session.events)
    voiced = session.do("voice")
    assert isinstance(voiced, Done)
    assert voiced.saved
    assert journal.events == list(session.events), "each once"


def test_trying_again_to_write_says_whether_nothing_waits_any_more(invented) -> None:
    journal = FullDisk()
    session = Session(ManualClock(), journal)
    assert session.flush(), "nothing waits before the start"
    session.start(invented)
    assert not session.flush()
    journal.full = False
    assert session.flush()
    assert session.flush()
    assert journal.events == list(session.events)


def test_what_waits_is_written_after_the_end_too(invented) -> None:
    clock, journal = ManualClock(), FullDisk()
    session = Session(clock, journal)
    session.start(invented)
    session.do("end")
    journal.full = False
    clock.advance(1000)
    session.tick()
    assert (session.unsaved, journal.events) == (0, list(session.events))


@pytest.mark.parametrize("year", [1, 9998])
def test_a_clock_set_to_a_year_out_of_all_reason_does_not_stop_the_lesson(new_lesson, year):
    lesson = new_lesson()
    jump = round((year - 2026) * 365.2425 * 86_400_000)
    lesson.clock.shift_utc(jump)
    lesson.session.tick()
    assert isinstance(lesson.session.do("pause"), Done)
    (gap,) = lesson.state.gaps
    assert gap[1] == (ev.MOST_GAP_MS if jump > 0 else -ev.MOST_GAP_MS)


@pytest.mark.parametrize(
    "body",
    [
        '{"kind": "gap", "gap_ms": -1000000000000000000, "cause": "clock_set"}',
        '{"kind": "forecasted", "index": 0, "low": "NaN", "high": 1, "end_ms": 0, "lessons": 1}',
        '{"kind": "forecasted", "index": -1, "low": 0.1, "high": 0.2, "end_ms": 0, "lessons": 1}',
        '{"kind": "strip_moved", "edge": "middle"}',
        '{"kind": "fill_turned", "fill": "film"}',
        '{"kind": "blanked", "more": 1}',
        '{"kind": "page_turned"}',
    ],
)
def test_an_event_with_a_value_that_nothing_can_show_is_no_event(body):
    with pytest.raises(ValueError, match="validation error"):
        ev.body_from_json(body)
