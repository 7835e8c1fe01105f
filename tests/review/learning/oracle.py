"""An oracle for invented terms: it knows the generator and its parameters, not what chance will draw."""

import numpy as np
from scipy import stats

from pacer.pace.forecasts.past import PastEnding
from pacer.review.learning import invented_terms as made
from pacer.review.learning.invented_terms import Term

DAYS = np.linspace(-4, 4, 41)
DRAWS = 2000
SHARES = np.linspace(made.CUT_LEAST, made.CUT_MOST, 10)
# A later phase is scored only where nothing interrupts, so the oracle may leave interruptions out.
MOVED_ON_SHARE = made.CUT_SHARE * (1 - made.INTERRUPTED_SHARE) / (1 - made.CUT_SHARE * made.INTERRUPTED_SHARE)


def oracle_s(
    term: Term, lesson: int, today: list[PastEnding], late_s: float, chance: np.random.Generator
) -> float:
    """Median time in seconds from the border after ``today`` to the mini lesson's end, by simulation."""
    behind_s, weight = late_s, stats.norm.logpdf(DAYS)
    for index, past in enumerate(today):
        weight = weight + _likely(term, lesson, index, past, behind_s)
        behind_s += past.actual_s - past.planned_s
    weight = np.exp(weight - weight.max())
    days = term.day_spread * chance.choice(DAYS, DRAWS, p=weight / weight.sum())
    behind, total = np.full(DRAWS, float(behind_s)), np.zeros(DRAWS)
    for index in range(len(today), len(term.kinds)):
        own = term.spread[index] * made.own_scale() * chance.standard_t(made.TAIL_FREEDOM, DRAWS)
        took = term.budgets_s[index] * np.exp(
            term.center(lesson)[index] + days + own + term.hurry(index, behind)
        )
        moved_on = chance.uniform(size=DRAWS) < MOVED_ON_SHARE
        took = took * np.where(moved_on, chance.uniform(made.CUT_LEAST, made.CUT_MOST, DRAWS), 1.0)
        total, behind = total + took, behind + took - term.budgets_s[index]
    return float(np.median(total))


def _likely(term: Term, lesson: int, index: int, past: PastEnding, behind_s: float) -> np.ndarray:
    """Log likelihood of an ending for each day factor; where it was cut is drawn out by averaging."""
    center = term.center(lesson)[index] + DAYS * term.day_spread + term.hurry(index, behind_s)
    scale = term.spread[index] * made.own_scale()
    seen = np.log(past.actual_s / past.planned_s)
    if past.ending in ("moved on", "interrupted"):
        each = stats.t.pdf((seen - np.log(SHARES)[:, None] - center) / scale, made.TAIL_FREEDOM)
        return np.log(each.mean(axis=0))
    return stats.t.logpdf((seen - center) / scale, made.TAIL_FREEDOM)
