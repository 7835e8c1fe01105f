"""How often a teacher's own lessons ended in time, beside what their phases alone would have made likely.

Phases that are added up one by one do not know that a teacher who watches the end lands just behind it: she
ran on where there was time, and broke off where there was none. To such teachers .36 was said where .20 came.
So each past lesson tells, at its start, how likely it was to end in time, and whether it did; the odds are
moved by what that says together (a shift of the log odds: Cox, "Two further applications of a model for
binary regression", Biometrika 45, 1958; from memory). Most likely it says nothing: then they stay.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pacer.pace.forecasts.day_factor import LEAST_LESSONS, BoolArray, Observations, RandomEffects
from pacer.pace.forecasts.odds import Odds
from pacer.pace.forecasts.past import PastEnding
from pacer.pace.forecasts.survival import FloatArray

SHIFTS = np.linspace(-3.0, 3.0, 25)  # of the log odds
STAYS = 0.7  # the chance, before any evidence, that a teacher's odds need no shift; chosen on training seeds
SHIFTS_SPREAD = 1.0
LEAST_KNOWN_OF = 5  # of so many lessons at most one may have an end that is not known
_SURE = 0.002  # nothing is taken for surer than that, or one lesson would decide


@dataclass(frozen=True, eq=False)
class OwnRecord:
    """How likely each of ``SHIFTS`` is."""

    weights: FloatArray

    def moved(self, odds: Odds) -> Odds:
        """The odds as the record has them; higher ones stay higher."""
        low, likely, high = (self._moved(chance) for chance in (odds.low, odds.likely, odds.high))
        return Odds(low, likely, high)

    def _moved(self, chance: float) -> float:
        if not 0.0 < chance < 1.0:
            return chance
        factors = np.exp(SHIFTS)
        # Rounded weights may add up to a hair over one.
        return min(1.0, float(self.weights @ (chance * factors / (1.0 - chance + chance * factors))))


def own_record(
    lessons: Sequence[Sequence[PastEnding]],
    observed: Observations,
    given: BoolArray,
    expected: FloatArray,
    known: RandomEffects,
) -> OwnRecord | None:
    """The record of past lessons; None below 10 of them, or where the ends of too many are not known.

    ``observed`` and ``given`` are their endings beside what was ``expected`` of them (a logarithm each).
    """
    came = [_came_in_time(lesson) for lesson in lessons]
    if len(lessons) < LEAST_LESSONS or came.count(None) * LEAST_KNOWN_OF > len(lessons):
        return None
    said = np.clip(_said(lessons, observed, given, expected, known), _SURE, 1 - _SURE)
    factors = np.exp(SHIFTS)
    prior = np.exp(-0.5 * (SHIFTS / SHIFTS_SPREAD) ** 2) * (SHIFTS != 0.0)
    prior *= (1 - STAYS) / prior.sum()
    prior[SHIFTS == 0.0] = STAYS
    likely = np.log(prior)
    for chance, in_time in zip(said.tolist(), came, strict=True):
        if in_time is not None:
            moved = chance * factors / (1.0 - chance + chance * factors)
            likely += np.log(moved if in_time else 1.0 - moved)
    weights = np.exp(likely - likely.max())
    return OwnRecord(weights / weights.sum())


def _came_in_time(lesson: Sequence[PastEnding]) -> bool | None:
    """Whether the groups could start on time; None where something cut the lesson off before it was late."""
    late_s = lesson[0].late_s if lesson else 0.0
    for past in lesson:
        if past.ending != "skipped" and not past.is_sound:
            return None
        late_s += 0.0 if past.ending == "skipped" else past.actual_s
    planned_s = sum(past.planned_s for past in lesson)
    cut_off = any(past.is_cut_off for past in lesson)
    if not lesson or (cut_off and late_s <= planned_s):
        return None
    return late_s <= planned_s


def _said(
    lessons: Sequence[Sequence[PastEnding]],
    observed: Observations,
    given: BoolArray,
    expected: FloatArray,
    known: RandomEffects,
) -> FloatArray:
    """How likely each lesson was to end in time, by usual durations and spreads alone (a normal sum)."""
    columns = len(known.own)
    natural = observed.ratio + known.speed_up * observed.behind
    count = np.bincount(observed.column, given, columns)
    total = np.bincount(observed.column, natural * given, columns)
    usual = np.where(count > 0, total / np.maximum(count, 1), 1.0)
    said = np.empty(len(lessons))
    row = 0
    for number, lesson in enumerate(lessons):
        late_s = lesson[0].late_s if lesson else 0.0
        rest_s = sum(past.planned_s for past in lesson)
        alone2 = shared = 0.0
        for past in lesson:
            if past.ending == "skipped" or not past.is_sound:
                late_s, rest_s = late_s - past.planned_s, rest_s - past.planned_s
                continue
            column = observed.column[row]
            takes_s = past.planned_s * float(usual[column]) * math.exp(float(expected[row]))
            back = known.speed_up * past.planned_s / rest_s if 0.0 < late_s < rest_s else 0.0
            late_s += takes_s - past.planned_s - back * late_s
            alone2 = alone2 * (1 - back) ** 2 + (takes_s * float(known.own[column])) ** 2
            shared = shared * (1 - back) + takes_s * known.spread
            rest_s, row = rest_s - past.planned_s, row + 1
        reach = math.sqrt(2 * (alone2 + shared**2)) or 1.0
        said[number] = 0.5 * math.erfc(late_s / reach)
    return said
