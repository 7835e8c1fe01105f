"""Folds the events of a lesson to its state, one pure step per event; undone events are left out."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from pacer.run import events as ev
from pacer.run.events import Ending, Event
from pacer.run.legs import BellChange, GroupOut, Leg, LegChange
from pacer.run.state import LessonState
from pacer.run.timeline import (
    AddedTime,
    CutChoice,
    GivenCue,
    PartnerBurst,
    ScreensChange,
    Settle,
    Span,
    Stall,
    TimedMark,
    TimeGap,
    Visit,
)

UNPRESSED = (ev.Forecasted, ev.Cued, ev.ScreensChanged, ev.Stalled, ev.Gap)


def fold(events: Iterable[Event]) -> LessonState:
    """The state that a sequence of events leads to. Undone events count as never made."""
    listed = list(events)
    undone = undone_numbers(listed)
    state = LessonState()
    for event in listed:
        if event.seq not in undone:
            state = step(state, event)
            continue
        state = _pressed(state, event)
        if isinstance(event.body, ev.Gap) and event.body.cause != "clock_set":
            # The time did pass in the room, so only the phase clock gives it back.
            begin = event.t_ms - max(0, event.body.gap_ms)
            if not state.is_paused:  # else the phase clock stood still anyway, and the open pause stays last
                state = replace(state, stopped=(*state.stopped, Span(begin, event.t_ms)))
    return state


def undone_numbers(events: Sequence[Event]) -> set[int]:
    """Numbers of the events that a later one took back."""
    return {event.body.target for event in events if isinstance(event.body, ev.Undone)}


def step(state: LessonState, event: Event) -> LessonState:
    """The state after one more event."""
    return _pressed(_followed(state, event), event)


def _pressed(state: LessonState, event: Event) -> LessonState:
    """A press is one even if it was taken back; what nobody pressed is none."""
    return state if isinstance(event.body, UNPRESSED) else replace(state, pressed_ms=event.t_ms)


def _followed(state: LessonState, event: Event) -> LessonState:
    body, t = event.body, event.t_ms
    match body:
        case ev.Started():
            return _started(body, event)
        case ev.Moved():
            return _moved(state, body, t)
        case ev.LegBegan():
            return _leg_began(state, body, t)
        case ev.GroupLeftOut():
            return _left_out(state, body, t)
        case ev.BellMoved():
            bell = BellChange(t, body.seconds, len(state.leg_changes))
            return replace(state, bell_changes=(*state.bell_changes, bell))
        case ev.ListTicked():
            # The number is the line's place at that press: a phase that leaves later stands before the marks.
            lines = state.table_list[body.number : body.number + 1]
            return replace(state, ticked=(*state.ticked, *(line.key for line in lines)))
        case ev.TimeAdded() if state.leg is not None:
            changes = (*state.leg_changes, LegChange(t, len(state.legs) - 1, body.seconds))
            before = len(state.cues) if body.seconds > 0 else state.cues_before
            return replace(state, leg_changes=changes, cues_before=before)
        case ev.Paused():
            return replace(state, stopped=(*state.stopped, Span(t)))
        case ev.WentOn():
            return replace(state, stopped=_stops_closed(state, t), blank_from=None)
        case ev.TimeAdded() if state.index is not None:
            added = (*state.added, AddedTime(t, state.index, body.seconds))
            before = len(state.cues) if body.seconds > 0 else state.cues_before
            changed = replace(state, added=added, cues_before=before)
            # More time cuts anew, and a new cut is asked about; who has left stays gone.
            return _with_choice(changed, "", ()) if state.cut_choice == "kept" else changed
        case ev.BurstStarted() if state.index is not None:
            talks = (*_talks_closed(state, t), PartnerBurst(state.index, Span(t), body.length_s, body.prompt))
            return replace(state, talks=talks, settling_ms=None)
        case ev.EyesBack():
            return replace(state, talks=_talks_closed(state, t), settling_ms=t)
        case ev.HalfReady():
            return replace(state, halves=(*state.halves, state.half_ready_now(t)))
        case ev.Settled():
            return _settled(state, t)
        case ev.WallTurned() | ev.TimeHidden() | ev.FillTurned() | ev.PageTurned() | ev.StripMoved():
            # Each says one thing, which the state keeps under the same name.
            return replace(state, **body.model_dump(exclude={"kind"}))
        case ev.Blanked():
            return _blanked(state, t)
        case ev.Unblanked():
            return _unblanked(state, t)
        case ev.ScreensChanged():
            return replace(state, screens=(*state.screens, ScreensChange(t, body)))
        case ev.Stalled():
            return replace(state, stalls=(*state.stalls, Stall(t, body.late_ms)))
        case ev.BellRang():
            return replace(_lesson_over(state, t, "bell"), bell_offset_s=body.offset_s)
        case ev.Ended():
            return replace(_lesson_over(state, t, body.ending), ended_by_hand=True)
        case ev.Gap():
            shift = body.gap_ms if body.cause == "clock_set" else 0
            gaps = (*state.gaps, TimeGap(t, body.gap_ms, body.cause))
            return replace(state, gaps=gaps, clock_set_ms=state.clock_set_ms + shift)
        case ev.Cued():
            return replace(state, cues=(*state.cues, GivenCue(t, body.cue)))
        case ev.CutKept():
            return _with_choice(state, "kept", body.leaving, (t,) if body.anew else ())
        case ev.CutDeclined():
            return _with_choice(state, "declined", None)
        case ev.Forecasted():
            return replace(state, forecasts=(*state.forecasts, body))
        case ev.Voice() | ev.Example() | ev.Tally() | ev.TableMark() | ev.Happened():
            number = body.number if isinstance(body, ev.Tally) else 0
            return replace(state, marks=(*state.marks, TimedMark(body.kind, _marked_index(state), t, number)))
        case _:
            return state


def _started(body: ev.Started, event: Event) -> LessonState:
    return LessonState(
        outline=body.outline,
        started_utc_ms=event.utc_ms,
        planned_utc_ms=body.planned_utc_ms,
        utc_offset_s=body.utc_offset_s,
        mode=body.mode,
        shape=body.shape,
        visits=(Visit(0, event.t_ms),),
        face=body.outline.phases[0].wall or "full",
    )


def _moved(state: LessonState, body: ev.Moved, t: int) -> LessonState:
    visits = _visits_left(state, t, body.ending)
    if body.to is None:
        return replace(_lesson_over(state, t, body.ending), visits=visits)
    return replace(
        state,
        visits=(*visits, Visit(body.to, t)),
        legs=_legs_closed(state, t),
        stopped=_stops_closed(state, t),
        talks=_talks_closed(state, t),
        settling_ms=None,
        fill=None,
        page=None,
        face=state.plan.phases[body.to].wall or state.face,
        forecasts_before=len(state.forecasts),
        cues_before=len(state.cues),
    )


def _leg_began(state: LessonState, body: ev.LegBegan, t: int) -> LessonState:
    """Whatever ran ends, and another leg begins. A group that was out and is at the table came after all."""
    came = body.group if body.leg == "visit" else -1
    return replace(
        state,
        out=tuple(out for out in state.out if out.group != came),
        visits=_visits_left(state, t, body.ending),
        legs=(*_legs_closed(state, t), Leg(body.leg, body.group, t)),
        stopped=_stops_closed(state, t),
        talks=_talks_closed(state, t),
        settling_ms=None,
        fill=None,
        page=None,
        cues_before=len(state.cues),
    )


def _left_out(state: LessonState, body: ev.GroupLeftOut, t: int) -> LessonState:
    """A group has no visit; where it was due, the next one is, or nobody, and the way leads to the share."""
    gone = GroupOut(t, body.group, body.why, len(state.leg_changes))
    out = replace(state, out=(*state.out, gone))
    leg = state.leg
    if leg is None or leg.group != body.group:
        return out
    following = out.groups_to_come[0] if out.groups_to_come else -1
    if leg.kind != "visit":
        return replace(out, legs=(*out.legs[:-1], replace(leg, group=following)))
    begun = Leg("visit" if following >= 0 else "swap", following, t)
    return replace(out, legs=(*_legs_closed(out, t), begun), cues_before=len(out.cues))


def _legs_closed(state: LessonState, t: int) -> tuple[Leg, ...]:
    if state.leg is None:
        return state.legs
    return (*state.legs[:-1], replace(state.leg, end_ms=t))


def _settled(state: LessonState, t: int) -> LessonState:
    took_ms = state.settling_for_ms(t)
    if took_ms is None:
        return state
    settle = Settle(_marked_index(state), took_ms)
    return replace(state, settling_ms=None, settles=(*state.settles, settle))


def _blanked(state: LessonState, t: int) -> LessonState:
    """Nothing on the Wall, the phase clock stands, and the time is marked."""
    mark = TimedMark("blanked", _marked_index(state), t)
    stopped = state.stopped if state.is_paused else (*state.stopped, Span(t))
    return replace(state, blank_from=len(state.stopped), stopped=stopped, marks=(*state.marks, mark))


def _unblanked(state: LessonState, t: int) -> LessonState:
    """The phase clock goes on, unless it was paused before the Wall went blank."""
    paused_by_it = state.blank_from is not None and len(state.stopped) > state.blank_from
    return replace(state, blank_from=None, stopped=_stops_closed(state, t) if paused_by_it else state.stopped)


def _with_choice(
    state: LessonState, choice: CutChoice, leaving: tuple[int, ...] | None, anew: tuple[int, ...] = ()
) -> LessonState:
    """Note a choice at the running visit; declining (None) brings back what left and was cut since then."""
    if state.visit is None:
        return state
    left_here = () if leaving is None else tuple(sorted({*state.visit.leaving, *leaving}))
    cut_anew = () if leaving is None else (*state.visit.cut_anew, *anew)
    visit = replace(state.visit, choice=choice, leaving=left_here, cut_anew=cut_anew)
    return replace(state, visits=(*state.visits[:-1], visit))


def _lesson_over(state: LessonState, t: int, ending: Ending) -> LessonState:
    """The lesson ends; whatever runs ends with it."""
    return replace(
        state,
        visits=_visits_left(state, t, ending),
        legs=_legs_closed(state, t),
        stopped=_stops_closed(state, t),
        talks=_talks_closed(state, t),
        settling_ms=None,
        blank_from=None,
        ended_ms=t,
    )


def _visits_left(state: LessonState, t: int, ending: Ending) -> tuple[Visit, ...]:
    """The visits, the running one ended."""
    if state.visit is None:
        return state.visits
    return (*state.visits[:-1], replace(state.visit, end_ms=t, ending=ending))


def _stops_closed(state: LessonState, t: int) -> tuple[Span, ...]:
    if not state.stopped or state.stopped[-1].end_ms is not None:
        return state.stopped
    return (*state.stopped[:-1], replace(state.stopped[-1], end_ms=t))


def _marked_index(state: LessonState) -> int:
    """The index of the phase that a mark belongs to; -1 where none runs."""
    return -1 if state.index is None else state.index


def _talks_closed(state: LessonState, t: int) -> tuple[PartnerBurst, ...]:
    if state.talk is None:
        return state.talks
    return (*state.talks[:-1], replace(state.talk, span=replace(state.talk.span, end_ms=t)))
