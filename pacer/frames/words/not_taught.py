"""What a lesson did not teach, in words, so that the teacher can say where it went."""

from dataclasses import dataclass
from typing import get_args

from pacer.plan.durations import format_duration
from pacer.plan.kinds import Fate
from pacer.review.days import DayPhase
from pacer.review.questions.not_taught import why_not
from pacer.review.work_out import day_of
from pacer.run.corrections import Corrections
from pacer.run.state import LessonState
from pacer.text import _

FATES: tuple[Fate, ...] = get_args(Fate)


@dataclass(frozen=True)
class Untaught:
    """A phase that was not taught: why, where it went, and whether the teacher or the outline says so."""

    phase: int
    title: str
    words: str
    went: str
    is_said: bool


def untaught(mended: LessonState, after: Corrections) -> tuple[Untaught, ...]:
    """Every phase that was not taught, by the same rule as its picture; none before the lesson has ended."""
    if mended.ended_ms is None:
        return ()
    said_by_teacher = dict(after.went)
    rows = []
    for index, phase in enumerate(day_of(0, mended, after, {}).phases):
        words = _why(phase)
        if words:
            rows.append(Untaught(index, phase.title, words, phase.fate, index in said_by_teacher))
    return tuple(rows)


def _why(phase: DayPhase) -> str:
    why = why_not(phase)
    if why is None:
        return ""
    if why == "cut off":
        words = _("{phase} was cut off at {actual} of {planned}")
    elif why == "left":
        words = _("{phase} left the lesson, {planned}")
    else:
        words = _("{phase} was not reached, {planned}")
    return words.format(
        phase=phase.title, actual=format_duration(phase.actual_s), planned=format_duration(phase.planned_s)
    )
