"""The odds of ending in time, from survival curves; as a range where the tail of one is unknown."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pacer.pace.forecasts.leaving_out import LeavingOut
from pacer.pace.forecasts.sums import ALONE, NEVER, STEP_S, Shared, finish_distribution
from pacer.pace.forecasts.survival import Curve, FloatArray

LONGEST_S = 4 * 3600
_ONE_CASE = np.ones(1)


@dataclass(frozen=True)
class Odds:
    """A probability with the range it may lie in, by an unknown tail or by few lessons."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True)
class OnTimeOdds:
    """When the last part ends, in seconds from now, and the odds that this is within the time left."""

    median_s: float
    mean_s: float
    odds: Odds

    @property
    def end_s(self) -> float:
        """The end that is foretold: the middle.

        Days that stick are longer by more than quick ones are shorter, so it is early by some seconds over
        many lessons; the mean is hardly so, but less near on a single day, by a hundredth of the error: see
        `tests/review/learning/test_backtest_teachers.py`.
        """
        return self.median_s


def on_time_odds(
    curves: Sequence[Curve],
    left_s: float,
    passed_s: float = 0.0,
    scales: FloatArray | None = None,
    weights: FloatArray = _ONE_CASE,
    budgets_s: Sequence[float] | None = None,
    speed_up: float = 0.0,
    held_s: float = 0.0,
    left_out: Sequence[LeavingOut | None] = (),
    shared: Shared = ALONE,
) -> OnTimeOdds | None:
    """What lies ahead: the running part, of which ``passed_s`` have passed, and the later ones.

    ``scales`` (a row per part, a column per case; 1 where not given) stretch the curves, ``weights`` are the
    probabilities of the cases, for the rest see `finish_distribution`. None where the running part has
    lasted longer than it ever can. Low counts every censored tail late; high counts it in time unless its
    known part is late.
    """
    scales = np.ones((len(curves), 1)) if scales is None else scales
    size = _size(curves, scales, max(0.0, left_s) + passed_s + held_s)
    edges = [_cell_ends(curve, size, scale) for curve, scale in zip(curves, scales, strict=True)]
    over = [curve.at(times) for curve, times in zip(curves, edges, strict=True)]
    parts = [_cell_probabilities(share_over, size) for share_over in over]
    open_ended = [number for number, curve in enumerate(curves) if curve.unknown > 0]
    known, cases = parts[0][:, int(passed_s // STEP_S) + 1 : -1], scales.shape[1]
    if open_ended:
        # Cases once more in which no unknown tail ends, added up together with the others.
        never = list(parts)
        for number in open_ended:
            never[number] = _cell_probabilities(
                _over_if_never(curves[number], edges[number], over[number]), size
            )
        parts = [np.concatenate(pair) for pair in zip(parts, never, strict=True)]
    end = finish_distribution(parts, left_s, passed_s, budgets_s, speed_up, held_s, left_out, shared)
    if end is None or np.all(known <= NEVER):
        return None
    in_time = end.in_time()
    likely = low = high = float(weights @ in_time[:cases])
    if open_ended:
        rest = np.ones(cases)
        for number in open_ended:
            rest *= 1.0 - _in_time_at_best(
                curves[number], scales[number], left_s, 0.0 if number else passed_s
            )
        if_never = in_time[cases:]
        low = min(likely, float(weights @ if_never))
        high = max(likely, min(1.0, float(weights @ (if_never + 1.0 - rest))))
        weights = np.concatenate([weights, np.zeros(cases)])
    mean_s, median_s = end.mean_and_median_s(weights)
    return OnTimeOdds(left_s + median_s, left_s + mean_s, Odds(low, likely, high))


def _size(curves: Sequence[Curve], scales: FloatArray, least_s: float) -> int:
    """How many cells hold all that is likely to happen."""
    ends = [max(curve.longest_s, curve.prior.within_s(2)) for curve in curves]
    return int((least_s + min(LONGEST_S, float(np.array(ends) @ scales.max(axis=1)))) / STEP_S) + 2


def _in_time_at_best(curve: Curve, scales: FloatArray, left_s: float, passed_s: float) -> FloatArray:
    """The probability of an unknown tail that may still be in time, given that some time has passed."""
    share: FloatArray | float = curve.unknown
    if passed_s > 0:
        passed = passed_s / scales
        alive = _over_if_never(curve, passed, curve.at(passed))
        share = np.divide(curve.unknown, alive, out=np.ones_like(alive), where=alive > NEVER)
    return np.where(scales * curve.known_to_s <= left_s + passed_s, share, 0.0)


def _cell_ends(curve: Curve, size: int, scales: FloatArray) -> FloatArray:
    """Where cells end, in the curve's own units, as far as anything happens: a row for each scale.

    Each cell takes the durations nearest to it.
    """
    far_s = max(1.5 * curve.longest_s, curve.prior.within_s(5)) * float(scales.max())
    needed = min(size - 1, int(far_s / STEP_S) + 2)
    return np.asarray((np.arange(needed) + 0.5) * STEP_S / scales[:, None], dtype=float)


def _over_if_never(curve: Curve, times: FloatArray, over: FloatArray) -> FloatArray:
    """``over``, the probability of lasting longer than some times, if the unknown tail does not end."""
    if curve.unknown <= 0:
        return over
    ended = curve.unknown + over * (1.0 - curve.unknown_share)
    return np.where(times >= curve.known_to_s, ended, over)


def _cell_probabilities(over: FloatArray, size: int) -> FloatArray:
    """Cells from the probabilities of lasting longer than their ends."""
    rows = np.zeros((len(over), size))
    rows[:, : over.shape[1]] = -np.diff(over, axis=1, prepend=1.0)
    rows[:, -1] += over[:, -1]
    return np.maximum(rows, 0.0)
