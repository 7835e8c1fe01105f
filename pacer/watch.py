"""Keeps a running lesson up to now: marks gaps, writes down cues and forecasts, follows presses."""

from pacer.pace.cues import due_cue
from pacer.pace.reading import Foresee, Reading
from pacer.pace.talk import TALK_LIMIT_S
from pacer.run.events import Cued
from pacer.run.machine import CUT_ANEW
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
    """Follow a command. Keeping the shorter times says which phase must leave, as computed now.

    Where nothing is asked in mid-phase, it cuts anew from now on, if that changes anything.
    """
    if command == "keep" and not argument:
        argument = _kept(look(session))
    if command == "take":
        reading = Reading(session.state, session.now_ms())
        if (reading.allotments or reading.half) is not None and reading.left_ms <= 0:
            return Refusal(_("Nothing is left to take."))
    result = session.do(command, argument)
    # Whoever presses is there, even where the press can't be followed: nothing need be asked any more.
    if isinstance(result, Refusal):
        session.do("here")
    return result


def _kept(reading: Reading) -> str:
    """What a press that keeps the shorter times is about now."""
    state, fitting, half = reading.state, reading.fitting, reading.half
    if half is not None:
        return "" if half.offered is None else str(half.offered)
    if fitting is None:
        return ""
    if not fitting.leaving and not reading.asks and reading.could_cut_anew:
        return CUT_ANEW
    return ",".join(state.plan.phases[leaver.index].id for leaver in fitting.leaving)
