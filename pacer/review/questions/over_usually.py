"""Which phases run over, usually: actual over budget lesson by lesson, with honest medians.

An ending that was cut off by the bell or by something else only says "at least so long", so a median is that
of the product-limit estimate (Kaplan & Meier, JASA 53, 1958) of *time I give it*; it may be a lower bound.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from pacer.pace.forecasts.past import PastEnding, usable
from pacer.plan.kinds import KINDS
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.learning.past_endings import endings_of_day

LEAST_LESSONS = 5


@dataclass(frozen=True)
class BudgetRatio:
    """One ending: its lesson, and exactly how much of its budget it took; if not ``complete``, at least."""

    run: int
    date: str
    title: str
    ratio: Fraction
    complete: bool

    @property
    def is_over(self) -> bool:
        """Whether it surely took longer than its budget, finished or not."""
        return self.ratio.numerator > self.ratio.denominator


@dataclass(frozen=True)
class OverRow:
    """The endings of a phase or kind, in order of time."""

    name: str
    ratios: tuple[BudgetRatio, ...]

    @property
    def lessons(self) -> int:
        """How many lessons are behind it."""
        return len({ending.run for ending in self.ratios})

    @property
    def over(self) -> int:
        """How often it surely took longer than its budget, finished or not."""
        return sum(ending.is_over for ending in self.ratios)

    @property
    def unknown(self) -> int:
        """How often it was broken off within its budget, so that nobody knows."""
        return sum(not ending.complete and not ending.is_over for ending in self.ratios)

    @cached_property
    def median(self) -> tuple[float, bool]:
        """The usual ratio, and whether it is only a lower bound."""
        from pacer.pace.forecasts.survival import NO_PRIOR, fit  # numpy: not before a picture is wanted

        times = [float(ending.ratio) for ending in self.ratios]
        quantile = fit(times, [ending.complete for ending in self.ratios], NO_PRIOR).quantile(0.5)
        return quantile.seconds, quantile.at_least


def over_usually(days: Iterable[Day], choice: LessonChoice) -> tuple[OverRow, ...]:
    """A row for each phase of one outline, for each kind of several, of the lessons to learn from."""
    learned = choice.learning(days)
    by_kind = len({day.title for day in learned}) > 1
    ratios: dict[str, list[BudgetRatio]] = {}
    for day in learned:
        chosen = {phase.id for phase in choice.phases(day)}
        for past in usable(endings_of_day(day)):
            if past.phase in chosen:
                ratios.setdefault(past.kind if by_kind else past.phase, []).append(_ratio(past, day.title))
    names = sorted(ratios, key=list(KINDS).index) if by_kind else list(ratios)
    return tuple(OverRow(name, tuple(ratios[name])) for name in names)


def _ratio(past: PastEnding, title: str) -> BudgetRatio:
    return BudgetRatio(
        past.run,
        past.date,
        title,
        Fraction(round(past.actual_s), round(past.planned_s)),
        past.is_complete("gives"),
    )


def most_often_over(rows: Sequence[OverRow]) -> OverRow | None:
    """Of the rows with lessons enough, the one that ran over in the largest share; the first of several.

    That is what was, not what will be: of six phases whose days differ by a quarter it is really the longest
    one in 45 cases of 100 after five lessons, in 59 after fifteen, in 78 after sixty, and its median, which
    was picked for being high, lies 9, 4 and 1 % above what is usual
    (`tests/review/questions/test_over_usually_known.py`).
    """
    enough = [row for row in rows if row.lessons >= LEAST_LESSONS]
    return max(enough, key=lambda row: Fraction(row.over, len(row.ratios)), default=None)
