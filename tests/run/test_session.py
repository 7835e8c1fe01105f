"""A lesson under way: what each command does to its clocks, and what is refused and why."""

import time
from collections.abc import Callable
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from pacer.commands import COMMANDS
from pacer.run import events as ev
from pacer.run.clock import ManualClock, SystemClock
from pacer.run.legs import Leg
from pacer.run.refusal import Refusal
from pacer.run.session import Done, MemoryJournal, Session
from pacer.run.state import LessonState
from pacer.run.timeline import Span


def test_the_start_is_written_down_with_all_that_is_known_of_the_day(invented) -> None:
    session = Session(ManualClock(5_000), MemoryJournal())
    session.start(invented, 4_000, 3_600, "rehearsal", "early release")
    body = session.events[0].body
    assert (body.planned_utc_ms, body.utc_offset_s, body.mode, body.shape) == (
        4_000, 3_600, "rehearsal", "early release",
    )  # fmt: skip
    assert (session.state.utc_offset_s, session.state.late_ms) == (3_600, 1_000)
    assert session.state.shape == "early release"


def test_nothing_advances_by_itself(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(4000)
    assert lesson.state.phase.id == "skip"
    assert lesson.spent("skip") == 4000
    assert [event.body.kind for event in lesson.session.events] == ["started"]


def test_next_walks_through_the_phases_and_past_the_last_to_the_groups(new_lesson: Callable) -> None:
    lesson = new_lesson()
    for ending in ("done", "moved-on", "unsaid", "", "done", "done"):
        lesson.wait(60).do("next", ending)
    assert lesson.state.ended_ms is None
    assert lesson.state.index is None
    assert lesson.state.leg == Leg("move", 0, 360_000)
    assert [lesson.state.ending_of(i) for i in range(6)] == [
        "done",
        "moved on",
        "unsaid",
        "unsaid",
        "done",
        "done",
    ]
    assert [lesson.spent(phase.id) for phase in lesson.state.plan.phases] == [60] * 6


def test_a_pause_stops_the_phase_clock_and_not_the_lesson_clock(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("pause").wait(100)
    assert lesson.state.is_paused
    assert (lesson.spent("skip"), lesson.now_ms) == (30, 130_000)
    lesson.do("go-on").wait(20)
    assert not lesson.state.is_paused
    assert (lesson.spent("skip"), lesson.now_ms) == (50, 150_000)


def test_moving_on_ends_a_pause(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("pause").wait(10).do("next").wait(5)
    assert not lesson.state.is_paused
    assert (lesson.spent("skip"), lesson.spent("review")) == (30, 5)


def test_undo_restores_the_phase_clock_as_if_it_had_never_been_left(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(30).do("next").wait(8).do("undo").wait(2)
    assert lesson.state.phase.id == "skip"
    assert (lesson.spent("skip"), lesson.spent("review")) == (40, 0)
    assert not lesson.state.visited(1)


def test_undo_after_undo_takes_back_one_press_more_each_time(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(10).do("next").wait(10).do("add", "2:00").wait(10).do("next").wait(10)
    lesson.do("undo")
    assert (lesson.state.phase.id, lesson.spent("review"), lesson.state.added_s(1)) == ("review", 30, 120)
    lesson.do("undo")
    assert (lesson.state.phase.id, lesson.spent("review"), lesson.state.added_s(1)) == ("review", 30, 0)
    lesson.do("undo")
    assert (lesson.state.phase.id, lesson.spent("skip")) == ("skip", 40)
    assert lesson.refused("undo") == "There is nothing to undo."
    lesson.do("next", "done").do("undo").do("next", "moved-on").wait(1)
    assert lesson.state.ending_of(0) == "moved on"


def test_undo_takes_back_the_end_the_bell_and_a_pause(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(10).do("end", "interrupted").wait(5)
    assert lesson.state.ending_of(0) == "interrupted"
    lesson.do("undo").wait(5)
    assert (lesson.state.is_running, lesson.spent("skip")) == (True, 20)
    lesson.do("bell-now").do("undo").wait(5)
    assert (lesson.state.is_running, lesson.state.bell_offset_s, lesson.spent("skip")) == (True, None, 25)
    lesson.do("pause").wait(30).do("undo").wait(5)
    assert lesson.spent("skip") == 60, "the pause never was"
    lesson.do("pause").wait(30).do("go-on").wait(5).do("undo").wait(5)
    assert (lesson.state.is_paused, lesson.spent("skip")) == (True, 60), "the pause went on all along"


def test_jumping_away_and_back_adds_up_over_the_visits(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(20).do("jump", "practice").wait(30).do("jump", "1").wait(7)
    assert (lesson.spent("skip"), lesson.spent("practice")) == (27, 30)
    assert lesson.state.ending_of(4) == "unsaid"
    assert [visit.index for visit in lesson.state.visits] == [0, 4, 0]
    lesson.do("end")
    assert lesson.state.ending_of(2) == "skipped"


def test_back_goes_one_phase_back_and_its_time_goes_on(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(20).do("next", "done").wait(30).do("back").wait(5)
    assert (lesson.spent("skip"), lesson.spent("review")) == (25, 30)
    assert lesson.state.ending_of(0) is None, "running again"


def test_groups_leads_past_the_mini_lesson(new_lesson: Callable, new_outline: Callable) -> None:
    lesson = new_lesson().wait(10).do("groups")
    assert lesson.state.leg == Leg("move", 0, 10_000)
    assert lesson.refused("groups") == "The groups have begun already."
    longer = new_outline({"budget": "10"}, {"budget": "5"}, {"budget": "2", "kind": "move"}, {"budget": "9"})
    lesson = new_lesson(longer).wait(10).do("groups")
    assert lesson.state.index == 2
    assert lesson.refused("groups") == "The mini lesson is over already."


def test_a_burst_is_laid_over_the_phase_without_ending_it(new_lesson: Callable) -> None:
    lesson = new_lesson().do("jump", "vocabulary").wait(40).do("burst").wait(10)
    assert lesson.state.talk.prompt == "A third is ____ ."
    assert (lesson.state.talk.length_s, lesson.state.talk.span) == (30, Span(40_000))
    assert (lesson.state.phase.id, lesson.spent("vocabulary")) == ("vocabulary", 50)
    lesson.do("eyes-back")
    assert lesson.state.talk is None
    assert lesson.state.talks[0].span == Span(40_000, 50_000)
    assert lesson.refused("eyes-back") == "No partner talk is running."


def test_bursts_come_in_their_planned_order_and_then_as_the_last(
    new_lesson: Callable, new_outline: Callable
) -> None:
    outline = new_outline({"budget": "5"})
    from pacer.plan.outline import Burst

    bursts = (Burst(length_s=20, prompt="one"), Burst(length_s=40, prompt="two"))
    phase = outline.phases[0].model_copy(update={"bursts": bursts})
    lesson = new_lesson(outline.model_copy(update={"phases": (phase,)}))
    seen = [(lesson.do("burst").state.talk.length_s, lesson.state.talk.prompt) for _ in range(3)]
    assert seen == [(20, "one"), (40, "two"), (40, "two")]
    assert lesson.do("burst", "1:00").state.talk.length_s == 60
    assert sum(talk.span.end_ms is None for talk in lesson.state.talks) == 1, (
        "a new burst ends the one before"
    )


def test_an_unplanned_burst_lasts_half_a_minute_and_moving_on_ends_it(new_lesson: Callable) -> None:
    lesson = new_lesson().do("burst")
    assert (lesson.state.talk.length_s, lesson.state.talk.prompt) == (30, "")
    assert lesson.wait(9).do("next").state.talk is None
    assert lesson.state.talks[0].span == Span(0, 9_000)


def test_time_given_when_a_phase_is_over_counts_from_then_and_used_time_cannot_be_taken(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson().wait(150).do("add", "1:00")
    assert lesson.state.added_s(0) == 30 + 60
    lesson.wait(20).do("take", "0:30")
    assert lesson.state.added_s(0) == 30 + 60 - 30
    lesson.wait(5).do("take", "5:00")
    assert lesson.state.added_s(0) == 175 - 120
    lesson.wait(5).do("take", "5:00")
    assert lesson.state.added_s(0) == 175 - 120, "over by five seconds already, and that stays"
    assert lesson.state.added_s(0, lesson.state.added[2][0]) == 30 + 60 - 30


def test_time_added_and_taken_belongs_to_the_running_phase(new_lesson: Callable) -> None:
    lesson = new_lesson().do("add").do("add", "90 s").do("take").do("next").do("take", "1:00")
    assert [lesson.state.added_s(i) for i in (0, 1)] == [60 + 90 - 30, -60]


def test_marks_are_counted_by_phase(new_lesson: Callable) -> None:
    lesson = (
        new_lesson()
        .do("voice")
        .do("example")
        .do("tally", "3")
        .do("tally", "9")
        .do("table-mark")
        .do("happened")
    )
    lesson.do("next").do("example")
    assert (lesson.state.count("example"), lesson.state.count("example", 1)) == (2, 1)
    assert [mark.number for mark in lesson.state.marks if mark.kind == "tally"] == [3, 9]
    assert (
        lesson.state.count("voice"),
        lesson.state.count("table_mark"),
        lesson.state.count("happened"),
    ) == (1, 1, 1)


def test_the_wall_turns_in_a_circle_and_takes_the_face_of_each_phase(
    new_lesson: Callable, new_outline: Callable
) -> None:
    outline = new_outline({"budget": "3"}, {"budget": "3", "wall": "strip"}, {"budget": "3"})
    lesson = new_lesson(outline)
    faces = [lesson.state.face] + [lesson.do("wall").state.face for _ in range(3)]
    assert faces == ["full", "strip", "off", "full"]
    assert lesson.do("wall", "off").state.face == "off"
    assert lesson.do("next").state.face == "strip"
    assert lesson.do("hide").state.hidden
    assert not lesson.do("show").state.hidden


def test_where_a_phase_writes_no_face_the_wall_stays_as_the_teacher_chose_it(
    new_lesson: Callable, new_outline: Callable
) -> None:
    outline = new_outline({"budget": "3"}, {"budget": "3"}, {"budget": "3", "wall": "full"}, {"budget": "3"})
    lesson = new_lesson(outline)
    assert lesson.state.face == "full"
    lesson.do("wall", "off")
    assert [lesson.do(*press.split()).state.face for press in ("next", "next", "back", "jump 4")] == [
        "off", "full", "full", "full",
    ]  # fmt: skip
    lesson.do("wall", "strip")
    assert [lesson.do(press).state.face for press in ("back", "undo", "next", "undo")] == [
        "full", "strip", "strip", "strip",
    ]  # fmt: skip
    assert new_lesson(new_outline({"budget": "3", "wall": "off"})).state.face == "off"


def test_the_bell_ends_the_lesson_and_says_how_late_it_rang(new_lesson: Callable) -> None:
    lesson = new_lesson(start="9:06", late_s=360).until("10:15:40").do("bell-now")
    assert lesson.state.bell_offset_s == 40
    assert lesson.state.ending_of(0) == "bell"
    assert new_lesson().wait(60).do("bell-now").state.bell_offset_s == 60 - 75 * 60


def test_a_late_start_is_known_and_an_early_one_too(new_lesson: Callable) -> None:
    assert new_lesson(start="9:06", late_s=360).state.late_ms == 360_000
    assert new_lesson(start="8:59", late_s=-60).state.late_ms == -60_000
    assert new_lesson().state.late_ms == 0


@pytest.mark.parametrize(
    ("before", "command", "argument", "reason"),
    [
        ((), "next", "later", "A phase ends unsaid, done or moved-on."),
        ((), "next", "interrupted", "A phase ends unsaid, done or moved-on."),
        ((), "back", "", "This is the first phase."),
        ((), "jump", "nowhere", 'There is no phase "nowhere".'),
        ((), "jump", "", 'There is no phase "".'),
        ((), "jump", "skip", "This phase is running already."),
        (("pause",), "pause", "", "The lesson is paused already."),
        ((), "go-on", "", "The lesson is not paused."),
        ((), "add", "much", "Say how much, up to an hour."),
        ((), "add", "0", "Say how much, up to an hour."),
        ((), "add", "-1", "Say how much, up to an hour."),
        ((), "add", "61", "Say how much, up to an hour."),
        ((), "take", "2 h", "Say how much, up to an hour."),
        ((), "burst", "0", "Say how long, up to an hour."),
        ((), "eyes-back", "", "No partner talk is running."),
        ((), "tally", "", "Name the problem by a number from 1 to 9."),
        ((), "tally", "0", "Name the problem by a number from 1 to 9."),
        ((), "tally", "12", "Name the problem by a number from 1 to 9."),
        ((), "tally", "²", "Name the problem by a number from 1 to 9."),
        ((), "show", "", "Time is shown already."),
        (("hide",), "hide", "", "Time is hidden already."),
        ((), "wall", "hidden", "The Wall is full, strip or off."),
        ((), "fill", "", "This phase has no problem and no picture for the Wall."),
        ((), "page-on", "", "This phase has no pages to turn."),
        ((), "strip", "middle", "The strip lies at the bottom, top, left or right."),
        ((), "settled", "", "No partner talk has just ended."),
        ((), "end", "bell", "A lesson ends unsaid, done, moved-on or interrupted."),
        ((), "dance", "", 'There is no command "dance".'),
        ((), "", "", 'There is no command "".'),
        (("end",), "next", "", "The lesson has ended."),
        (("end",), "pause", "", "The lesson has ended."),
        (("bell-now",), "end", "", "The lesson has ended."),
    ],
)
def test_what_cannot_be_done_is_refused_with_its_reason_and_changes_nothing(
    new_lesson: Callable, before: tuple[str, ...], command: str, argument: str, reason: str
) -> None:
    lesson = new_lesson()
    for name in before:
        lesson.do(name)
    state, count = lesson.state, len(lesson.session.events)
    assert lesson.refused(command, argument) == reason
    assert lesson.state == state
    assert len(lesson.session.events) == count


def test_what_may_fill_the_wall_is_named_in_the_order_in_which_it_is_turned_to(
    new_lesson: Callable, new_outline: Callable
) -> None:
    lesson = new_lesson(new_outline({"budget": "5", "attach": "page.png", "problem": "1/3 + 1/3"}))
    assert lesson.state.fills == ("picture", "problem", "countdown")
    choices = "In this phase the Wall can show: picture, problem, countdown."
    assert lesson.refused("fill", "clock") == choices
    assert lesson.do("fill", "problem").state.filled_with == "problem"


def test_before_the_start_everything_is_refused_and_a_second_start_too(
    invented, new_lesson: Callable
) -> None:
    session = Session(ManualClock(), MemoryJournal())
    for command in sorted(set(COMMANDS) - {"start", "undo"}):
        assert session.do(command) == Refusal("The lesson has not started.")
    assert session.do("undo") == Refusal("There is nothing to undo.")
    assert session.state == LessonState()
    with pytest.raises(LookupError):
        _ = session.state.plan
    assert new_lesson().session.start(invented) == Refusal("The lesson has started already.")
    assert new_lesson().refused("undo") == "There is nothing to undo."


def test_every_command_of_the_table_is_known_to_the_machine(new_lesson: Callable) -> None:
    arguments = {"jump": "model", "tally": "1"}
    for command in sorted(set(COMMANDS) - {"start"}):
        answer = new_lesson().session.do(command, arguments.get(command, ""))
        assert isinstance(answer, Done) or "There is no command" not in answer.reason


def test_time_before_the_start_is_no_lesson_time(invented) -> None:
    clock = ManualClock()
    session = Session(clock, MemoryJournal())
    clock.advance(60_000)
    session.tick()
    session.start(invented)
    assert (session.now_ms(), session.events[0].t_ms, session.state.started_utc_ms) == (0, 0, 60_000)


def test_the_event_an_undo_would_take_back_is_no_start_no_cue_and_nothing_undone(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson()
    session = lesson.session
    assert session.last_undoable() is None
    lesson.wait(5).do("next").wait(3)
    moved = session.events[-1]
    session.note(ev.Cued(cue="borrowing"))
    assert session.last_undoable() == moved
    assert (moved.t_ms, moved.body.kind) == (5_000, "moved")
    lesson.do("voice")
    assert session.last_undoable() == session.events[-1]
    assert session.last_undoable().body.kind == "voice"
    assert lesson.do("undo").session.last_undoable() == moved
    lesson.clock.advance(60_000)
    assert session.last_undoable() == moved, "looking does not tick"
    session.tick()
    assert session.last_undoable().body == ev.Gap(gap_ms=59_000)
    lesson.do("undo").do("undo")
    assert session.last_undoable() is None


# Daylight saving began in New York on 8 March 2026 at 2:00 and ended on 1 November 2026 at 2:00.
@pytest.mark.parametrize(
    "local",
    [
        datetime(2026, 3, 8, 1, 50, tzinfo=ZoneInfo("America/New_York")),
        datetime(2026, 11, 1, 1, 50, tzinfo=ZoneInfo("America/New_York")),
        datetime(2026, 3, 9, 23, 50, tzinfo=UTC),
        datetime(2028, 2, 28, 23, 50, tzinfo=UTC),
    ],
    ids=["spring", "autumn", "midnight", "leap year"],
)
def test_daylight_saving_and_midnight_change_no_duration(new_lesson: Callable, local: datetime) -> None:
    lesson = new_lesson(utc_ms=round(local.timestamp() * 1000)).wait(1200).do("next").wait(600).do("end")
    assert (lesson.spent("skip"), lesson.spent("review")) == (1200, 600)
    assert lesson.state.gaps == ()


def test_the_system_clock_tells_milliseconds_that_do_not_run_back() -> None:
    first, second = SystemClock().now(), SystemClock().now()
    assert second.mono_ms >= first.mono_ms
    assert abs(second.utc_ms - datetime.now(UTC).timestamp() * 1000) < 5_000


def test_the_system_clock_counts_sleep_where_the_system_has_a_clock_that_does(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """On Linux CLOCK_BOOTTIME counts the time a machine is suspended, CLOCK_MONOTONIC does not: time(7)."""
    boot_time = getattr(time, "CLOCK_BOOTTIME", None)
    if boot_time is None:
        pytest.skip("this system has no clock of its own for that")
    read_ns = {boot_time: 7_000_999_999, time.CLOCK_MONOTONIC: 5_000_000_000}
    monkeypatch.setattr(time, "clock_gettime_ns", lambda clock: read_ns[clock])
    monkeypatch.setattr(time, "monotonic_ns", lambda: read_ns[time.CLOCK_MONOTONIC])
    assert SystemClock().now().mono_ms == 7_000
    monkeypatch.setattr(SystemClock, "_CLOCK", None)
    assert SystemClock().now().mono_ms == 5_000


def test_an_old_word_for_a_cue_or_a_gap_is_no_event() -> None:
    for text in ('{"kind":"cued","cue":"closing"}', '{"kind":"gap","gap_ms":-9000,"cause":"set_back"}'):
        with pytest.raises(ValueError, match="Input should be"):
            ev.body_from_json(text)


def test_a_mark_made_while_no_phase_runs_has_no_phase() -> None:
    event = ev.Event(seq=0, t_ms=5, mono_ms=5, utc_ms=5, body=ev.Voice())
    from pacer.run.fold import fold

    assert [mark.index for mark in fold([event]).marks] == [-1]
