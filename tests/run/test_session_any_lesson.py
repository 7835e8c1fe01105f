"""What holds for every lesson, whatever is pressed and however long it is waited."""

from collections.abc import Callable

from hypothesis import given
from hypothesis import strategies as st

from pacer.commands import COMMANDS
from pacer.run import events as ev
from pacer.run.clock import ManualClock
from pacer.run.events import Event, body_from_json, body_to_json
from pacer.run.fold import fold, undone_numbers
from pacer.run.session import MemoryJournal, Session
from pacer.run.state import LessonState

ARGUMENTS = {
    "next": ["", "done", "moved-on", "bad"],
    "jump": ["skip", "model", "practice", "look-back", "2", "no", "group 2", "share", "clean-up"],
    "add": ["", "2:30"],
    "take": ["", "1:00"],
    "burst": ["", "0:10"],
    "tally": ["1", "9", "x"],
    "wall": ["", "off", "strip"],
    "strip": ["", "left", "middle"],
    "fill": ["", "countdown", "film"],
    "end": ["", "interrupted"],
    "missed": ["", "group 2", "nobody"],
    "keep": ["", "2", "look-back"],
    "bell-later": ["", "10", "x"],
    "tick": ["", "1", "7"],
}
PRESS = st.sampled_from(
    [(name, word) for name in COMMANDS if name != "start" for word in ARGUMENTS.get(name, [""])]
)
# Endings come rarely, or most lessons would be short; undo comes often.
OFTEN = st.sampled_from(
    [("undo", ""), ("undo", ""), ("next", "done"), ("pause", ""), ("go-on", ""), ("back", "")]
)
MOMENT = st.one_of(
    st.tuples(
        st.just("press"), st.one_of(OFTEN, PRESS.filter(lambda p: p[0] not in ("end", "bell-now", "groups")))
    ),
    st.tuples(st.just("press"), PRESS),
    st.tuples(st.just("wait"), st.integers(0, 400_000)),
    st.tuples(st.just("set clock"), st.integers(-500_000, 500_000)),
    st.tuples(st.just("sleep"), st.one_of(st.integers(0, 20_000), st.integers(0, 500_000))),
)
DAY = st.lists(MOMENT, max_size=25)


def live(lesson, day) -> list[LessonState]:
    """Play a day; returns the state after each event."""
    states = [lesson.state]
    for kind, value in day:
        if kind == "press":
            lesson.session.do(*value)
        elif kind == "set clock":
            lesson.clock.shift_utc(value)
            lesson.session.tick()
        elif kind == "sleep":
            lesson.clock.advance(value)
            lesson.session.tick()
        else:
            _wait(lesson, value)
        states += [lesson.state] * (len(lesson.session.events) - len(states))
    return states


def _wait(lesson, ms: int) -> None:
    """Looks two seconds apart: longer ones would be gaps, shorter ones slow."""
    while ms > 0:
        lesson.clock.advance(min(ms, 2000))
        lesson.session.tick()
        ms -= 2000


@given(DAY)
def test_time_per_phase_adds_up_to_lesson_time_less_pauses_and_undone_gaps(
    new_lesson: Callable, day: list
) -> None:
    lesson = new_lesson()
    live(lesson, day)
    state = lesson.state
    end = lesson.now_ms if state.ended_ms is None else state.ended_ms
    spent = sum(state.spent_ms(i, end) for i in range(len(state.plan.phases)))
    spent += sum(state.leg_spent_ms(number, end) for number in range(len(state.legs)))
    assert spent == end - _stood_still_ms(lesson.session.events, end)


ENDS_A_STOP = (ev.WentOn, ev.Moved, ev.LegBegan, ev.Ended, ev.BellRang)


def _stood_still_ms(events: tuple[Event, ...], end: int) -> int:
    """By a way of its own: every millisecond that lies in a pause or in an undone gap, counted once."""
    undone = undone_numbers(events)
    spans, since, by_blank = [], None, False
    for event in events:
        body = event.body
        if event.seq in undone:
            if isinstance(body, ev.Gap) and body.cause != "clock_set":
                spans.append((event.t_ms - body.gap_ms, event.t_ms))
        elif isinstance(body, ev.Paused | ev.Blanked):
            by_blank = isinstance(body, ev.Blanked) and (since is None or by_blank)
            since = event.t_ms if since is None else since
        elif since is not None and (
            isinstance(body, ENDS_A_STOP) or (isinstance(body, ev.Unblanked) and by_blank)
        ):
            spans.append((since, event.t_ms))
            since = None
    if since is not None:
        spans.append((since, end))
    total, reached = 0, 0
    for begin, stop in sorted(spans):
        begin, stop = max(begin, reached), min(stop, end)
        total += max(0, stop - begin)
        reached = max(reached, stop)
    return total


@given(DAY)
def test_the_live_state_is_the_fold_of_the_events_after_every_one_of_them(
    new_lesson: Callable, day: list
) -> None:
    lesson = new_lesson()
    states = live(lesson, day)
    events = lesson.session.events
    assert [event.seq for event in events] == list(range(len(events)))
    for count, state in enumerate(states, start=1):
        if count == len(events) or states[count] is not state:
            assert fold(events[:count]) == state
    assert lesson.journal.events == list(events)


@given(DAY, st.integers(0, 3_600_000))
def test_a_kill_after_any_event_reloads_the_same_lesson(
    new_lesson: Callable, day: list, away_ms: int
) -> None:
    lesson = new_lesson()
    live(lesson, day)
    events = lesson.session.events
    for count in range(1, len(events) + 1):
        kept = [Event.model_validate_json(event.model_dump_json()) for event in events[:count]]
        before = fold(kept)
        journal = MemoryJournal()
        again = Session(ManualClock(kept[-1].utc_ms + away_ms), journal, kept)
        assert (again.state, again.events, again.now_ms()) == (before, tuple(kept), kept[-1].t_ms)
        counted_ms = away_ms if before.is_running else 0
        again.tick()
        assert _but_gaps(again.state) == _but_gaps(before)
        assert again.now_ms() == kept[-1].t_ms + counted_ms
        closed = [ev.Gap(gap_ms=counted_ms, cause="closed")] if counted_ms else []
        assert [event.body for event in journal.events] == closed


def _but_gaps(state: LessonState) -> dict[str, object]:
    return {key: value for key, value in vars(state).items() if key != "gaps"}


@given(DAY)
def test_undoing_everything_leads_back_to_the_first_phase_with_all_time_but_the_gaps(
    new_lesson: Callable, day: list
) -> None:
    lesson = new_lesson()
    live(lesson, day)
    while not isinstance(lesson.session.do("undo"), _refusal()):
        pass
    state, now = lesson.state, lesson.now_ms
    assert (state.index, len(state.visits), state.ended_ms, state.marks, state.talks) == (0, 1, None, (), ())
    assert {gap.cause for gap in state.gaps} <= {"clock_set"}
    gaps = [event.body for event in lesson.session.events if isinstance(event.body, ev.Gap)]
    gone = sum(gap.gap_ms for gap in gaps if gap.cause != "clock_set")
    assert state.spent_ms(0, now) == now - gone


@given(DAY)
def test_every_planned_time_of_day_follows_the_clock_as_it_was_set(new_lesson: Callable, day: list) -> None:
    """By the jumps over two seconds that were marked and not taken back, and by nothing else."""
    lesson = new_lesson()
    live(lesson, day)
    state, events = lesson.state, lesson.session.events
    undone = undone_numbers(events)
    kept = [e.body.gap_ms for e in events if isinstance(e.body, ev.Gap) and e.seq not in undone
            and e.body.cause == "clock_set"]  # fmt: skip
    assert (state.clock_set_ms, state.late_ms) == (sum(kept), 0)
    assert state.utc_ms(0) == events[0].utc_ms + sum(kept)
    assert all(abs(ms) > 2000 for ms in kept)


def _refusal() -> type:
    from pacer.run.refusal import Refusal

    return Refusal


@given(DAY)
def test_every_event_survives_json_and_lesson_time_never_runs_back(new_lesson: Callable, day: list) -> None:
    lesson = new_lesson()
    live(lesson, day)
    last = 0
    for event in lesson.session.events:
        assert body_from_json(body_to_json(event.body)) == event.body
        assert Event.model_validate_json(event.model_dump_json()) == event
        assert event.t_ms >= last
        last = event.t_ms


@given(st.lists(st.one_of(PRESS, st.tuples(st.text(max_size=8), st.text(max_size=8))), max_size=15))
def test_whatever_is_pressed_the_answer_is_an_event_or_a_sentence(
    new_lesson: Callable, presses: list
) -> None:
    lesson = new_lesson()
    for command, argument in presses:
        answer = lesson.session.do(command, argument)
        if isinstance(answer, _refusal()):
            assert answer.reason.endswith(".")
        else:
            assert answer.event == lesson.session.events[-1]
