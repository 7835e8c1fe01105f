"""The individuals and moving-range chart: what is usual, what stands out, and what is a change.

Limits are the mean plus and minus 2.66 times the mean moving range (Shewhart's three sigma with 3/1.128;
NIST/SEMATECH e-Handbook 6.3.2.2). A point outside them stands out; durations have long tails, so that is no
change yet. A change is called by 7 in a row beyond the middle zone: the median plus and minus 0.8 times the
mean moving range, and at least the middle two thirds of the values, as of two modes the median may lie in
one. Where the middle is estimated from 12 values, 7 in a row beside a bare centre call a change in 48 out of
100 series of 60 that have none; beyond the zone in 1 where values are normal, exponential, lognormal, heavy-
tailed or mixed, in 2 where they have two modes (12 without the middle two thirds, 5 with the middle half),
and in 4 where neighbours correlate by .2. Where a lesson is more like the one before it, changes are called
too easily: in 8 where neighbours correlate by .3, in 15 where by .4
(`tests/review/statistics/test_run_chart_false_calls.py`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median, quantiles
from typing import Literal

LIMIT_FACTOR = 2.66
RUN_LENGTH = 7
ZONE_FACTOR = 0.8
CALLED_IN_A_TERM = (
    (0.0, 0.01), (0.25, 0.02), (0.5, 0.07), (0.75, 0.18), (1.0, 0.36), (1.25, 0.57), (1.5, 0.77),
    (1.75, 0.90), (2.0, 0.965), (2.5, 1.0),
)  # fmt: skip
"""How often a lasting change is called in 48 lessons after 12 of a baseline, by its size over the mean moving
range: simulated with normal values, and again by the test of false calls."""
LEAST_POINTS = 2
MEDIAN_LESSONS = 12

Signal = Literal["outside", "run"]


@dataclass(frozen=True)
class RunChart:
    """Mean, limits, mean moving range, median, how far from it the middle zone reaches at the least, and the
    values between which the middle two thirds lie: in the unit of the values.
    """

    center: float
    lower: float
    upper: float
    mean_range: float
    median: float
    zone_reach: float
    two_thirds: tuple[float, float] | None = None

    @property
    def zone(self) -> tuple[float, float]:
        """Between which values nothing counts towards a run, both included."""
        low, high = self.median - self.zone_reach, self.median + self.zone_reach
        if self.two_thirds is None:
            return low, high
        return min(low, self.two_thirds[0]), max(high, self.two_thirds[1])

    def side(self, value: float) -> int:
        """1 above the middle zone, -1 below it, 0 within."""
        low, high = self.zone
        return (value > high) - (value < low)


@dataclass(frozen=True)
class Run:
    """How many points in a row were on one side of the middle zone; a point within it breaks the run."""

    side: int = 0
    length: int = 0

    def after(self, side: int) -> "Run":
        """The run after one more point."""
        if side == 0:
            return Run()
        return Run(side, self.length + 1 if side == self.side else 1)


def chart(values: Sequence[float], least_reach: float = 0.0) -> RunChart | None:
    """The chart of values in order of time; None below two, which have no moving range.

    The limits lie at least ``least_reach`` from the centre: values that hardly vary would else call a change
    for a trifle.
    """
    if len(values) < LEAST_POINTS:
        return None
    center = sum(values) / len(values)
    mean_range = sum(abs(late - early) for early, late in pairwise(values)) / (len(values) - 1)
    reach = max(least_reach, LIMIT_FACTOR * mean_range)
    zone_reach = reach * ZONE_FACTOR / LIMIT_FACTOR
    sixths = quantiles(values, n=6, method="inclusive")
    return RunChart(
        center,
        center - reach,
        center + reach,
        mean_range,
        median(values),
        zone_reach,
        (sixths[0], sixths[-1]),
    )


def called(limits: RunChart, run: Run, value: float, length: int = RUN_LENGTH) -> tuple[Run, Signal | None]:
    """The run after a value, and whether the value is of note; outside the limits comes first."""
    run = run.after(limits.side(value))
    if not limits.lower <= value <= limits.upper:
        return run, "outside"
    return run, "run" if run.length >= length else None


def changes(values: Sequence[float], limits: RunChart, length: int = RUN_LENGTH) -> list[tuple[int, Signal]]:
    """What is of note: positions from 0, each with its reason."""
    run, called_at = Run(), []
    for at, value in enumerate(values):
        run, change = called(limits, run, value, length)
        if change is not None:
            called_at.append((at, change))
    return called_at


def called_in_a_term(limits: RunChart, change: float) -> float:
    """How often (0 to 1) a lasting change of that size would be called within a term of 60 lessons."""
    sizes, shares = zip(*CALLED_IN_A_TERM, strict=True)
    if not limits.mean_range:
        return 1.0
    size = min(abs(change) / limits.mean_range, sizes[-1])
    at = next(at for at in range(1, len(sizes)) if size <= sizes[at])
    part = (size - sizes[at - 1]) / (sizes[at] - sizes[at - 1])
    return float(shares[at - 1] + part * (shares[at] - shares[at - 1]))


def median_line(values: Sequence[float]) -> float | None:
    """The usual value: the median of the latest twelve like lessons; None without any."""
    return median(values[-MEDIAN_LESSONS:]) if values else None
