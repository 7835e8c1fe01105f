"""When the Desk may draw the teacher's attention: few cues, well apart, each only once."""

from pacer.pace.reading import Reading
from pacer.pace.talk import TALK_LIMIT_S
from pacer.run.events import Cue

APART_MS = 20_000
# Closing comes in every phase and asks for nothing yet: it is shown, but it is no cue.
_STAGE_CUES: tuple[Cue, ...] = ("borrowing", "move_on")


def due_cue(reading: Reading, talk_limit_s: int = TALK_LIMIT_S) -> Cue | None:
    """The cue to give at the instant that was read, if any.

    A stage is cued once a visit, or once more after time was added; a stretch of teacher talk once.
    A cue that comes too soon after the last one waits, and is dropped if its reason has passed. A baseline
    lesson has none: it is there to compare with.
    """
    state, now_ms = reading.state, reading.now_ms
    if state.mode == "baseline" or not state.is_running or state.is_paused:
        return None
    last = state.cues[-1].t_ms if state.cues else None
    if last is not None and now_ms - last < APART_MS:
        return None
    if state.visit is None and reading.half is None:
        return None
    stage = reading.shown.stage
    given_since = {given.cue for given in state.cues[state.cues_before :]}
    for cue in _STAGE_CUES:
        if cue == stage and cue not in given_since:
            return cue
    stretch = reading.talk_stretch
    if stretch is None or stretch.length_ms < talk_limit_s * 1000:
        return None
    was_given = any(given.cue == "talk" and given.t_ms >= stretch.begin_ms for given in state.cues)
    return None if was_given else "talk"
