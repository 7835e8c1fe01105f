"""Keeps a running lesson up to now: marks gaps, writes down cues and forecasts, follows presses."""

from pacer.pace.cues import due_cue
from pacer.pace.reading import Foresee, Reading
from pacer.pace.talk import TALK_LIMIT_S
from pacer.run.events import Cued
from pacer.run.refusal import Refusal
from pacer.run.session import Done, Session
from pacer.text import _


def keep_up(session: Session, foresee: Foresee | None = None) -> Reading:
    """Bring a session up to now and write down the cue that is due. Called once a second.

    ``foresee`` makes a forecast from past lessons; it is asked once a phase border. Returns what was read.
    """
    reading = look(session, foresee)
    note(session, reading)
    return reading


def look(session: Session, foresee: Foresee | None = None) -> Reading:
    """Bring a session up to now and read it."""
    now_ms = session.tick()
    return Reading(session.state, now_ms, foresee)


def note(session: Session, reading: Reading, talk_limit_s: int = TALK_LIMIT_S) -> None:
    """Write down what an instant brings: a forecast where a border is new, and the cue that is due."""
    if reading.foresee is not None and reading.state.is_in_mini_lesson and reading.state.forecast is None:
        forecast = reading.odds
        if forecast is not None:
            session.note(forecast)
    cue = due_cue(reading, talk_limit_s)
    if cue is not None:
        session.note(Cued(cue=cue))


def execute(session: Session, command: str, argument: str = "") -> Done | Refusal:
    """Follow a command. Keeping a re-cut for which a phase must leave says which one, as computed now."""
    if command == "keep" and not argument:
        fitting = look(session).fitting
        if fitting is not None:
            phases = session.state.plan.phases
            argument = ",".join(phases[leaver.index].id for leaver in fitting.leaving)
    if (
        command == "keep"
        and not argument
        and (half := look(session).half) is not None
        and half.offered is not None
    ):
        argument = str(half.offered)
    if command == "take":
        reading = Reading(session.state, session.now_ms())
        if (reading.allotments or reading.half) is not None and reading.left_ms <= 0:
            return Refusal(_("Nothing is left to take."))
    return session.do(command, argument)
