"""Is it improving? One measure of each lesson in order, against the usual ups and downs of the first ones.

The first lessons, twelve of them, are the baseline: its individuals and moving-range chart gives the middle
zone and the limits (`run_chart`), and they stay. Only later lessons can call a change, and only by 7 in a row
beyond the zone; a single lesson outside the limits stands out and is no change. Without any change, and where
a lesson is not like the one before it, the rule calls one in at most 5 of 100 terms of 60 lessons that are
looked at after every lesson, in 1 or 2 where values are normal, skewed or of two modes, in whole minutes or
often 0, and where weekdays differ or days are missing; in 15 where neighbours correlate by .4
(`tests/review/statistics/test_run_chart_false_calls.py`).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby
from statistics import median
from typing import Literal

from pacer.pace.forecasts.past import usable
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.learning.past_endings import endings_of_day
from pacer.review.statistics.rounding import half_up
from pacer.review.statistics.run_chart import (
    MEDIAN_LESSONS,
    RUN_LENGTH,
    RunChart,
    Signal,
    changes,
    median_line,
)
from pacer.review.statistics.run_chart import chart as individuals

LATE = "late"
BASELINE = 12
LEAST_LIMITS = 5  # below so many lessons limits would say nothing
SHARE_UNITS = 10**9  # a share of a budget is counted in billionths
LEAST_REACH_S = 15  # nearer the centre no lesson is outside the limits; a choice of ours
LEAST_REACH_SHARE = SHARE_UNITS // 20  # the same for a share of a budget

TrendVerdict = Literal["less", "more", "was", "single", "same"]


@dataclass(frozen=True)
class Value:
    """One lesson: whole seconds of lateness, or whole billionths of the budget, which is ``budget_s``.

    Whole numbers, so that lessons that are equal are equal to the centre, too.
    """

    run: int
    date: str
    title: str
    value: int
    budget_s: int = 0


@dataclass(frozen=True)
class Improving:
    """The lessons in order; ``left_out`` more have no value of this measure.

    ``limits`` are the baseline's, None while it is too short; ``changes`` are what is of note, at positions
    from 0: lessons that make a run ("run"), and those that only stand out ("outside").
    """

    measure: str
    values: tuple[Value, ...]
    left_out: int
    baseline: int
    limits: RunChart | None
    changes: tuple[tuple[int, Signal], ...]

    @property
    def plain(self) -> list[int]:
        """The bare values."""
        return [lesson.value for lesson in self.values]

    @property
    def median(self) -> float | None:
        """The median of the latest twelve; None without a lesson."""
        return median_line(self.plain)

    @property
    def budgets_s(self) -> tuple[float, float] | None:
        """The median budget of the baseline and that of the latest twelve, where they differ.

        A share of the budget then changes by itself: where a phase takes a quarter longer than is written and
        its proposal is accepted after 15 lessons, a change is called in 64 of 100 terms though it takes as
        long as ever (`tests/review/questions/test_improving_budgets.py`).
        """
        budgets = [lesson.budget_s for lesson in self.values]
        if not self.is_judged:
            return None
        then, now = median(budgets[: self.baseline]), median(budgets[-MEDIAN_LESSONS:])
        return None if then == now else (then, now)

    @property
    def is_judged(self) -> bool:
        """Whether any lesson came after a whole baseline."""
        return len(self.values) > BASELINE

    @property
    def verdict(self) -> TrendVerdict | None:
        """What the rule says of the lessons of now; None as long as there is nothing to judge.

        ``less`` and ``more``: most of the latest twelve belong to a stretch below or above the middle zone
        that called a change. ``was``: there was such a stretch, but no more. ``single``: only lessons that
        stand out. ``same``: no change was called.
        """
        if not self.is_judged or self.limits is None:
            return None
        if self.runs:
            run = self.runs[-1]
            if run.last - max(run.first, len(self.values) - MEDIAN_LESSONS) + 1 >= RUN_LENGTH:
                return "less" if run.side < 0 else "more"
            return "was"
        return "single" if self.changes else "same"

    @property
    def outside(self) -> tuple[int, ...]:
        """Where a later lesson lies outside the limits."""
        return tuple(at for at, change in self.changes if change == "outside")

    @property
    def runs(self) -> tuple["OneSidedRun", ...]:
        """The stretches on one side of the middle zone that are long enough to call a change."""
        limits = self.limits
        if limits is None:
            return ()
        later = range(self.baseline, len(self.values))
        by_side = groupby(later, key=lambda at: limits.side(self.values[at].value))
        stretches = ((side, list(places)) for side, places in by_side)
        return tuple(
            OneSidedRun(places[0], places[-1], side)
            for side, places in stretches
            if side and len(places) >= RUN_LENGTH
        )


@dataclass(frozen=True)
class OneSidedRun:
    """Lessons in a row beyond the middle zone, ``last`` included; ``side`` is 1 above it, -1 below."""

    first: int
    last: int
    side: int

    @property
    def lessons(self) -> int:
        """How many they are."""
        return self.last - self.first + 1


def improving(days: Iterable[Day], choice: LessonChoice, measure: str = LATE) -> Improving:
    """The measure of the lessons to learn from: `LATE` or the name of a phase kind."""
    learned = choice.learning(days)
    values = [value for day in learned if (value := _value(day, measure)) is not None]
    return judged(measure, values, len(learned) - len(values))


def judged(measure: str, values: Sequence[Value], left_out: int = 0) -> Improving:
    """Values in order against the baseline that the first of them are."""
    plain = [lesson.value for lesson in values]
    baseline = min(BASELINE, len(plain))
    reach = LEAST_REACH_S if measure == LATE else LEAST_REACH_SHARE
    limits = individuals(plain[:baseline], reach) if baseline >= LEAST_LIMITS else None
    called = changes(plain[baseline:], limits) if limits is not None else []
    return Improving(
        measure,
        tuple(values),
        left_out,
        baseline,
        limits,
        tuple((baseline + at, change) for at, change in called),
    )


def _value(day: Day, measure: str) -> Value | None:
    share = (day.group_late_s, 0) if measure == LATE else _share(day, measure)
    if share is None or share[0] is None:
        return None
    return Value(day.run, day.date, day.title, share[0], share[1])


def _share(day: Day, kind: str) -> tuple[int, int] | None:
    """Actual over budget of a lesson's phases of a kind together, a half rounded up; and that budget.

    None where there was none, or where one was cut off: it needed more than it got, nobody knows how much.
    """
    mini = {phase.id for phase in day.mini}
    met = [past for past in usable(endings_of_day(day)) if past.kind == kind and past.phase in mini]
    if not met or any(past.is_cut_off for past in met):
        return None
    actual = round(sum(past.actual_s for past in met))
    planned = round(sum(past.planned_s for past in met))
    return half_up(Fraction(SHARE_UNITS * actual, planned)), planned
