"""How often a phase is left out, and how late a teacher must be for it: learned, and shrunk to never."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pacer.pace.forecasts.past import PastEnding, lateness_s
from pacer.pace.forecasts.survival import FloatArray

LEAST_LEFT_OUT = 2
_OUT, _IN = 0.3, 2.0  # what is expected before any evidence, in lessons: a beta distribution


@dataclass(frozen=True, eq=False)
class LeavingOut:
    """The probability that a phase is left out: ``rates[n]`` where lateness at its start, over its budget,
    is above ``after[n - 1]``. It never falls as lateness rises.
    """

    after: FloatArray
    rates: FloatArray

    def at(self, late: FloatArray) -> FloatArray:
        """The probability for each lateness over the budget."""
        return np.asarray(self.rates[np.searchsorted(self.after, late)], dtype=float)


def leaving_out(lessons: Sequence[Sequence[PastEnding]], phase: str) -> LeavingOut | None:
    """What past lessons say of it; None where a phase was left out less than twice.

    Either lateness says nothing, or there is a rate below some lateness and a rate above; where that lies
    is averaged over all that are possible, each as likely as it makes what was seen.
    """
    seen = [
        (late_s / past.planned_s, past.ending == "skipped")
        for lesson in lessons
        for past, late_s in zip(lesson, lateness_s(lesson), strict=True)
        if past.phase == phase and past.planned_s > 0 and not past.is_cut_off
    ]
    if sum(out for _late, out in seen) < LEAST_LEFT_OUT:
        return None
    seen.sort()
    late, left = np.array([late for late, _out in seen]), np.cumsum([out for _late, out in seen])
    at = np.flatnonzero(np.diff(late) > 0).astype(np.int64)
    count, few = np.asarray(at + 1, dtype=float), np.asarray(left[at], dtype=float)
    all_of, most = float(len(seen)), float(left[-1])
    below, above = _rate(few, count), _rate(most - few, all_of - count)
    likely = _log_likelihood(few, count) + _log_likelihood(most - few, all_of - count) - math.log(len(at) + 1)
    rises = above > below
    whole = np.array([most]), np.array([all_of])
    weight = np.concatenate([likely[rises], _log_likelihood(*whole)])
    weight = np.exp(weight - weight.max())
    weight /= weight.sum()
    least = float(weight @ np.concatenate([below[rises], _rate(*whole)]))
    steps = np.cumsum(weight[:-1] * (above - below)[rises])
    return LeavingOut(((late[at] + late[at + 1]) / 2)[rises], least + np.concatenate([np.zeros(1), steps]))


def _rate(out: FloatArray, count: FloatArray) -> FloatArray:
    return np.asarray((out + _OUT) / (count + _OUT + _IN), dtype=float)


def _log_likelihood(out: FloatArray, count: FloatArray) -> FloatArray:
    """Of so many left out of so many, whatever the rate (beta-binomial, of one order)."""
    return np.array([
        math.lgamma(k + _OUT) + math.lgamma(n - k + _IN) - math.lgamma(n + _OUT + _IN)
        - math.lgamma(_OUT) - math.lgamma(_IN) + math.lgamma(_OUT + _IN)
        for k, n in zip(out.tolist(), count.tolist(), strict=True)
    ])  # fmt: skip
