"""When the Desk may draw the teacher's attention: few cues, well apart, each only once."""

from pacer.pace.cut import cut
from pacer.pace.move_by import move_by
from pacer.pace.stages import LEVELS, shown_stage
from pacer.pace.talk import TALK_LIMIT_S, talk_now
from pacer.run.events import Cue
from pacer.run.session import Session
from pacer.run.state import LessonState

APART_MS = 20_000
_STAGE_CUES: tuple[Cue, ...] = ("closing", "borrowing", "move_on")


def due_cue(state: LessonState, now_ms: int, talk_limit_s: int = TALK_LIMIT_S) -> Cue | None:
    """The cue to give now, if any.

    A stage is cued once a visit, or once more after time was added; a stretch of teacher talk once.
    A cue that comes too soon after the last one waits, and is dropped if its reason has passed.
    """
    if not state.is_running or state.is_paused or state.visit is None:
        return None
    last = state.cues[-1][0] if state.cues else None
    if last is not None and now_ms - last < APART_MS:
        return None
    current = cut(state)
    by = None if current is None else move_by(state, current, now_ms)
    stage = shown_stage(state, current, by, now_ms).stage
    since = max([state.visit.begin_ms, *(t for t, index, _s in state.added if index == state.index)])
    for cue in _STAGE_CUES:
        if cue == stage and not _given(state, since, LEVELS.index(cue)):
            return cue
    stretch = talk_now(state, now_ms)
    if stretch is None or stretch.length_ms < talk_limit_s * 1000:
        return None
    told = any(cue == "talk" and t >= stretch.begin_ms for t, cue in state.cues)
    return None if told else "talk"


def _given(state: LessonState, since_ms: int, level: int) -> bool:
    """Whether this level was cued since a time."""
    return any(t >= since_ms and cue == LEVELS[level] for t, cue in state.cues)


def watch(session: Session, talk_limit_s: int = TALK_LIMIT_S) -> None:
    """Bring a session up to now and write down the cue that is due. Called once a second."""
    session.tick()
    cue = due_cue(session.state, session.now_ms(), talk_limit_s)
    if cue is not None:
        session.note_cue(cue)
