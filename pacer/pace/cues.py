"""When the Desk may draw the teacher's attention: few cues, well apart, each only once."""

from pacer.pace.reading import Reading
from pacer.pace.talk import TALK_LIMIT_S
from pacer.run.events import Cue

# Choices of ours, measured over invented terms: a mini lesson has four cues, and none more than six.
APART_MS = 120_000
SOFT_APART_MS = 300_000
_STAGE_CUES: tuple[Cue, ...] = ("borrowing", "move_on")


def due_cue(reading: Reading, talk_limit_s: int = TALK_LIMIT_S) -> Cue | None:
    """The cue to give at the instant that was read, if any.

    A stage is cued once a visit, or once more after time was added; a stretch of teacher talk once, and once
    that nothing was pressed for long. A cue that comes too soon after the last one waits, and is dropped if
    its reason has passed. A baseline lesson has none: it is there to compare with.
    """
    state, now_ms = reading.state, reading.now_ms
    if state.mode == "baseline" or not state.is_running or (state.visit is None and reading.half is None):
        return None
    since_ms = now_ms - state.cues[-1].t_ms if state.cues else None
    if since_ms is not None and since_ms < APART_MS:
        return None
    if state.is_quiet(now_ms) and not any(
        given.cue == "quiet" and given.t_ms >= state.pressed_ms for given in state.cues
    ):
        return "quiet"
    if state.is_paused:
        return None
    if not any(given.cue in _STAGE_CUES for given in state.cues[state.cues_before :]):
        cue = _stage_cue(reading, since_ms)
        if cue is not None:
            return cue
    stretch = reading.talk_stretch
    if stretch is None or stretch.length_ms < talk_limit_s * 1000:
        return None
    was_given = any(given.cue == "talk" and given.t_ms >= stretch.begin_ms for given in state.cues)
    return None if was_given else "talk"


def _stage_cue(reading: Reading, since_ms: int | None) -> Cue | None:
    """The stage, where it asks for something now.

    Closing and Borrowing of a phase are shown: they ask for nothing yet. A fair or cap time that is reached
    waits longer than a hard one, for the later phases can still pay. In the second half the time of a visit
    is up once; the end of a move, a swap or the share tells itself.
    """
    stage = reading.shown.stage
    if reading.half is not None:
        is_visit = reading.half.leg.kind == "visit"
        return stage if is_visit and (stage == "borrowing" or stage == "move_on") else None
    by = reading.move_by
    is_soft = by is not None and by.reason != "hard"
    if stage != "move_on" or (is_soft and since_ms is not None and since_ms < SOFT_APART_MS):
        return None
    return stage
