"""The second half of a lesson's record: each group's visit and what lies around them, planned over actual."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from pacer.frames.words.not_taught import left_words, what_words
from pacer.frames.words.wording import over_words, took_words
from pacer.pace.leg_cut import planned_visit_s
from pacer.plan.durations import format_duration
from pacer.review.left_over import LeftOver
from pacer.review.statistics.rounding import whole_s
from pacer.run.legs import LegKind, NextLeg
from pacer.run.second_half import title_of
from pacer.run.state import LessonState
from pacer.text import _

Left = Literal["", "table", "tomorrow", "dropped", "done"]
LegEnding = Literal["", "bell", "missed", "dropped", "not reached"]


@dataclass(frozen=True)
class RecordLegRow:
    """A visit of a group, by its name, or all walks, swaps, the share or the clean-up: seconds.

    ``ending`` is empty where the teacher went on, "bell" where the bell ended it; of a group without a visit
    it says why: pulled out (missed), left for another day (dropped), or just not reached.
    """

    leg: LegKind
    title: str
    group: str
    planned: int
    actual: int
    ending: LegEnding

    @property
    def over(self) -> int | None:
        """Seconds past the plan, negative when shorter; None where there was nothing of it."""
        return self.actual - self.planned if self.actual else None


@dataclass(frozen=True)
class LeftLine:
    """A line of the table list, or a phase that was not taught (``phase`` is its id), and where it went.

    ``went`` is empty where nobody said so; ``by`` is who did: a tick in the lesson, the teacher after
    school, or the outline.
    """

    what: str
    phase: str
    went: Left
    by: Literal["", "tick", "teacher", "outline"]
    listed: bool

    @property
    def where(self) -> str:
        """Where it went, in words; empty for a phase that was on no list and that nobody sent anywhere."""
        if self.by == "tick":
            return _("done")
        return left_words(self.went) or (_("still open") if self.listed else "")


def left_lines(found: Sequence[LeftOver]) -> tuple[LeftLine, ...]:
    """All of a lesson's table list and what it did not teach."""
    return tuple(
        LeftLine(
            what=what_words(each),
            phase="" if each.phase is None else each.phase.id,
            went=each.went,
            by="tick" if each.is_ticked else "teacher" if each.is_said else "outline" if each.went else "",
            listed=each.is_listed,
        )
        for each in found
    )


def leg_rows(state: LessonState, end_ms: int) -> tuple[RecordLegRow, ...]:
    """The second half up to a time, as it was run; empty where it was not."""
    if not state.legs:
        return ()
    block = state.plan.block
    swaps_s = max(0, block.groups - 1) * block.swap_s
    rows = [
        _row(state, "move", block.move_s, end_ms),
        *_visits(state, end_ms),
        _row(state, "swap", swaps_s, end_ms),
        _row(state, "share", block.share_s, end_ms),
        _row(state, "clean_up", block.clean_up_s, end_ms),
    ]
    return tuple(row for row in rows if row.planned or row.actual)


def _visits(state: LessonState, end_ms: int) -> list[RecordLegRow]:
    """A row for each group, in the order in which they came, then those without a visit."""
    planned_s, why = planned_visit_s(state), {out.group: out.why for out in state.out}
    order = dict.fromkeys((*state.visited_groups, *state.plan.visit_order))
    rows = []
    for number in order:
        actual = whole_s(state.visit_had_ms(number, end_ms))
        ending: LegEnding = why.get(number, "" if actual else "not reached")
        if not ending and _rung(state, "visit", number):
            ending = "bell"
        name = state.plan.visitors[number].name
        rows.append(RecordLegRow("visit", name, name, planned_s, actual, ending))
    return rows


def _row(state: LessonState, kind: LegKind, planned_s: int, end_ms: int) -> RecordLegRow:
    own = [number for number, leg in enumerate(state.legs) if leg.kind == kind]
    actual = whole_s(sum(state.leg_spent_ms(number, end_ms) for number in own))
    ending: LegEnding = "bell" if _rung(state, kind) else "" if own else "not reached"
    return RecordLegRow(kind, title_of(state, NextLeg(kind)), "", planned_s, actual, ending)


def _rung(state: LessonState, kind: LegKind, group: int | None = None) -> bool:
    """Whether the bell ended such a leg."""
    last = state.legs[-1]
    is_it = last.kind == kind and group in (None, last.group) and last.end_ms == state.ended_ms
    return is_it and state.bell_offset_s is not None


def leg_cells(row: RecordLegRow) -> tuple[str, str, str, str, str]:
    """A row of the second half in words: title, planned, actual, over, ending."""
    return (
        row.title,
        format_duration(row.planned),
        took_words(row.actual, cut_off=row.ending == "bell", reached=row.actual > 0),
        over_words(row.over),
        _ending_words(row.ending),
    )


def _ending_words(ending: LegEnding) -> str:
    return {
        "": "",
        "bell": _("bell"),
        "missed": _("pulled out"),
        "dropped": _("left for another day"),
        "not reached": _("not reached"),
    }[ending]
