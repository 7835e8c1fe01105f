"""Durations added up by convolution on a grid of 5 s, with the hurry of a teacher who is late.

A grid row holds probabilities of 0 s, 5 s, 10 s ...; its last cell holds everything from there on. Sums are
kept as time *past the deadline*, on a grid that has the deadline itself as a cell, and what does not fall
on the grid is rounded up. That makes it exact that more time never lowers the odds, but for a teacher who was
seen to leave a phase out only when she is late: with a little more time she keeps it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pacer.pace.forecasts.leaving_out import LeavingOut
from pacer.pace.forecasts.survival import FloatArray

STEP_S = 5
_REACH = 3.0  # spreads either way
NEVER = 1e-12
"""A probability below this is none."""


@dataclass(frozen=True)
class Shared:
    """What stretches all parts alike: they need ``needs_s`` seconds times a lognormal factor with a median of
    1 and this spread of its logarithm.
    """

    needs_s: float
    spread: float

    def more(self) -> tuple[FloatArray, int]:
        """The probabilities of what it adds, in cells, and how many of them stand for less than nothing."""
        if self.needs_s < STEP_S or self.spread <= 0:
            return np.ones(1), 0
        reach = math.exp(_REACH * self.spread)
        first, last = -int(self.needs_s * (1 - 1 / reach) / STEP_S), int(self.needs_s * (reach - 1) / STEP_S)
        logs = np.log(1 + (np.arange(first, last) + 0.5) * STEP_S / self.needs_s)
        below = [0.5 * math.erfc(z) for z in (-logs / self.spread / math.sqrt(2)).tolist()]
        return np.diff(below, prepend=0.0, append=1.0), -first


ALONE = Shared(0.0, 0.0)


@dataclass(frozen=True, eq=False)
class FinishDistribution:
    """When the last part ends: one row of probabilities per case, cells of 5 s.

    Cell 0 stands for ``origin`` cells past the deadline (negative: before it). ``rounded_s`` is what
    rounding up added to each time.
    """

    rows: FloatArray
    origin: int
    rounded_s: float

    def in_time(self) -> FloatArray:
        """Probability, for each case, of ending no later than the deadline."""
        total: FloatArray = self.rows[:, : max(0, 1 - self.origin)].sum(axis=1)
        return np.clip(total, 0.0, 1.0)

    def mean_and_median_s(self, weights: FloatArray) -> tuple[float, float]:
        """Seconds past the deadline at which the last part ends, the cases weighted."""
        row = weights @ self.rows
        begin_s = self.origin * STEP_S - self.rounded_s
        reached = np.cumsum(row)
        cell = int(np.searchsorted(reached, reached[-1] / 2))
        inside = (reached[-1] / 2 - (reached[cell] - row[cell])) / max(row[cell], NEVER)
        mean = float(row @ np.arange(len(row)) / reached[-1])
        return begin_s + mean * STEP_S, begin_s + (cell - 0.5 + float(inside)) * STEP_S


def finish_distribution(parts: Sequence[FloatArray], left_s: float, passed_s: float = 0.0,
           budgets_s: Sequence[float] | None = None,
           speed_up: float = 0.0, held_s: float = 0.0,
           left_out: Sequence[LeavingOut | None] = (),
           shared: Shared = ALONE) -> FinishDistribution | None:  # fmt: skip
    """Add up the running part, of which ``passed_s`` have passed, and all later ones.

    ``parts`` are grids of the same shape. With a ``speed_up`` (0 to 1) a part that starts late by x seconds
    against ``budgets_s`` takes back that share of its budget x (x / budgets from there on, at most 1).
    A running part that would end within ``held_s`` seconds ends then, and nothing that is ``shared`` ends
    it sooner. A later part lasts no time at all with
    the probability that ``left_out`` has for its lateness. None if the running part has lasted longer than it
    ever can.
    """
    size = parts[0].shape[1]
    budgets_s = [0.0] * len(parts) if budgets_s is None else budgets_s
    rest_s = np.cumsum([0.0, *reversed(budgets_s)])[::-1]
    hurry = [speed_up * budget for budget in budgets_s]
    back_s = _taken_back(np.array([rest_s[0] - left_s - passed_s]), hurry[0], rest_s[0])[0]
    running = np.where(np.arange(size) * STEP_S > passed_s + back_s, parts[0], 0.0)
    if passed_s <= 0 and back_s <= 0:
        running = parts[0]
    alive = running.sum(axis=1, keepdims=True)
    if np.any(alive <= NEVER):
        return None
    used = float(left_s + passed_s + back_s)
    room = int(sum(hurry) / STEP_S) + 1
    deadline = room + max(0, int(used // STEP_S))
    held = math.ceil((passed_s + back_s + held_s) / STEP_S) if held_s > 0 else 0
    rows = np.zeros((len(running), max(room + size, deadline + 2, room + held + 2)))
    rows[:, room : room + size - 1] = running[:, :-1] / alive
    rows[:, -1] = running[:, -1] / alive[:, 0]
    rows[:, room + held] += rows[:, room : room + held].sum(axis=1)
    rows[:, room : room + held] = 0.0
    origin = -int(used // STEP_S) - room
    length = _fast_length(rows.shape[1] + max(map(_cells_in_use, parts)))
    at_s = (np.arange(rows.shape[1]) + origin) * STEP_S
    left_out = left_out or [None] * len(parts)
    for part, own_s, later_s, budget_s, leaving in zip(
        parts[1:], hurry[1:], rest_s[1:-1], budgets_s[1:], left_out[1:], strict=True
    ):
        out = None if leaving is None else rows * leaving.at((at_s + later_s) / budget_s)
        if out is not None:
            rows = rows - out
        if own_s > 0:
            rows = _moved_back(rows, _taken_back(at_s + later_s, own_s, later_s) / STEP_S)
        rows = _convolved(rows, part, length)
        if out is not None:
            rows += out
    more, less = shared.more()
    if len(more) > 1:
        # The last cell, of what never ends, stays last.
        rows = np.insert(rows, [-1] * (len(more) - 1), 0.0, axis=1)
        rows = _convolved(rows, np.append(more, 0.0)[None], _fast_length(rows.shape[1] + len(more)))
        first = room + less + max(held, int((passed_s + back_s) / STEP_S))
        rows[:, first] += rows[:, :first].sum(axis=1)
        rows[:, :first] = 0.0
    return FinishDistribution(rows, origin - less, used % STEP_S)


def _taken_back(late_s: FloatArray, own_s: float, rest_s: float) -> FloatArray:
    """Seconds that a part takes back which starts late by ``late_s``."""
    if own_s <= 0 or rest_s <= 0:
        return np.zeros_like(late_s)
    return own_s * np.clip(late_s / rest_s, 0.0, 1.0)


def _moved_back(rows: FloatArray, back_cells: FloatArray) -> FloatArray:
    """Move each cell's probability back, shared between the two cells it falls between; the last stays."""
    target = np.maximum(np.arange(rows.shape[1]) - back_cells, 0.0)
    target[-1] = rows.shape[1] - 1
    low = target.astype(int)
    upper = target - low
    begin = np.arange(len(rows))[:, None] * rows.shape[1]
    moved = np.bincount((begin + low).ravel(), (rows * (1 - upper)).ravel(), rows.size)
    above = np.minimum(low + 1, rows.shape[1] - 1)
    moved += np.bincount((begin + above).ravel(), (rows * upper).ravel(), rows.size)
    return np.asarray(moved.reshape(rows.shape), dtype=float)


def _cells_in_use(part: FloatArray) -> int:
    """How many cells of a part are in use, its last one not counted."""
    used = np.flatnonzero(np.any(part[:, :-1] > 0, axis=0))
    return int(used[-1]) + 1 if len(used) else 1


def _fast_length(least: int) -> int:
    """A length that a Fourier transform is quick with: a power of 2 times 1, 3 or 5."""
    return min(odd << max(0, (-(-least // odd) - 1).bit_length()) for odd in (1, 3, 5))


def _convolved(rows: FloatArray, part: FloatArray, length: int) -> FloatArray:
    """Add an independent duration to each row; what runs off the end, and its last cell, stay last."""
    product = np.fft.rfft(rows, length) * np.fft.rfft(part[:, :-1], length)
    kept = np.maximum(np.fft.irfft(product, length)[:, : rows.shape[1]], 0.0)
    kept[:, -1] += np.maximum(0.0, rows.sum(axis=1) - kept.sum(axis=1))
    return kept
