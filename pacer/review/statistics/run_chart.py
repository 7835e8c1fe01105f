"""The individuals and moving-range chart: what is usual, and what is a change rather than a wobble.

Limits are the mean plus and minus 2.66 times the mean moving range (Shewhart's three sigma with 3/1.128;
NIST/SEMATECH e-Handbook 6.3.2.2). A change is called only by a point outside them or by 7 in a row on one
side of the centre.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median
from typing import Literal

LIMIT_FACTOR = 2.66
RUN_LENGTH = 7
LEAST_POINTS = 2
MEDIAN_LESSONS = 12

Change = Literal["outside", "run"]


@dataclass(frozen=True)
class RunChart:
    """Centre and limits, in the unit of the values."""

    center: float
    lower: float
    upper: float
    mean_range: float

    def side(self, value: float) -> int:
        """1 above the centre, -1 below it, 0 on it."""
        return (value > self.center) - (value < self.center)


@dataclass(frozen=True)
class Run:
    """How many points in a row were on one side of the centre; a point on it breaks the run."""

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
    return RunChart(center, center - reach, center + reach, mean_range)


def called(limits: RunChart, run: Run, value: float, length: int = RUN_LENGTH) -> tuple[Run, Change | None]:
    """The run after a value, and whether the value calls a change; outside the limits comes first."""
    run = run.after(limits.side(value))
    if not limits.lower <= value <= limits.upper:
        return run, "outside"
    return run, "run" if run.length >= length else None


def changes(values: Sequence[float], limits: RunChart, length: int = RUN_LENGTH) -> list[tuple[int, Change]]:
    """Where changes are called: positions from 0, each with its reason."""
    run, called_at = Run(), []
    for at, value in enumerate(values):
        run, change = called(limits, run, value, length)
        if change is not None:
            called_at.append((at, change))
    return called_at


def median_line(values: Sequence[float]) -> float | None:
    """The usual value: the median of the latest twelve like lessons; None without any."""
    return median(values[-MEDIAN_LESSONS:]) if values else None
