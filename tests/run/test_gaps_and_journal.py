"""What is not a press: sleep, clocks that are set, crashes, and a disk that will not take an event."""

from collections.abc import Callable, Sequence

import pytest

from pacer.run.clock import ManualClock
from pacer.run.events import Event
from pacer.run.session import Done, JournalError, MemoryJournal, Session


def test_sleep_seen_as_a_jump_of_the_wall_clock_is_marked_and_counts(new_lesson: Callable) -> None:
    """On Linux the monotonic clock stands still in sleep (clock_gettime(2))."""
    lesson = new_lesson().wait(30)
    lesson.clock.shift_utc(90_000)
    lesson.wait(10)
    assert lesson.state.gaps == ((121_000, 90_000, "slept"),)
    assert (lesson.spent("skip"), lesson.now_ms) == (130, 130_000)


def test_sleep_seen_as_a_long_time_without_a_look_is_marked_and_counts(new_lesson: Callable) -> None:
    """Elsewhere the monotonic clock counts sleep, or the program stalled."""
    lesson = new_lesson().wait(30)
    lesson.clock.advance(91_000)
    lesson.wait(9)
    assert lesson.state.gaps == ((122_000, 91_000, "slept"),)
    assert lesson.spent("skip") == 130


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
    for shift, advance, gap in ((2001, 0, 2001), (-2001, 0, -2001), (0, 3001, 2001)):
        lesson = new_lesson()
        lesson.clock.shift_utc(shift)
        lesson.clock.advance(advance)
        lesson.session.tick()
        assert [ms for _t, ms, _cause in lesson.state.gaps] == [gap]


def test_a_clock_that_is_set_back_takes_no_lesson_time(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30)
    lesson.clock.shift_utc(-3_600_000)
    lesson.wait(10)
    assert lesson.state.gaps == ((31_000, -3_600_000, "set_back"),)
    assert (lesson.spent("skip"), lesson.now_ms) == (40, 40_000)


def test_an_undone_gap_gives_the_phase_its_time_back_and_the_lesson_clock_keeps_it(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson().wait(30)
    lesson.clock.shift_utc(90_000)
    lesson.wait(5).do("undo").wait(5)
    assert (lesson.spent("skip"), lesson.now_ms) == (40, 130_000)
    assert lesson.state.gaps == ()
    lesson.do("next").wait(3)
    assert (lesson.spent("skip"), lesson.spent("review")) == (40, 3)


def test_a_gap_in_a_pause_gives_nothing_twice(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("pause").wait(5)
    lesson.clock.shift_utc(90_000)
    lesson.wait(5)
    assert lesson.spent("skip") == 30
    lesson.do("undo").wait(5)
    assert (lesson.spent("skip"), lesson.state.is_paused) == (30, True)
    lesson.do("undo").wait(5)
    assert lesson.spent("skip") == 30 + 5 + 5 + 5 + 5, (
        "without the pause, the undone gap still gives back its 90 s"
    )


def test_undo_passes_over_a_clock_that_was_set_back_for_it_took_nothing(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("next")
    lesson.clock.shift_utc(-60_000)
    lesson.wait(5).do("undo")
    assert lesson.state.phase.id == "skip"
    assert lesson.state.gaps[0][2] == "set_back"


def test_no_gap_is_marked_before_the_start_or_after_the_end(invented, new_lesson: Callable) -> None:
    clock = ManualClock()
    session = Session(clock, MemoryJournal())
    clock.advance(500_000)
    session.tick()
    assert session.events == ()
    lesson = new_lesson().do("end")
    lesson.clock.shift_utc(500_000)
    lesson.wait(5)
    assert lesson.state.gaps == ()


def test_after_a_crash_the_lesson_goes_on_and_the_time_away_counts(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("next").wait(20)
    clock = ManualClock(lesson.clock.now().utc_ms + 40_000)
    journal = MemoryJournal()
    again = Session(clock, journal, lesson.journal.events)
    assert (again.state.phase.id, again.now_ms()) == ("review", 90_000)
    assert again.state.spent_ms(1, again.now_ms()) == 60_000
    assert [event.body.kind for event in journal.events] == ["gap"]
    assert again.state.gaps == ((90_000, 60_000, "closed"),)
    clock.advance(1000)
    again.do("undo")
    assert again.state.spent_ms(1, again.now_ms()) == 1000, "the time away was given back"


def test_after_a_crash_with_the_clock_set_back_nothing_is_lost_or_negative(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("next")
    again = Session(ManualClock(0), MemoryJournal(), lesson.journal.events)
    assert (again.now_ms(), again.state.phase.id) == (30_000, "review")
    assert isinstance(again.do("undo"), Done)
    assert again.state.phase.id == "skip", "there is no time away to take back"


def test_an_ended_lesson_is_opened_as_it_was(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("end")
    journal = MemoryJournal()
    again = Session(ManualClock(10**13), journal, lesson.journal.events)
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


def test_what_waits_is_written_after_the_end_too(invented) -> None:
    clock, journal = ManualClock(), FullDisk()
    session = Session(clock, journal)
    session.start(invented)
    session.do("end")
    journal.full = False
    clock.advance(1000)
    session.tick()
    assert (session.unsaved, journal.events) == (0, list(session.events))
