"""Keeps a running lesson up to now: marks gaps and writes down the cues that are given."""

from pacer.pace.cues import due_cue
from pacer.pace.talk import TALK_LIMIT_S
from pacer.run.session import Session


def watch(session: Session, talk_limit_s: int = TALK_LIMIT_S) -> None:
    """Bring a session up to now and write down the cue that is due. Called once a second."""
    session.tick()
    cue = due_cue(session.state, session.now_ms(), talk_limit_s)
    if cue is not None:
        session.note_cue(cue)
