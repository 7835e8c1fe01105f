"""A lesson that really began before Start was pressed: all its times counted from the real start."""

from collections.abc import Iterable
from dataclasses import replace
from typing import TypeVar

from pacer.run.legs import BellChange, GroupOut, Leg, LegChange
from pacer.run.state import LessonState
from pacer.run.timeline import AddedTime, GivenCue, ScreensChange, Span, Stall, TimeGap, Visit

Timed = TypeVar("Timed", AddedTime, ScreensChange, Stall, TimeGap, GivenCue, LegChange, GroupOut, BellChange)
Stay = TypeVar("Stay", Span, Visit, Leg)


def shift_times(state: LessonState, by_ms: int) -> LessonState:
    """The same lesson with lesson time 0 so many milliseconds earlier; every clock time stays as it was."""
    if not by_ms:
        return state
    ended, settling = state.ended_ms, state.settling_ms
    return replace(
        state,
        started_utc_ms=state.started_utc_ms - by_ms,
        visits=tuple(
            replace(_later(visit, by_ms), cut_anew=tuple(t_ms + by_ms for t_ms in visit.cut_anew))
            for visit in state.visits
        ),
        stopped=tuple(_later(span, by_ms) for span in state.stopped),
        added=_shifted(state.added, by_ms),
        talks=tuple(replace(talk, span=_later(talk.span, by_ms)) for talk in state.talks),
        marks=tuple(replace(mark, t_ms=mark.t_ms + by_ms) for mark in state.marks),
        pressed_ms=state.pressed_ms + by_ms,
        settling_ms=None if settling is None else settling + by_ms,
        screens=_shifted(state.screens, by_ms),
        stalls=_shifted(state.stalls, by_ms),
        gaps=_shifted(state.gaps, by_ms),
        forecasts=tuple(
            forecast.model_copy(update={"end_ms": forecast.end_ms + by_ms}) for forecast in state.forecasts
        ),
        cues=_shifted(state.cues, by_ms),
        ended_ms=None if ended is None else ended + by_ms,
        legs=tuple(_later(leg, by_ms) for leg in state.legs),
        leg_changes=_shifted(state.leg_changes, by_ms),
        out=_shifted(state.out, by_ms),
        bell_changes=_shifted(state.bell_changes, by_ms),
    )


def _shifted(happenings: Iterable[Timed], by_ms: int) -> tuple[Timed, ...]:
    return tuple(happening._replace(t_ms=happening.t_ms + by_ms) for happening in happenings)


def _later(span: Stay, by_ms: int) -> Stay:
    end_ms = None if span.end_ms is None else span.end_ms + by_ms
    return replace(span, begin_ms=span.begin_ms + by_ms, end_ms=end_ms)
