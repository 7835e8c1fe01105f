"""What a lesson left over: phases that were not taught and lines of the table list, and where each went."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from pacer.plan.kinds import Fate
from pacer.review.days import DayPhase
from pacer.review.questions.not_taught import why_not
from pacer.review.work_out import day_of
from pacer.run.corrections import Corrections, Went
from pacer.run.state import LessonState
from pacer.run.table_list import LineKey


@dataclass(frozen=True)
class LeftOver:
    """A line of the table list, or a phase that was not taught, with what the class had of it.

    ``key`` of a phase is that of its line, whether the Desk listed it (``is_listed``) or not. ``went`` is
    empty while nobody has said where it went; ``is_said``: the teacher said so afterwards, not the outline
    (``by_outline``), and not a tick in the lesson (``is_ticked``).
    """

    key: LineKey
    text: str
    went: Went | Literal[""]
    is_said: bool
    by_outline: Fate | Literal[""] = ""
    phase: DayPhase | None = None
    is_listed: bool = True
    is_ticked: bool = False

    @property
    def is_asked(self) -> bool:
        """Whether it is asked about after school: what was ticked is not."""
        return not self.is_ticked

    @property
    def is_open(self) -> bool:
        """Whether it stood on the list and nobody has said yet where it went."""
        return self.is_listed and not self.went


def left_over(original: LessonState, mended: LessonState, after: Corrections) -> tuple[LeftOver, ...]:
    """The table list, moved phases first, then the other phases; nothing before the lesson has ended.

    The list is the one that was ticked: as its own presses have it (``original``). What was taught is as it
    was mended. A rehearsal leaves nothing.
    """
    if original.ended_ms is None or original.mode == "rehearsal":
        return ()
    lines = original.table_list if _had_list(original) else ()
    phases = dict(enumerate(day_of(0, mended, after, {}).phases))
    missing = {index: phase for index, phase in phases.items() if why_not(phase) is not None}
    listed = {line.key: line.key in original.ticked for line in lines}
    said, said_of_phases = dict(after.lines), dict(after.went)
    found: list[LeftOver] = []
    unlisted: list[LeftOver] = []
    for index, phase in missing.items():
        key = LineKey("moved", index)
        # On the day's list the outline's word is carried out, not the answer: was it done there or not?
        by_outline = "" if key in listed else mended.plan.phases[index].movable or ""
        went = said_of_phases.get(index)
        one = _answered(LeftOver(key, phase.title, "", False, by_outline, phase), went, listed)
        (found if one.is_listed else unlisted).append(one)
    lines = tuple(line for line in lines if line.key.about != "moved")
    found += [_answered(LeftOver(key, text, "", False), said.get(key), listed) for key, text in lines]
    return (*found, *unlisted)


def _answered(one: LeftOver, said: Went | None, listed: Mapping[LineKey, bool]) -> LeftOver:
    """With what became of it: a tick in the lesson, an answer since, the outline's word."""
    if listed.get(one.key):
        return replace(one, went="done", is_ticked=True)
    is_listed = one.key in listed
    return replace(one, went=said or one.by_outline, is_said=said is not None, is_listed=is_listed)


def _had_list(state: LessonState) -> bool:
    """Whether the lesson had the Desk's table list before it, or was cut off on the way to it.

    Groups that are typed as phases have none, and a lesson that went past its last phase is from before
    groups had visits.
    """
    went_past = not state.legs and not state.ended_by_hand and state.bell_offset_s is None
    return state.plan.has_second_half and not went_past
