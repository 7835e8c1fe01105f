"""The whole plan against its own past while it is typed: answers are remembered from press to press."""

from dataclasses import replace

from pacer.pace.forecasts.survival import Curve
from pacer.plan.outline import Outline, Phase
from pacer.review.learning.budgets import SortedPast, WholePlan, like_of, unlevelled_plan

# Tenths of days are all that is shown: a level counts as n of 10 from half a tenth below it on.
LEVELS = tuple((2 * n + 1) / 20 for n in range(10))
_Key = tuple[str, str, int]


class PlanOutlook:
    """Holds a sorted history; a budget that was asked about before costs nothing again."""

    def __init__(self, past: SortedPast) -> None:
        self.past = past
        self._quantiles: dict[tuple[_Key, float], tuple[float, bool]] = {}

    def plan_of(self, outline: Outline) -> WholePlan:
        """Like ``budgets.plan_of``, with ``level`` in whole tenths of days; 0 where not even one is kept."""
        phases, like = outline.phases[: outline.mini_count], like_of(outline)
        answers = [(phase, *self.past.proposal(phase, like)) for phase in phases]
        plan = unlevelled_plan([proposal for _phase, proposal, _curve in answers], outline.mini_lesson_s)
        curves = [(phase, curve) for phase, _proposal, curve in answers if curve is not None]
        if plan.unknown or not curves:
            return plan
        tenths, at_most = self._tenths(curves, outline.mini_lesson_s)
        return replace(plan, level=tenths / 10, level_at_most=at_most)

    def _tenths(self, curves: list[tuple[Phase, Curve]], mini_lesson_s: int) -> tuple[int, bool]:
        """On how many of ten days all phases together fit, and whether it may be fewer."""
        low, high = 0, len(LEVELS)
        while low < high:
            middle = (low + high) // 2
            needs = sum(self._quantile(phase, curve, LEVELS[middle])[0] for phase, curve in curves)
            low, high = (middle + 1, high) if needs <= mini_lesson_s else (low, middle)
        level = LEVELS[max(0, low - 1)]
        return low, any(self._quantile(phase, curve, level)[1] for phase, curve in curves)

    def _quantile(self, phase: Phase, curve: Curve, level: float) -> tuple[float, bool]:
        key = (phase.id, phase.kind, phase.budget_s), level
        if key not in self._quantiles:
            quantile = curve.quantile(level)
            self._quantiles[key] = quantile.seconds, quantile.at_least
        return self._quantiles[key]
