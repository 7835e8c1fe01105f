"""When the mini lesson will end, and the odds that it ends in time, from past lessons and plain numbers."""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from pacer.pace.forecasts import day_factor
from pacer.pace.forecasts.day_factor import WEIGHTS
from pacer.pace.forecasts.learned import Learned, shares_behind
from pacer.pace.forecasts.odds import Odds, OnTimeOdds, on_time_odds
from pacer.pace.forecasts.past import PastEnding
from pacer.pace.forecasts.sums import Shared
from pacer.pace.forecasts.survival import FloatArray

A_TENTH = 0.1
NINE_OF_TEN = 1.645  # standard errors either way


@dataclass(frozen=True)
class Forecast(OnTimeOdds):
    """The same of the mini lesson; ``lessons`` is how many the least known remaining phase rests on."""

    lessons: int


def forecast(
    learned: Learned,
    index: int,
    passed_s: float,
    left_s: float,
    today: Sequence[PastEnding] = (),
    budgets_s: Sequence[float] | None = None,
    over: Collection[int] = (),
    held_s: float = 0.0,
) -> Forecast | None:
    """Forecast from phase ``index`` (counted from 0), ``passed_s`` seconds into it.

    ``left_s`` is the time to the planned end of the mini lesson, negative when that is past. ``today`` are
    the endings of today's lesson so far. ``budgets_s`` are the written budgets of all phases, less what later
    ones have had already (where not given: as in the plan), ``over`` the later phases that are finished or
    left out. The running phase lasts ``held_s`` seconds more at the least. None, to be shown as silence,
    where a remaining phase has fewer than 6 past lessons behind it, or the running one has lasted longer
    than anything known. The odds are moved by the teacher's own record (`own_record.py`), the end is not. How
    often what is said comes true is simulated in `tests/review/learning/test_backtest_teachers.py` and
    `tests/review/learning/test_backtest_unlike_teachers.py`.
    """
    budgets = [phase.budget_s for phase in learned.plan] if budgets_s is None else list(budgets_s)
    remaining = [
        at for at in range(index, len(budgets)) if at == index or (at not in over and budgets[at] > 0)
    ]
    models = [learned.phases[at] for at in remaining]
    phases = [phase for phase in models if phase is not None]
    if not phases or len(phases) < len(models) or budgets[index] <= 0:
        return None
    own_s = np.array([budgets[at] for at in remaining])
    factors, around = _today_log_factors(learned, index, passed_s / own_s[0], today, float(own_s.sum()))
    usual_s = float(own_s @ np.exp([phase.center + factors[1] for phase in phases]))
    ahead = on_time_odds(
        [phase.curve for phase in phases],
        left_s,
        passed_s,
        own_s[:, None] * np.exp(factors),
        WEIGHTS,
        own_s.tolist(),
        learned.random_effects.speed_up,
        held_s,
        [learned.left_out[at] for at in remaining],
        Shared(max(0.0, usual_s - passed_s), around),
    )
    if ahead is None:
        return None
    lessons = min(phase.lessons for phase in phases)
    odds = ahead.odds if learned.record is None else learned.record.moved(ahead.odds)
    return Forecast(ahead.median_s, ahead.mean_s, as_far_as_known(odds, lessons), lessons)


def as_far_as_known(odds: Odds, lessons: int) -> Odds:
    """The odds as the range that so few lessons leave them, or as they are where that is under a tenth.

    Of simulated teachers whose true odds are known nine of ten lie within it, as it is shown in tenths, from
    6 lessons to a whole term (`tests/pace/forecasts/test_forecast_range_shown.py`): as if the odds were a
    share of half the lessons and 3 more, or of 1 more below 10 lessons, where nothing is known of what days
    share. Where whole days are long or short by a fifth, only 7 of ten do until then in the middle of a
    lesson. Levels that may drift are never known as well as so many lessons would tell.
    """
    more = 3 if lessons >= day_factor.LEAST_LESSONS else 1
    error = NINE_OF_TEN * math.sqrt(odds.likely * (1 - odds.likely) / (lessons / 2 + more))
    if error < A_TENTH:
        return odds
    low, high = min(odds.low, odds.likely - error), max(odds.high, odds.likely + error)
    return Odds(max(0.0, low), odds.likely, min(1.0, high))


def _today_log_factors(
    learned: Learned, index: int, passed: float, today: Sequence[PastEnding], later_s: float
) -> tuple[FloatArray, float]:
    """Likely logarithms of today's factor, from today's endings and what has passed of the running phase,
    and the spread around each."""
    by_phase = {planned.phase: phase for planned, phase in zip(learned.plan, learned.phases, strict=True)}
    observed = [
        (
            past.actual_s / past.planned_s + learned.random_effects.speed_up * share,
            phase,
            not past.is_complete("takes"),
        )
        for past, share in zip(today, shares_behind(today, later_s), strict=True)
        if (phase := by_phase.get(past.phase)) is not None and past.ending != "skipped" and past.is_sound
    ]
    running = learned.phases[index]
    if running is not None and passed > 0:
        observed.append((passed, running, True))
    return day_factor.today(
        learned.random_effects,
        np.array([np.log(ratio) - phase.center for ratio, phase, _cut in observed]),
        np.array([phase.own for _ratio, phase, _cut in observed]),
        np.array([cut for _ratio, _phase, cut in observed], dtype=bool),
        learned.level_error,
    )
