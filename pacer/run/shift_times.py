"""A lesson that really began before Start was pressed: all its times counted from the real start."""

from dataclasses import replace

from pacer.run.state import LessonState, Span


def earlier(state: LessonState, by_ms: int) -> LessonState:
    """The same lesson with lesson time 0 so many milliseconds earlier; every clock time stays as it was."""
    if not by_ms:
        return state
    ended, settling = state.ended_ms, state.settling_ms
    return replace(
        state,
        started_utc_ms=state.started_utc_ms - by_ms,
        visits=tuple(
            replace(
                visit,
                begin_ms=visit.begin_ms + by_ms,
                end_ms=None if visit.end_ms is None else visit.end_ms + by_ms,
            )
            for visit in state.visits
        ),
        stopped=tuple(_later(span, by_ms) for span in state.stopped),
        added=tuple((t + by_ms, index, seconds) for t, index, seconds in state.added),
        talks=tuple(replace(talk, span=_later(talk.span, by_ms)) for talk in state.talks),
        marks=tuple(replace(mark, t_ms=mark.t_ms + by_ms) for mark in state.marks),
        settling_ms=None if settling is None else settling + by_ms,
        screens=tuple((t + by_ms, body) for t, body in state.screens),
        stalls=tuple((t + by_ms, late_ms) for t, late_ms in state.stalls),
        gaps=tuple((t + by_ms, gap_ms, cause) for t, gap_ms, cause in state.gaps),
        forecasts=tuple(made.model_copy(update={"end_ms": made.end_ms + by_ms}) for made in state.forecasts),
        cues=tuple((t + by_ms, cue) for t, cue in state.cues),
        ended_ms=None if ended is None else ended + by_ms,
    )


def _later(span: Span, by_ms: int) -> Span:
    return Span(span.begin_ms + by_ms, None if span.end_ms is None else span.end_ms + by_ms)
