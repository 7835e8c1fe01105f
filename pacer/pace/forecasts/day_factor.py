"""What the phases of one day share: some days all run long. Also how far a late teacher hurries.

Log ratios of actual over budget are taken apart into a centre per phase, a factor shared by the day, and
the rest (a one-way random-effects model: Searle, Casella & McCulloch, "Variance Components", 1992). How
much days differ, and how much of a lateness is taken back, are averaged over a grid with priors that lean
to "not at all": without evidence both stay small and no day stands out. Unexpected values count for less:
they are pulled in before fitting, and weighed by Student's t with 4 degrees of freedom today (Lange, Little
& Taylor, JASA 84, 1989; from memory).
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pacer.pace.forecasts.survival import FloatArray

IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

LEAST_LESSONS = 10
USUAL_SPREAD, USUAL_WEIGHT = 0.25, 3.0
# Closer together where they are small: before any evidence, days of little difference are the likelier.
DAY_SPREADS = np.array([0.0, 0.02, 0.04, 0.06, 0.08, 0.11, 0.14, 0.17, 0.2, 0.24, 0.28, 0.32, 0.36])
SPEED_UPS = np.linspace(0.0, 0.9, 10)
DAY_PRIOR_SCALE, SPEED_PRIOR_SCALE = 0.15, 0.3
PULLED_IN = 2.5
_NODES = np.array([-math.sqrt(3), 0.0, math.sqrt(3)])
WEIGHTS = np.array([1 / 6, 2 / 3, 1 / 6])  # Gauss-Hermite, three points
_BETWEEN = 0.75  # of today's spread is between the three values, the rest is around each of them


@dataclass(frozen=True, eq=False)
class Observations:
    """Endings, one array entry each: the lesson and column (kind of phase) it belongs to, counted from 0,
    actual over budget, whether it was cut off, and lateness at its start over the time the rest of the plan
    needs (0 to 1).
    """

    lesson: IntArray
    column: IntArray
    ratio: FloatArray
    unfinished: BoolArray
    behind: FloatArray


@dataclass(frozen=True, eq=False)
class RandomEffects:
    """What days share. ``spread`` is a standard deviation of logarithms, ``speed_up`` the share of a
    lateness that is taken back, ``own`` the spread of each column within a day, ``days`` each lesson's
    factor as a logarithm, shrunk.
    """

    spread: float
    speed_up: float
    own: FloatArray
    days: FloatArray
    natural: FloatArray


def random_effects(observed: Observations, lessons: int, columns: int) -> RandomEffects:
    """Estimate from the endings of ``lessons`` lessons; below 10 lessons days share nothing."""
    logs, own = _winsorized(observed, columns)
    if lessons < LEAST_LESSONS:
        return RandomEffects(0.0, 0.0, own, np.zeros(lessons), logs)
    likely = np.empty((len(SPEED_UPS), len(DAY_SPREADS)))
    for i, speed_up in enumerate(SPEED_UPS):
        natural, rest, variance = _residuals(observed, logs, float(speed_up), columns)
        # The change of variable from what was seen to what it would have been unhurried.
        jacobian = float(np.sum(logs - natural))
        likely[i] = jacobian + _likelihood(observed, rest, variance, lessons, columns)
    likely -= 0.5 * (DAY_SPREADS / DAY_PRIOR_SCALE) ** 2 + (SPEED_UPS / SPEED_PRIOR_SCALE)[:, None]
    if np.count_nonzero(np.bincount(observed.lesson) > 1) < LEAST_LESSONS:
        likely[:, DAY_SPREADS > 0] = -np.inf  # one phase a day shares its day with nothing
    # An even chance, before any evidence, that this teacher does not hurry at all.
    likely[0] += math.log(float(np.exp(-SPEED_UPS[1:] / SPEED_PRIOR_SCALE).sum()))
    weight = np.exp(likely - likely.max())
    weight /= weight.sum()
    spread = math.sqrt(float(weight.sum(axis=0) @ DAY_SPREADS**2))
    speed_up = float(weight.sum(axis=1) @ SPEED_UPS)
    natural, rest, variance = _residuals(observed, logs, speed_up, columns)
    own2 = _variance_within(variance, spread)
    pull = np.bincount(observed.lesson, rest / own2[observed.column], lessons)
    count = np.bincount(observed.lesson, 1 / own2[observed.column], lessons)
    return RandomEffects(spread, speed_up, np.sqrt(own2), spread**2 * pull / (1 + spread**2 * count), natural)


def today(
    known: RandomEffects, rest: FloatArray, own: FloatArray, cut_off: BoolArray, level_error: float = 0.0
) -> tuple[FloatArray, float]:
    """Three likely values of today's factor (logarithms; their weights are ``WEIGHTS``), and how far it
    spreads around each.

    Three bare values would make steps of the odds where days differ more than phases do: before the day has
    shown itself they were far too sure, said .70 and came .43 for teachers whose days run long or short.
    ``rest`` are today's logarithms less their centres, ``own`` their spreads within a day. Of those cut off,
    and of the phase that still runs, only "at least so long" is used. What is not known of the common level
    (``level_error``, a standard error) a day shares too.
    """
    shared = math.hypot(known.spread, level_error)
    if shared == 0.0:
        return np.zeros(3), 0.0
    grid = np.linspace(-4, 4, 33) * shared
    z = (rest - grid[:, None]) / own
    likely = np.where(cut_off, np.log(_tail(z)), -2.5 * np.log1p(z**2 / 4)).sum(axis=1)
    likely -= 0.5 * (grid / shared) ** 2
    weight = np.exp(likely - likely.max())
    weight /= weight.sum()
    mean = float(weight @ grid)
    spread = math.sqrt(float(weight @ (grid - mean) ** 2))
    return mean + _BETWEEN * spread * _NODES, math.sqrt(1 - _BETWEEN**2) * spread


def _tail(z: FloatArray) -> FloatArray:
    """Probability that Student's t with 4 degrees of freedom exceeds z."""
    u = z / np.sqrt(1 + z**2 / 4)
    return np.maximum(0.5 - 0.375 * u * (1 - u**2 / 12), 1e-12)


def _winsorized(observed: Observations, columns: int) -> tuple[FloatArray, FloatArray]:
    """Winsorized logarithms of the ratios, cut-off ones at their expected length; spread per column."""
    logs, own = np.log(observed.ratio), np.full(columns, USUAL_SPREAD)
    for column in range(columns):
        here = observed.column == column
        whole = logs[here & ~observed.unfinished]
        if not len(whole):
            continue
        center = float(np.median(whole))
        usual2 = (
            USUAL_WEIGHT * USUAL_SPREAD**2
            + len(whole) * (1.4826 * float(np.median(abs(whole - center)))) ** 2
        )
        own[column] = spread = math.sqrt(usual2 / (USUAL_WEIGHT + len(whole)))
        z = (logs[here] - center) / spread
        z = np.where(observed.unfinished[here], _expected_above(z), z)
        logs[here] = center + spread * np.clip(z, -PULLED_IN, PULLED_IN)
    return logs, own


def _expected_above(z: FloatArray) -> FloatArray:
    """Mean of a standard normal that is known to exceed z."""
    z = np.clip(z, -8, 8)
    above = np.array([0.5 * math.erfc(x / math.sqrt(2)) for x in z])
    mean: FloatArray = np.exp(-z * z / 2) / math.sqrt(2 * math.pi) / above
    return mean


def _residuals(
    observed: Observations, logs: FloatArray, speed_up: float, columns: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Unhurried logarithms, what is left of them beside their column's centre, and variances per column.

    A column's variance leans to what the teacher's columns have in common, and that to the usual one. Each
    leaning to the usual one by itself left regular teachers room for days that differ where none did: their
    ends were foretold 3 to 4 % worse.
    """
    natural = np.log(np.exp(logs) + speed_up * observed.behind)
    count = np.bincount(observed.column, minlength=columns)
    center = np.bincount(observed.column, natural, columns) / np.maximum(count, 1)
    rest = natural - center[observed.column]
    squares, free = np.bincount(observed.column, rest**2, columns), np.maximum(count - 1, 0)
    common = (squares.sum() + USUAL_WEIGHT * USUAL_SPREAD**2) / (free.sum() + USUAL_WEIGHT)
    return natural, rest, (squares + USUAL_WEIGHT * common) / (free + USUAL_WEIGHT)


def _variance_within(variance: FloatArray, spread: FloatArray | float) -> FloatArray:
    """Variance within a day; most of what is seen is never laid on the day alone."""
    return np.maximum(variance - np.square(spread), variance / 4)


def _likelihood(
    observed: Observations, rest: FloatArray, variance: FloatArray, lessons: int, columns: int
) -> FloatArray:
    """Log likelihood of all days, for each of ``DAY_SPREADS`` as the spread of normal day factors."""
    own2 = _variance_within(variance[:, None], DAY_SPREADS)
    cell, size = observed.lesson * columns + observed.column, lessons * columns
    pull = np.bincount(cell, rest, size).reshape(lessons, columns) @ (1 / own2)
    room = 1 + DAY_SPREADS**2 * (np.bincount(cell, minlength=size).reshape(lessons, columns) @ (1 / own2))
    own = np.bincount(observed.column, rest**2, columns) @ (1 / own2)
    own += np.bincount(observed.column, minlength=columns) @ np.log(own2)
    fits: FloatArray = own - np.sum(DAY_SPREADS**2 * pull**2 / room - np.log(room), axis=0)
    return -0.5 * fits
