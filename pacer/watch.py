"""Keeps a running lesson up to now: marks gaps, writes down cues and forecasts, follows presses."""

from collections.abc import Callable

from pacer.pace.cues import due_cue
from pacer.pace.cut import cut
from pacer.pace.leave import fit_now
from pacer.pace.talk import TALK_LIMIT_S
from pacer.run.events import Forecasted
from pacer.run.machine import Refusal
from pacer.run.session import Done, Session
from pacer.run.state import LessonState
from pacer.text import _

Foresee = Callable[[LessonState, int], Forecasted | None]


def watch(session: Session, talk_limit_s: int = TALK_LIMIT_S, foresee: Foresee | None = None) -> None:
    """Bring a session up to now and write down the cue that is due. Called once a second.

    ``foresee`` makes a forecast from past lessons; it is asked once a phase border.
    """
    session.tick()
    state = session.state
    if foresee is not None and _border_is_new(state):
        forecast = foresee(state, session.now_ms())
        if forecast is not None:
            session.note(forecast)
    cue = due_cue(session.state, session.now_ms(), talk_limit_s)
    if cue is not None:
        session.note_cue(cue)


def _border_is_new(state: LessonState) -> bool:
    """Whether the running phase of the mini lesson was entered since the last forecast."""
    if state.visit is None or state.index is None or state.index >= state.plan.mini_count:
        return False
    return state.forecast is None


def follow(session: Session, command: str, argument: str = "") -> Done | Refusal:
    """Follow a command. Keeping a re-cut for which a phase must leave says which one, as computed now."""
    if command == "keep" and not argument:
        session.tick()
        fitting = fit_now(session.state, session.now_ms()) if session.state.is_running else None
        if fitting is not None and fitting.leaving:
            phases = session.state.plan.phases
            argument = ",".join(phases[leaver.index].id for leaver in fitting.leaving)
    if command == "take" and _nothing_left(session):
        return Refusal(_("Nothing is left to take."))
    return session.do(command, argument)


def _nothing_left(session: Session) -> bool:
    """Whether the running phase has used up its time, so that taking some would change nothing."""
    current = cut(session.state)
    if current is None:
        return False
    return session.state.spent_ms(current.index, session.now_ms()) >= current.allotted_s * 1000
