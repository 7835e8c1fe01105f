"""A lesson as it was mended after school: its borders, visits and endings put where the teacher says."""

from collections.abc import Sequence
from dataclasses import replace

from pacer.run.corrections import START_ROOM_MS, BorderMoved, Corrections, EndingSaid, StartMoved, VisitSplit
from pacer.run.events import Ending
from pacer.run.shift_times import shift_times
from pacer.run.state import LessonState
from pacer.run.timeline import PartnerBurst, Visit


def repaired(state: LessonState, after: Corrections) -> LessonState:
    """The lesson with all standing corrections; one that no longer applies is ignored.

    Lesson time 0 is the real start then; nothing but times counted from it changes by that.
    """
    if not after.effective:
        return state
    original = state
    for event in after.effective:
        match event.body:
            case StartMoved(early_ms=early_ms):
                state = start_moved(state, early_ms)
            case BorderMoved(visit=visit, t_ms=t_ms):
                state = border_moved(state, visit, t_ms)
            case VisitSplit(visit=visit, t_ms=t_ms, to=to):
                state = visit_split(state, visit, t_ms, to)
            case EndingSaid(phase=phase, ending=ending):
                state = ending_said(state, phase, ending)
    # A border that was moved to and fro leaves no mark in the wrong phase.
    state = _with_visits(replace(state, marks=original.marks, talks=original.talks), state.visits)
    return shift_times(state, -state.visits[0].begin_ms) if state.visits else state


def early_ms(original: LessonState, mended: LessonState) -> int:
    """How long before the press the mended lesson began: 0 where nothing was said."""
    return original.started_utc_ms - mended.started_utc_ms


def start_moved(state: LessonState, early_ms: int) -> LessonState:
    """The state with another begin of its first visit, still counted from the press; as it was where not.

    ``early_ms`` is how long before the press. A lesson begins with its first visit, which can't end before.
    """
    first = state.visits[0] if state.visits else None
    if first is None or first.end_ms is None or not 0 <= early_ms <= START_ROOM_MS:
        return state
    if first.end_ms < -early_ms:
        return state
    return _with_visits(state, [replace(first, begin_ms=-early_ms), *state.visits[1:]])


def border_room(state: LessonState, visit: int) -> tuple[int, int] | None:
    """Between which lesson times the end of a visit may lie: its own begin and the end of the next.

    Where the groups come next, their walk or first visit begins with the border and ends where it did. The
    end of the last visit of an ended lesson may lie anywhere from its begin to the end of the lesson: moved
    to an earlier time it leaves the rest to no phase. None where there is no such visit or it has not ended,
    or what comes after it has not.
    """
    if not 0 <= visit < len(state.visits):
        return None
    own = state.visits[visit]
    following = state.visits[visit + 1] if visit + 1 < len(state.visits) else None
    if own.end_ms is None:
        return None
    leg = leg_after(state, visit)
    if leg is not None:
        end_ms = state.legs[leg].end_ms
        return (own.begin_ms, end_ms) if end_ms is not None else None
    if following is None:
        return own.begin_ms, max(own.end_ms, state.ended_ms or own.end_ms)
    # Between two visits no time is lost, but for a lesson that went on after its last phase.
    return (own.begin_ms, following.end_ms) if following.end_ms is not None else None


def leg_after(state: LessonState, visit: int) -> int | None:
    """The leg of the second half, by its place among all, that a visit to a phase was left for."""
    end_ms = state.visits[visit].end_ms
    following = state.visits[visit + 1].begin_ms if visit + 1 < len(state.visits) else None
    if following is None and state.legs and state.legs[-1].end_ms not in (None, state.ended_ms):
        return None  # the class came back from the groups before
    for number, leg in enumerate(state.legs):
        if leg.begin_ms == end_ms and (following is None or (leg.end_ms or 0) <= following):
            return number
    return None


def border_moved(state: LessonState, visit: int, t_ms: int) -> LessonState:
    """The state with the border after a visit at another time; as it was where that can't be."""
    room = border_room(state, visit)
    if room is None or not room[0] <= t_ms <= room[1]:
        return state
    visits = list(state.visits)
    visits[visit] = replace(visits[visit], end_ms=t_ms)
    leg = leg_after(state, visit)
    if leg is not None:
        legs = list(state.legs)
        legs[leg] = replace(legs[leg], begin_ms=t_ms)
        state = replace(state, legs=tuple(legs))
    elif visit + 1 < len(visits):
        visits[visit + 1] = replace(visits[visit + 1], begin_ms=t_ms)
    return _with_visits(state, visits)


def visit_split(state: LessonState, visit: int, t_ms: int, to: int) -> LessonState:
    """The state with a visit of phase ``to`` in the rest of a visit; as it was where that can't be."""
    if state.outline is None or not 0 <= visit < len(state.visits) or not 0 <= to < len(state.plan.phases):
        return state
    own = state.visits[visit]
    if own.end_ms is None or to == own.index or not own.begin_ms < t_ms < own.end_ms:
        return state
    # Nobody said how the first part ended; the second ended as the whole did.
    first = replace(own, end_ms=t_ms, ending="unsaid")
    second = Visit(to, t_ms, own.end_ms, own.ending)
    return _with_visits(state, [*state.visits[:visit], first, second, *state.visits[visit + 1 :]])


def ending_said(state: LessonState, phase: int, ending: Ending) -> LessonState:
    """The state in which a phase's last visit ended in another way."""
    visits = list(state.visits)
    last = next((i for i in reversed(range(len(visits))) if visits[i].index == phase), None)
    if last is None or visits[last].end_ms is None:
        return state
    visits[last] = replace(visits[last], ending=ending)
    return replace(state, visits=tuple(visits))


def _with_visits(state: LessonState, visits: Sequence[Visit]) -> LessonState:
    """Marks and partner bursts belong to the phase that ran when they were made."""

    def talked_in(talk: PartnerBurst) -> int:
        index = _ran_at(visits, talk.span.begin_ms, talk.index)
        return talk.index if index < 0 else index

    return replace(
        state,
        visits=tuple(visits),
        marks=tuple(replace(mark, index=_ran_at(visits, mark.t_ms, mark.index)) for mark in state.marks),
        talks=tuple(replace(talk, index=talked_in(talk)) for talk in state.talks),
    )


def _ran_at(visits: Sequence[Visit], t_ms: int, index: int) -> int:
    """The phase that ran at a lesson time; -1 where none did.

    On a border two did: then it is ``index``, where that is one of them.
    """
    if index < 0:
        return index
    running = [
        visit.index
        for visit in visits
        if visit.begin_ms <= t_ms and (visit.end_ms is None or t_ms <= visit.end_ms)
    ]
    if index in running:
        return index
    return running[-1] if running else -1
