"""The state of a lesson: a pure fold of its events, with the questions one can ask of it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from pacer.plan.outline import Outline, Phase
from pacer.run import events as ev
from pacer.run.events import Ending, Event, Face


@dataclass(frozen=True)
class Span:
    """A stretch of lesson time in milliseconds; ``end_ms`` is None while it lasts."""

    begin_ms: int
    end_ms: int | None = None

    def overlap_ms(self, begin_ms: int, end_ms: int) -> int:
        """How much of this span lies between two times; an open span lasts to ``end_ms``."""
        own_end = end_ms if self.end_ms is None else min(self.end_ms, end_ms)
        return max(0, own_end - max(self.begin_ms, begin_ms))


CutChoice = Literal["", "kept", "declined"]


@dataclass(frozen=True)
class Visit:
    """One stay in a phase. A phase that was left and entered again has several.

    ``choice`` is what the teacher said to the re-cut of its border, ``leaving`` the phases that left with it.
    """

    index: int
    begin_ms: int
    end_ms: int | None = None
    ending: Ending | None = None
    choice: CutChoice = ""
    leaving: tuple[int, ...] = ()


@dataclass(frozen=True)
class Talk:
    """A partner burst on the timeline, laid over phase ``index``."""

    index: int
    span: Span
    length_s: int
    prompt: str


@dataclass(frozen=True)
class Mark:
    """A press that only marks a time: a voice, an example, a tally, a table mark, a happening."""

    kind: str
    index: int
    t_ms: int
    number: int = 0


@dataclass(frozen=True)
class LessonState:
    """Everything known about a running or ended lesson. Times are lesson milliseconds.

    ``cues_before`` is how many cues were given before the phase was entered or last got more time;
    ``forecasts_before`` is how many forecasts were made before the phase was entered.
    """

    outline: Outline | None = None
    started_utc_ms: int = 0
    planned_utc_ms: int = 0
    utc_offset_s: int = 0
    mode: ev.Mode = "live"
    visits: tuple[Visit, ...] = ()
    stopped: tuple[Span, ...] = ()
    added: tuple[tuple[int, int, int], ...] = ()
    talks: tuple[Talk, ...] = ()
    marks: tuple[Mark, ...] = ()
    face: Face = "full"
    hidden: bool = False
    gaps: tuple[tuple[int, int, str], ...] = ()
    clock_set_ms: int = 0
    forecasts: tuple[ev.Forecasted, ...] = ()
    forecasts_before: int = 0
    cues: tuple[tuple[int, ev.Cue], ...] = ()
    cues_before: int = 0
    ended_ms: int | None = None
    bell_offset_s: int | None = None

    @property
    def plan(self) -> Outline:
        """The outline of a started lesson. Raises LookupError before the start."""
        if self.outline is None:
            raise LookupError("the lesson has not started")
        return self.outline

    @property
    def visit(self) -> Visit | None:
        """The visit under way, or None before the start, after the last phase and after the end."""
        last = self.visits[-1] if self.visits else None
        return last if last is not None and last.end_ms is None else None

    @property
    def index(self) -> int | None:
        """The running phase's position in the outline."""
        return None if self.visit is None else self.visit.index

    @property
    def phase(self) -> Phase | None:
        """The running phase."""
        return None if self.index is None else self.plan.phases[self.index]

    @property
    def is_running(self) -> bool:
        """Whether the lesson has started and not ended."""
        return self.outline is not None and self.ended_ms is None

    @property
    def is_paused(self) -> bool:
        """Whether the phase clock stands still."""
        return bool(self.stopped) and self.stopped[-1].end_ms is None and self.is_running

    @property
    def talk(self) -> Talk | None:
        """The partner burst under way."""
        last = self.talks[-1] if self.talks else None
        return last if last is not None and last.span.end_ms is None else None

    @property
    def late_ms(self) -> int:
        """How much later than planned the lesson started; negative when early.

        A clock that was set since then has shown that it was wrong before, so it counts here.
        """
        return self.started_utc_ms + self.clock_set_ms - self.planned_utc_ms

    def utc_ms(self, t_ms: int) -> int:
        """The time of day at a lesson time, as the computer's clock has it now."""
        return self.started_utc_ms + self.clock_set_ms + t_ms

    def talk_left_ms(self, now_ms: int) -> int:
        """What is left of the partner burst under way; pauses stop it too. 0 without one."""
        if self.talk is None:
            return 0
        begin = self.talk.span.begin_ms
        stopped = sum(stop.overlap_ms(begin, now_ms) for stop in self.stopped)
        return self.talk.length_s * 1000 - (now_ms - begin) + stopped

    @property
    def cut_choice(self) -> CutChoice:
        """What the teacher said to the re-cut in force; nothing yet: empty."""
        return "" if self.visit is None else self.visit.choice

    @property
    def left(self) -> tuple[int, ...]:
        """The phases that have left the lesson; one that was gone to all the same is back."""
        return _left_by(self.visits)

    @property
    def left_before(self) -> tuple[int, ...]:
        """Those that had left when the running phase was entered."""
        return tuple(index for index in _left_by(self.visits[:-1]) if index != self.index)

    @property
    def next_index(self) -> int | None:
        """The phase that comes next; one that has left the lesson does not."""
        if self.index is None:
            return None
        after = range(self.index + 1, len(self.plan.phases))
        return next((index for index in after if index not in self.left), None)

    @property
    def forecast(self) -> ev.Forecasted | None:
        """The forecast made since the running phase was entered."""
        made = self.forecasts[self.forecasts_before :]
        return next((forecast for forecast in reversed(made) if forecast.index == self.index), None)

    def visited(self, index: int) -> bool:
        """Whether the class has been in a phase at all."""
        return any(visit.index == index for visit in self.visits)

    def ending_of(self, index: int) -> Ending | None:
        """How a phase ended at its last visit; ``skipped`` once the lesson is over without it."""
        endings = [visit.ending for visit in self.visits if visit.index == index]
        if endings:
            return endings[-1]
        return "skipped" if self.ended_ms is not None else None

    def spent_ms(self, index: int, now_ms: int, until_ms: int | None = None) -> int:
        """Phase-clock time of a phase over all its visits, pauses left out, up to ``until_ms``."""
        limit = now_ms if until_ms is None else min(now_ms, until_ms)
        total = 0
        for visit in self.visits:
            if visit.index == index and visit.begin_ms < limit:
                end = limit if visit.end_ms is None else min(visit.end_ms, limit)
                total += end - visit.begin_ms
                total -= sum(stop.overlap_ms(visit.begin_ms, end) for stop in self.stopped)
        return total

    def added_s(self, index: int, before_ms: int | None = None) -> int:
        """Seconds by which a phase's written budget grew or shrank by hand, up to a time.

        That is the sum of what was given and taken as far as the phase was not over then.
        """
        budget = held = self.plan.phases[index].budget_s
        for t, of, seconds in self.added:
            if of == index and (before_ms is None or t < before_ms):
                held = with_added(held, seconds, self.spent_ms(index, t) // 1000)
        return held - budget

    def count(self, kind: str, index: int | None = None) -> int:
        """How many marks of a kind were made, in one phase or in all."""
        return sum(mark.kind == kind and index in (None, mark.index) for mark in self.marks)


def with_added(allotted_s: int, seconds: int, spent_s: int) -> int:
    """Time given counts from now when the phase is over already; what is used can't be taken."""
    if seconds > 0:
        return max(allotted_s, spent_s) + seconds
    return max(min(allotted_s, spent_s), allotted_s + seconds)


def _left_by(visits: Iterable[Visit]) -> tuple[int, ...]:
    gone: set[int] = set()
    for visit in visits:
        gone.discard(visit.index)
        gone.update(visit.leaving)
    return tuple(sorted(gone))


def fold(events: Iterable[Event]) -> LessonState:
    """The state that a sequence of events leads to. Undone events count as never made."""
    listed = list(events)
    undone = undone_numbers(listed)
    state = LessonState()
    for event in listed:
        if event.seq not in undone:
            state = step(state, event)
        elif isinstance(event.body, ev.Gap) and event.body.cause != "clock_set":
            # The time did pass in the room, so only the phase clock gives it back.
            begin = event.t_ms - max(0, event.body.gap_ms)
            state = replace(state, stopped=_with_closed_stop(state, Span(begin, event.t_ms)))
    return state


def undone_numbers(events: Sequence[Event]) -> set[int]:
    """Numbers of the events that a later one took back."""
    return {event.body.target for event in events if isinstance(event.body, ev.Undone)}


def step(state: LessonState, event: Event) -> LessonState:
    """The state after one more event."""
    body, t = event.body, event.t_ms
    match body:
        case ev.Started():
            return _started(body, event)
        case ev.Moved():
            return _moved(state, body, t)
        case ev.Paused():
            return replace(state, stopped=(*state.stopped, Span(t)))
        case ev.WentOn():
            return replace(state, stopped=_closed(state, t))
        case ev.TimeAdded() if state.index is not None:
            added = (*state.added, (t, state.index, body.seconds))
            before = len(state.cues) if body.seconds > 0 else state.cues_before
            changed = replace(state, added=added, cues_before=before)
            # More time cuts anew, and a new cut is asked about; who has left stays gone.
            return _with_choice(changed, "", ()) if state.cut_choice == "kept" else changed
        case ev.BurstStarted() if state.index is not None:
            talks = (*_talks_closed(state, t), Talk(state.index, Span(t), body.length_s, body.prompt))
            return replace(state, talks=talks)
        case ev.EyesBack():
            return replace(state, talks=_talks_closed(state, t))
        case ev.WallTurned():
            return replace(state, face=body.face)
        case ev.TimeHidden():
            return replace(state, hidden=body.hidden)
        case ev.BellRang():
            return replace(_over(state, t, "bell"), bell_offset_s=body.offset_s)
        case ev.Ended():
            return _over(state, t, body.ending)
        case ev.Gap():
            shift = body.gap_ms if body.cause == "clock_set" else 0
            gaps = (*state.gaps, (t, body.gap_ms, body.cause))
            return replace(state, gaps=gaps, clock_set_ms=state.clock_set_ms + shift)
        case ev.Cued():
            return replace(state, cues=(*state.cues, (t, body.cue)))
        case ev.CutKept():
            return _with_choice(state, "kept", body.leaving)
        case ev.CutDeclined():
            return _with_choice(state, "declined", None)
        case ev.Forecasted():
            return replace(state, forecasts=(*state.forecasts, body))
        case ev.Voice() | ev.Example() | ev.Tally() | ev.TableMark() | ev.Happened():
            number = body.number if isinstance(body, ev.Tally) else 0
            where = state.index if state.index is not None else -1
            return replace(state, marks=(*state.marks, Mark(body.kind, where, t, number)))
        case _:
            return state


def _started(body: ev.Started, event: Event) -> LessonState:
    return LessonState(
        outline=body.outline,
        started_utc_ms=event.utc_ms,
        planned_utc_ms=body.planned_utc_ms,
        utc_offset_s=body.utc_offset_s,
        mode=body.mode,
        visits=(Visit(0, event.t_ms),),
        face=body.outline.phases[0].wall or "full",
    )


def _moved(state: LessonState, body: ev.Moved, t: int) -> LessonState:
    visits = _left(state, t, body.ending)
    if body.to is None:
        return replace(_over(state, t, body.ending), visits=visits)
    return replace(
        state,
        visits=(*visits, Visit(body.to, t)),
        stopped=_closed(state, t),
        talks=_talks_closed(state, t),
        face=state.plan.phases[body.to].wall or state.face,
        forecasts_before=len(state.forecasts),
        cues_before=len(state.cues),
    )


def _with_choice(state: LessonState, choice: CutChoice, leaving: tuple[int, ...] | None) -> LessonState:
    """Note a choice at the running visit; declining (None) brings back what left at this border."""
    if state.visit is None:
        return state
    gone = () if leaving is None else tuple(sorted({*state.visit.leaving, *leaving}))
    visit = replace(state.visit, choice=choice, leaving=gone)
    return replace(state, visits=(*state.visits[:-1], visit))


def _over(state: LessonState, t: int, ending: Ending) -> LessonState:
    """The lesson ends; whatever runs ends with it."""
    return replace(
        state,
        visits=_left(state, t, ending),
        stopped=_closed(state, t),
        talks=_talks_closed(state, t),
        ended_ms=t,
    )


def _left(state: LessonState, t: int, ending: Ending) -> tuple[Visit, ...]:
    if state.visit is None:
        return state.visits
    return (*state.visits[:-1], replace(state.visit, end_ms=t, ending=ending))


def _closed(state: LessonState, t: int) -> tuple[Span, ...]:
    if not state.stopped or state.stopped[-1].end_ms is not None:
        return state.stopped
    return (*state.stopped[:-1], replace(state.stopped[-1], end_ms=t))


def _with_closed_stop(state: LessonState, span: Span) -> tuple[Span, ...]:
    """Add a stop that is over, unless the phase clock stood still anyway; an open pause stays last."""
    if state.is_paused:
        return state.stopped
    return (*state.stopped, span)


def _talks_closed(state: LessonState, t: int) -> tuple[Talk, ...]:
    if state.talk is None:
        return state.talks
    return (*state.talks[:-1], replace(state.talk, span=replace(state.talk.span, end_ms=t)))
