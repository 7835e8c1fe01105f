"""When the Desk may draw the teacher's attention: few cues, well apart, each only once."""

from pacer.pace.cut import cut
from pacer.pace.move_by import move_by
from pacer.pace.stages import shown_stage
from pacer.pace.talk import TALK_LIMIT_S, talk_now
from pacer.run.events import Cue
from pacer.run.state import LessonState

APART_MS = 20_000
# Closing comes in every phase and asks for nothing yet: it is shown, but it is no cue.
_STAGE_CUES: tuple[Cue, ...] = ("borrowing", "move_on")


def due_cue(state: LessonState, now_ms: int, talk_limit_s: int = TALK_LIMIT_S) -> Cue | None:
    """The cue to give now, if any.

    A stage is cued once a visit, or once more after time was added; a stretch of teacher talk once.
    A cue that comes too soon after the last one waits, and is dropped if its reason has passed. A baseline
    lesson has none: it is there to compare with.
    """
    if state.mode == "baseline" or not state.is_running or state.is_paused or state.visit is None:
        return None
    last = state.cues[-1].t_ms if state.cues else None
    if last is not None and now_ms - last < APART_MS:
        return None
    current = cut(state)
    by = None if current is None else move_by(state, current, now_ms)
    stage = shown_stage(state, current, by, now_ms).stage
    given_since = {given.cue for given in state.cues[state.cues_before :]}
    for cue in _STAGE_CUES:
        if cue == stage and cue not in given_since:
            return cue
    stretch = talk_now(state, now_ms)
    if stretch is None or stretch.length_ms < talk_limit_s * 1000:
        return None
    told = any(given.cue == "talk" and given.t_ms >= stretch.begin_ms for given in state.cues)
    return None if told else "talk"
