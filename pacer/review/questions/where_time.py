"""Where the time of a mini lesson went: planned against actual, phase by phase, for the mean lesson."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from pacer.pace.trim import whole_parts
from pacer.plan.kinds import KINDS
from pacer.review.days import Day

PAUSES = "pauses"
"""The row of all that passed between first and last phase while no phase clock ran."""


@dataclass(frozen=True)
class MeanRow:
    """One row, in seconds a lesson, exactly: the mean over all lessons, also those without such a phase.

    ``name`` is a phase's id, a kind, or ``PAUSES``; ``lessons`` how many have it in their plan.
    """

    name: str
    planned: Fraction
    actual: Fraction
    lessons: int


@dataclass(frozen=True)
class WhereTime:
    """The rows in the order of the plan, with what was paused last; ``by_kind``: of several outlines."""

    rows: tuple[MeanRow, ...]
    lessons: int
    by_kind: bool

    @property
    def actual(self) -> Fraction:
        """Seconds from the first phase to the end of the mini lesson."""
        return sum((row.actual for row in self.rows), Fraction(0))

    @property
    def percents(self) -> tuple[int, ...]:
        """Each row's share of the actual time in whole percent, that add up to 100; all 0 without time."""
        if not self.actual:
            return (0,) * len(self.rows)
        return tuple(whole_parts([100 * row.actual / self.actual for row in self.rows]))

    def seconds(self, which: str) -> tuple[int, ...]:
        """The rows' ``planned`` or ``actual`` seconds, whole, that add up to the rounded whole."""
        return tuple(whole_parts([getattr(row, which) for row in self.rows]))


def where_time(days: Iterable[Day]) -> WhereTime:
    """The rows of some lessons: phases of one outline by their ids, of several by their kinds."""
    shown = list(days)
    by_kind = len({day.title for day in shown}) > 1
    planned: dict[str, int] = {}
    actual: dict[str, int] = {}
    having: dict[str, set[int]] = {}
    for day in shown:
        for phase in day.mini:
            name = phase.kind if by_kind else phase.id
            planned[name] = planned.get(name, 0) + phase.planned_s
            actual[name] = actual.get(name, 0) + phase.actual_s
            having.setdefault(name, set()).add(day.run)
    names = sorted(planned, key=list(KINDS).index) if by_kind else list(planned)
    rows = [
        MeanRow(
            name, Fraction(planned[name], len(shown)), Fraction(actual[name], len(shown)), len(having[name])
        )
        for name in names
    ]
    paused = [day.paused_s for day in shown]
    if any(paused):
        count = sum(1 for seconds in paused if seconds)
        rows.append(MeanRow(PAUSES, Fraction(0), Fraction(sum(paused), len(shown)), count))
    return WhereTime(tuple(rows), len(shown), by_kind)
