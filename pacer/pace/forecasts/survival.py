"""How long something lasts, from past durations of which some were cut off: a curve with a prior.

The estimator is that of Susarla & Van Ryzin, "Nonparametric Bayesian estimation of survival curves from
incomplete observations", JASA 71 (1976): the posterior mean under a Dirichlet process. With a prior weight
of 0 it is the product-limit estimate of Kaplan & Meier, JASA 53 (1958).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

PRIOR_LESSONS = 3.0
PRIOR_SIGMA = 0.25
_SAME = 1e-12  # two probabilities closer than this are one
_NOTHING = 1e-200  # a weight below this divides nothing


@dataclass(frozen=True)
class Prior:
    """A guess worth ``weight`` lessons: lognormal with a median in seconds and a spread of logarithms.

    With a second mode a ``long_share`` of days has the median ``long_s``, and the same spread.
    """

    weight: float
    median_s: float
    sigma: float = PRIOR_SIGMA
    long_s: float = 1.0
    long_share: float = 0.0

    def __post_init__(self) -> None:
        """Raises ValueError for a weight below 0, a median or spread not above 0, a share outside 0 to 1."""
        if not (self.weight >= 0 and self.median_s > 0 and self.sigma > 0 and self.long_s > 0):
            raise ValueError(f"not a prior: {self}")
        if not 0 <= self.long_share <= 1:
            raise ValueError(f"not a share: {self}")

    @cached_property
    def modes(self) -> tuple[tuple[float, float], ...]:
        """The share and the median in seconds of each mode."""
        every = (1.0 - self.long_share, self.median_s), (self.long_share, self.long_s)
        return tuple((share, median_s) for share, median_s in every if share)

    def survival(self, times_s: FloatArray) -> FloatArray:
        """Probability of lasting longer than each time; any shape."""
        alive = np.zeros(np.shape(times_s))
        for share, median_s in self.modes:
            with np.errstate(divide="ignore"):
                z = np.log(np.maximum(times_s, 0.0) / median_s) / (self.sigma * math.sqrt(2))
            alive += share * 0.5 * np.array([math.erfc(x) for x in z.ravel().tolist()]).reshape(z.shape)
        return alive

    def within_s(self, spreads: float) -> float:
        """A duration hardly exceeded: so many spreads above the median; 0 if the prior weighs nothing."""
        longest_s = max(median_s for _share, median_s in self.modes)
        return longest_s * math.exp(spreads * self.sigma) if self.weight else 0.0


NO_PRIOR = Prior(0.0, 1.0)


@dataclass(frozen=True)
class Quantile:
    """A duration in seconds that a share of the past stayed within; or ``at_least`` that much."""

    seconds: float
    at_least: bool


@dataclass(frozen=True, eq=False)
class Curve:
    """A survival curve. Arrays have one entry per distinct duration, in rising order of ``times_s``.

    ``complete`` and ``cut_off`` count the durations that ended and were cut off there, ``later`` those that
    lasted longer; ``factors`` is the running product of the estimator.
    """

    prior: Prior
    times_s: FloatArray
    complete: FloatArray
    cut_off: FloatArray
    later: FloatArray
    factors: FloatArray

    @cached_property
    def count(self) -> int:
        """How many durations the curve rests on."""
        return round(float((self.complete + self.cut_off).sum()))

    @property
    def longest_s(self) -> float:
        """The longest duration seen, cut off or not; 0 where none was."""
        return float(self.times_s[-1]) if self.count else 0.0

    @cached_property
    def known_to_s(self) -> float:
        """Beyond this many seconds nothing was seen to end: infinite unless the longest was cut off."""
        return self.longest_s if self.count and self.cut_off[-1] > 0 else math.inf

    @cached_property
    def unknown(self) -> float:
        """The probability that lies in the unknown tail; the prior only guesses where."""
        return 0.0 if math.isinf(self.known_to_s) else float(self.at(self.known_to_s)) * self.unknown_share

    @cached_property
    def unknown_share(self) -> float:
        """What part of those that last longer than anything seen it is; 0 where there is none."""
        if math.isinf(self.known_to_s):
            return 0.0
        lost = float(self.cut_off[-1])
        return lost / (self._beyond + lost)

    @cached_property
    def _beyond(self) -> float:
        """How many lessons' worth of the prior lies beyond the longest duration."""
        return self.prior.weight * float(self.prior.survival(self.times_s[-1:])[0]) if self.count else 0.0

    @cached_property
    def _is_flat(self) -> bool:
        """Whether the longest was cut off and no prior guesses further: 0/0 in the formula."""
        return not math.isinf(self.known_to_s) and self._beyond <= _NOTHING

    def at(self, times_s: ArrayLike) -> FloatArray:
        """Probability of lasting longer than each time; the shape of ``times_s``."""
        times = np.asarray(times_s, dtype=float)
        weight, place = self.prior.weight, np.searchsorted(self.times_s, times, side="right")
        later = np.concatenate([[float(self.count)], self.later])[place]
        factors = np.concatenate([[1.0], self.factors])[place]
        own = weight * self.prior.survival(times) if weight else np.zeros_like(times)
        if self._is_flat:
            later = np.where(times >= self.known_to_s, self.cut_off[-1], later)
        value = (own + later) / (weight + self.count) * factors
        return np.asarray(np.clip(np.where(times < 0, 1.0, value), 0.0, 1.0), dtype=float)

    def quantile(self, share: float) -> Quantile:
        """The shortest duration that at least ``share`` (0 to 1, both excluded) stay within."""
        if not 0 < share < 1:
            raise ValueError(f"not a share between 0 and 1: {share}")
        goal = 1.0 - share + _SAME
        if self._at_last > goal:
            return Quantile(self.known_to_s, True)
        knots, alive = self._knots
        after = int(np.argmax(alive <= goal)) if alive[-1] <= goal else len(knots)
        low, between = float(knots[after - 1]), self._between(after - 1)
        if after < len(knots):
            high = float(knots[after])
            if between(math.nextafter(high, 0.0)) > goal:
                return Quantile(high, False)
        else:
            high = self.longest_s or self.prior.median_s
            while between(high) > goal:
                high *= 2
        for _halving in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if between(middle) > goal else (low, middle)
        return Quantile(high, False)

    @cached_property
    def _at_last(self) -> float:
        """The probability of lasting longer than anything that is known of."""
        return float(self.at(self.known_to_s if self.unknown else math.inf))

    @cached_property
    def _knots(self) -> tuple[FloatArray, FloatArray]:
        """0 and the durations, and the probability of lasting longer than each."""
        knots = np.concatenate([[0.0], self.times_s])
        return knots, self.at(knots)

    def _between(self, place: int) -> Callable[[float], float]:
        """The same as ``at`` for one time after a knot and before the next: a search asks sixty times."""
        prior, lessons = self.prior, self.prior.weight + self.count
        later = float(self.later[place - 1]) if place else float(self.count)
        if self._is_flat and place == len(self.times_s):
            later = float(self.cut_off[-1])
        factor = float(self.factors[place - 1]) if place else 1.0
        spread = prior.sigma * math.sqrt(2)
        modes = [(0.5 * prior.weight * share, median_s) for share, median_s in prior.modes]

        def alive(time_s: float) -> float:
            own = sum(weight * math.erfc(math.log(time_s / median_s) / spread) for weight, median_s in modes)
            return (own + later) / lessons * factor

        return alive


def fit(times_s: ArrayLike, complete: ArrayLike, prior: Prior = NO_PRIOR) -> Curve:
    """The curve of n durations in seconds; where ``complete`` is false, one lasted at least so long.

    A complete duration comes before one cut off at the same time. Raises ValueError for a duration that is
    not above 0 and finite, for two lengths that differ, and for no duration and no prior.
    """
    times, ended = np.asarray(times_s, dtype=float).ravel(), np.asarray(complete, dtype=bool).ravel()
    if times.shape != ended.shape:
        raise ValueError(f"{len(times)} durations, but {len(ended)} endings")
    if not (np.all(np.isfinite(times)) and np.all(times > 0)):
        raise ValueError("a duration must be above 0 and finite")
    if not len(times) and not prior.weight:
        raise ValueError("no durations and no prior: there is no curve")
    distinct, which = np.unique(times, return_inverse=True)
    total = np.bincount(which, minlength=len(distinct)).astype(float)
    done = np.bincount(which, weights=ended, minlength=len(distinct)).astype(float)
    later = len(times) - np.cumsum(total)
    return Curve(prior, distinct, done, total - done, later, _factors(distinct, total - done, later, prior))


def _factors(times_s: FloatArray, cut_off: FloatArray, later: FloatArray, prior: Prior) -> FloatArray:
    """The running product over censored durations; one with no weight beyond it counts as 1, not 0/0."""
    ratios = np.ones_like(times_s)
    own = prior.weight * prior.survival(times_s) if prior.weight else 0.0
    some = (cut_off > 0) & (own + later > _NOTHING)
    behind = (own + later)[some]
    ratios[some] = (behind + cut_off[some]) / behind
    return np.asarray(np.cumprod(ratios), dtype=float)
