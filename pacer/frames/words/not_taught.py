"""What a lesson left over, in words, so that the teacher can say where it went."""

from collections.abc import Sequence
from dataclasses import dataclass

from pacer.frames.words.kinds import fate_words
from pacer.plan.durations import format_duration
from pacer.review.days import DayPhase
from pacer.review.left_over import LeftOver
from pacer.review.questions.not_taught import why_not
from pacer.run.corrections import AnyAfter, LineWent, Went, WentTo
from pacer.run.table_list import LineKey
from pacer.text import _

_LINE: tuple[Went, ...] = ("table", "dropped", "done")
_LISTED_PHASE: tuple[Went, ...] = ("table", "tomorrow", "dropped", "done")
_PHASE: tuple[Went, ...] = ("table", "tomorrow", "dropped")


@dataclass(frozen=True)
class LeftRow:
    """A question about one thing that was left over, the answers it has, and the one given.

    ``by_outline``: the outline answers it where the teacher does not.
    """

    key: LineKey
    title: str
    words: str
    answers: tuple[Went, ...]
    went: str
    is_said: bool
    by_outline: bool


def left_rows(found: Sequence[LeftOver]) -> tuple[LeftRow, ...]:
    """A row for each that is asked about."""
    return tuple(
        LeftRow(
            each.key,
            each.text,
            what_words(each),
            _answers(each),
            each.went,
            each.is_said,
            bool(each.by_outline),
        )
        for each in found
        if each.is_asked
    )


def answer_to(key: LineKey, went: str) -> AnyAfter:
    """What to write where one of them went; empty takes back what was said."""
    if key.about == "moved":
        return WentTo.model_validate({"phase": key.of, "to": went})
    return LineWent.model_validate({"about": key.about, "of": key.of, "to": went})


def what_words(each: LeftOver) -> str:
    """What was left over, and of a phase why."""
    return each.text if each.phase is None else _why(each.phase)


def left_words(went: str) -> str:
    """Where it went: after school the table is tomorrow's, as today's is over."""
    names = {"table": _("table tomorrow"), "done": _("was done")}
    return names.get(went) or fate_words(went)


def _answers(each: LeftOver) -> tuple[Went, ...]:
    if each.phase is None:
        return _LINE
    return _LISTED_PHASE if each.is_listed else _PHASE  # what was on no list has no forgotten tick


def _why(phase: DayPhase) -> str:
    why = why_not(phase)
    if why == "cut off":
        words = _("{phase} was cut off at {actual} of {planned}")
    elif why == "left":
        words = _("{phase} left the lesson, {planned}")
    else:
        words = _("{phase} was not reached, {planned}")
    return words.format(
        phase=phase.title, actual=format_duration(phase.actual_s), planned=format_duration(phase.planned_s)
    )
