"""Invented terms to try forecasts on. Nobody taught these lessons: every number is drawn by chance.

Written down before any forecast was tuned, and frozen: change a forecast, never this. A phase takes

    budget x exp(bias + drift + day + own) x exp(-speed_up x lateness / time the rest of the plan needs)

where *day* is shared by all phases of a day, *own* is Student's t with 5 degrees of freedom (tails a
little heavy), *drift* moves all phases along the term, and *lateness* (0 when early, at most the rest of
the plan) makes the teacher hurry. One ending in five is cut off at 50 to 95 % of the phase's time: three in
four of those the teacher moves on, one in four something interrupts. The ranges are ours, no source.
"""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from pacer.pace.forecasts.past import PastEnding
from pacer.run.events import Ending

FloatArray = NDArray[np.float64]

LESSONS = 60
TAIL_FREEDOM = 5
CUT_SHARE, INTERRUPTED_SHARE = 0.20, 0.25
CUT_LEAST, CUT_MOST = 0.50, 0.95
UNSAID_SHARE = 0.2
_KINDS = ("warm-up", "review", "modeling", "vocabulary", "partner-talk", "guided-practice", "look-back")
_BUDGETS_S = (120, 180, 420, 180, 150, 480, 120)


@dataclass(frozen=True)
class Term:
    """The parameters of one invented term; spreads are standard deviations of logarithms.

    ``budgets_s``, ``bias`` and ``spread`` have one entry per phase; ``drift`` is the whole change from the
    first lesson to the last; ``late_mean_s`` is the mean of the late starts.
    """

    seed: int
    kinds: tuple[str, ...]
    budgets_s: tuple[float, ...]
    bias: tuple[float, ...]
    spread: tuple[float, ...]
    day_spread: float
    drift: float
    speed_up: float
    late_mean_s: float

    def center(self, lesson: int) -> FloatArray:
        """The usual logarithm of actual over budget of each phase at a lesson counted from 0."""
        return np.array(self.bias) + self.drift * (lesson / (LESSONS - 1) - 0.5)

    def hurry(self, index: int, behind_s: FloatArray | float) -> FloatArray | float:
        """What lateness at the start of a phase adds to the logarithm (0 or less)."""
        rest_s = sum(self.budgets_s[index:])
        return -self.speed_up * np.clip(np.asarray(behind_s) / rest_s, 0.0, 1.0)


def invented_term(seed: int) -> Term:
    """The parameters that belong to a seed."""
    chance = np.random.default_rng([seed, 1])
    count = int(chance.integers(5, 8))
    chosen = np.sort(chance.choice(len(_KINDS), size=count, replace=False))
    return Term(
        seed=seed,
        kinds=tuple(_KINDS[i] for i in chosen),
        budgets_s=tuple(float(_BUDGETS_S[i]) for i in chosen),
        bias=tuple(float(x) for x in chance.normal(0.08, 0.15, count)),
        spread=tuple(float(x) for x in chance.uniform(0.15, 0.35, count)),
        day_spread=float(chance.uniform(0.08, 0.20)),
        drift=float(chance.uniform(-0.20, 0.20)),
        speed_up=float(chance.uniform(0.20, 0.80)),
        late_mean_s=float(chance.uniform(30.0, 120.0)),
    )


def taught(term: Term) -> list[PastEnding]:
    """The endings of all lessons of a term, in order of time. The same term gives the same endings."""
    chance = np.random.default_rng([term.seed, 2])
    endings: list[PastEnding] = []
    for lesson in range(LESSONS):
        day = (date(2025, 9, 1) + timedelta(days=7 * (lesson // 5) + lesson % 5)).isoformat()
        late_s = behind_s = round(float(chance.exponential(term.late_mean_s)))
        shared = float(chance.normal(0.0, term.day_spread))
        center = term.center(lesson)
        for index, kind in enumerate(term.kinds):
            own = term.spread[index] * float(chance.standard_t(TAIL_FREEDOM)) * own_scale()
            log_ratio = center[index] + shared + own + term.hurry(index, behind_s)
            ending, share = _ending(chance)
            actual_s = max(1, round(term.budgets_s[index] * float(np.exp(log_ratio)) * share))
            endings.append(
                PastEnding(lesson, day, kind, kind, term.budgets_s[index], actual_s, ending, None, late_s)
            )
            behind_s += actual_s - round(term.budgets_s[index])
    return endings


def own_scale() -> float:
    """What brings Student's t to a standard deviation of 1."""
    return float(np.sqrt((TAIL_FREEDOM - 2) / TAIL_FREEDOM))


def _ending(chance: np.random.Generator) -> tuple[Ending, float]:
    """How a phase ends, and which share of its time it got."""
    cut, interrupted, unsaid = chance.uniform(size=3)
    share = float(chance.uniform(CUT_LEAST, CUT_MOST))
    if cut < CUT_SHARE:
        return ("interrupted" if interrupted < INTERRUPTED_SHARE else "moved on"), share
    return ("unsaid" if unsaid < UNSAID_SHARE else "done"), 1.0
