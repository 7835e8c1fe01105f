"""Folds the events of a past lesson at once, and tells what the Desk showed at endings that nobody named."""

from collections.abc import Sequence

from pacer.pace.reading import Reading
from pacer.pace.stages import Stage
from pacer.run import events as ev
from pacer.run.events import Ending, Event
from pacer.run.fold import fold, step, undone_numbers
from pacer.run.state import LessonState


def replay_with_stages(events: Sequence[Event]) -> tuple[LessonState, dict[int, Stage]]:
    """The final state, and by phase the stage the Desk showed when it last ended unsaid."""
    undone = undone_numbers(events)
    stages: dict[int, Stage] = {}
    state = LessonState()
    for number, event in enumerate(events):
        if event.seq not in undone:
            if _ending(event) == "unsaid" and state.index is not None:
                stages[state.index] = _stage(state, event.t_ms)
            state = step(state, event)
        elif isinstance(event.body, ev.Gap):
            # A gap that was taken back stops the phase clock: only a whole fold knows how.
            taken_back = [later for later in events[number + 1 :] if isinstance(later.body, ev.Undone)]
            state = fold([*events[: number + 1], *taken_back])
    return state, stages


def _ending(event: Event) -> Ending | None:
    return event.body.ending if isinstance(event.body, ev.Moved | ev.LegBegan | ev.Ended) else None


def _stage(state: LessonState, t_ms: int) -> Stage:
    """What the Desk showed; under a pause, what it showed before and would have shown after."""
    if state.is_paused:
        state = step(state, Event(seq=0, t_ms=t_ms, mono_ms=0, utc_ms=0, body=ev.WentOn()))
    return Reading(state, t_ms).shown.stage
