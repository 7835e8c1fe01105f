"""How far back to remember, learned for each teacher: durations that drift ask for a short memory.

Levels are exponentially weighted means with half-lives from 1 to 200 lessons (Brown, "Statistical Forecasting
for Inventory Control", 1959). How well each would have foretold the lessons that came says how far it is to
be trusted (a Bayesian average); without evidence memory is long. For teachers who drift the end was foretold
81 s too early where all were remembered alike, and is 26 s so over six invented terms
(`tests/review/learning/test_backtest_teachers.py`).
"""

import math

import numpy as np

from pacer.pace.forecasts.day_factor import LEAST_LESSONS, BoolArray, Observations, RandomEffects
from pacer.pace.forecasts.survival import FloatArray

HALF_LIVES = np.array([200.0, 15.0, 6.0, 2.5, 1.0])  # in lessons
_LEANS_TO = np.log([0.5, 0.3, 0.1, 0.05, 0.05])
USUAL_HALF_LIFE = 15.0  # below 10 lessons, where nothing can be learned of it
_FIRST_JUDGED = 5  # lessons that come before the first that counts as foretold
_NO_DRIFT = 2.0  # lessons at the common middle, in place of those before the first
_LEAST_ERROR, _ERROR_WEIGHT = 0.1, 2.0
_USUAL_SPREAD, _USUAL_WEIGHT = 0.2, 3.0
_PULLED_IN = 2.5
_NOTHING = 1e-9


def common_level(
    observed: Observations, whole: BoolArray, lessons: int, columns: int
) -> tuple[float, float, FloatArray]:
    """How much longer than usual all phases take by now, as a logarithm, its standard error, and what was to
    be expected so at the lesson of each ending from those before it. 0 below 10 lessons.

    Without it a drift that all phases share would be taken for the luck of single days.
    """
    if lessons < LEAST_LESSONS:
        return 0.0, 0.0, np.zeros(len(observed.ratio))
    logs, center = _pulled_in(np.log(observed.ratio), observed.column, whole, columns)
    rest = np.where(whole, logs - center[observed.column], 0.0)
    squares = np.bincount(observed.column, rest**2, columns) + _USUAL_WEIGHT * _USUAL_SPREAD**2
    variance = squares / (np.bincount(observed.column, whole, columns) + _USUAL_WEIGHT)
    weight = whole / variance[observed.column]
    amount = np.bincount(observed.lesson, weight, lessons)
    mean = np.bincount(observed.lesson, weight * rest, lessons) / np.maximum(amount, _NOTHING)
    known = (amount > 0).astype(float)[:, None]
    trust, ahead = _foretold(mean[:, None], known, _NO_DRIFT)
    latest = _latest(lessons) * known[:, 0]
    remembered = np.maximum(latest.sum(axis=1), _NOTHING)
    levels = latest @ mean / remembered
    now = float(trust @ levels)
    # Half-lives that differ are uncertain too, not only what each has seen scatter.
    scatter = (latest * (mean - levels[:, None]) ** 2).sum(axis=1) * (latest**2).sum(axis=1) / remembered**3
    error = math.sqrt(float(trust @ ((levels - now) ** 2 + scatter)))
    return now, error, (trust @ ahead[:, :, 0])[observed.lesson]


def memory(
    observed: Observations, whole: BoolArray, random_effects: RandomEffects, lessons: int, columns: int
) -> FloatArray:
    """What each lesson weighs for the levels of single phases, within 0 and 1, beside their common level."""
    if lessons < LEAST_LESSONS:
        return np.asarray(0.5 ** ((lessons - 1 - np.arange(lessons)) / USUAL_HALF_LIFE), dtype=float)
    natural = np.log(observed.ratio + random_effects.speed_up * observed.behind)
    logs, _center = _pulled_in(
        natural - random_effects.days[observed.lesson], observed.column, whole, columns
    )
    cell, size = observed.lesson * columns + observed.column, lessons * columns
    count = np.bincount(cell, whole, size).reshape(lessons, columns)
    values = np.bincount(cell, whole * logs, size).reshape(lessons, columns) / np.maximum(count, 1.0)
    trust, _ahead = _foretold(values, np.minimum(count, 1.0))
    return np.asarray(trust @ _latest(lessons), dtype=float)


def _foretold(values: FloatArray, known: FloatArray, at_zero: float = 0.0) -> tuple[FloatArray, FloatArray]:
    """How far each half-life is to be trusted, and what it says of each value from those before it.

    ``values`` and ``known`` (1 or 0) have a row a lesson and a column for each thing that has a level; all
    columns are remembered alike. So many lessons ``at_zero`` stand before the first, as far as a half-life
    remembers more than there were: what a few days foretell is mostly their luck.
    """
    lag = np.arange(len(values))[:, None] - np.arange(len(values))
    before = np.where(lag > 0, 0.5 ** (np.maximum(lag, 0) / HALF_LIVES[:, None, None]), 0.0)
    amount, kept = before @ known, 0.5 ** (1 / HALF_LIVES)[:, None, None]
    missing = np.maximum(0.0, 1.0 - amount * (1 - kept) / kept)
    ahead = (before @ (values * known)) / np.maximum(amount + at_zero * missing, _NOTHING)
    judged = known * (np.cumsum(known, axis=0) - known >= _FIRST_JUDGED)
    count = judged.sum(axis=0)
    squares = ((values - ahead) ** 2 * judged).sum(axis=1) + _ERROR_WEIGHT * _LEAST_ERROR**2
    likely = _LEANS_TO - 0.5 * (count * np.log(squares / (count + _ERROR_WEIGHT))).sum(axis=1)
    trust = np.exp(likely - likely.max())
    return trust / trust.sum(), ahead


def _latest(lessons: int) -> FloatArray:
    """The weight of each lesson by now: a row for each half-life."""
    return np.asarray(0.5 ** ((lessons - 1 - np.arange(lessons)) / HALF_LIVES[:, None]), dtype=float)


def _pulled_in(
    logs: FloatArray, column: np.ndarray, whole: BoolArray, columns: int
) -> tuple[FloatArray, FloatArray]:
    """Winsorized logarithms, and the mean of each column's whole ones."""
    logs, center = logs.copy(), np.zeros(columns)
    for number in range(columns):
        here = column == number
        seen = logs[here & whole]
        if not len(seen):
            continue
        middle = float(np.median(seen))
        usual2 = (
            _USUAL_WEIGHT * _USUAL_SPREAD**2
            + len(seen) * (1.4826 * float(np.median(abs(seen - middle)))) ** 2
        )
        reach = _PULLED_IN * math.sqrt(usual2 / (_USUAL_WEIGHT + len(seen)))
        logs[here] = np.clip(logs[here], middle - reach, middle + reach)
        center[number] = logs[here & whole].mean()
    return logs, center
