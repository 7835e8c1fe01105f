"""How often a teacher's own lessons ended in time, beside what their phases alone would have made likely.

Phases that are added up one by one do not know that a teacher who watches the end lands just behind it: she
ran on where there was time, and broke off where there was none. To such teachers .36 was said where .20 came.
So each past lesson tells, at its start, its middle and its last border, how likely it was to end in time,
and whether it did; the odds are moved by what that says together (a shift of the log odds: Cox, "Two further
applications of a model for binary regression", Biometrika 45, 1958; from memory). Most likely it says
nothing: then they stay.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from pacer.pace.forecasts.day_factor import LEAST_LESSONS, BoolArray, Observations, RandomEffects
from pacer.pace.forecasts.odds import Odds
from pacer.pace.forecasts.past import PastEnding, lateness_s
from pacer.pace.forecasts.survival import FloatArray

SHIFTS = np.linspace(-3.0, 3.0, 25)  # of the log odds
STAYS = 0.7  # the chance, before any evidence, that a teacher's odds need no shift; chosen on training seeds
SHIFTS_SPREAD = 1.5
BORDER_WEIGHT = 0.5  # borders of one lesson tell partly the same; chosen on training seeds
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
    chances = _said(lessons, observed, given, expected, known)
    pairs = [
        (chance, end) for some, end in zip(chances, came, strict=True) if end is not None for chance in some
    ]
    said = np.clip([chance for chance, _end in pairs], _SURE, 1 - _SURE)[:, None]
    in_time = np.array([end for _chance, end in pairs], dtype=bool)[:, None]
    moved = said * np.exp(SHIFTS) / (1.0 - said + said * np.exp(SHIFTS))
    prior = np.exp(-0.5 * (SHIFTS / SHIFTS_SPREAD) ** 2) * (SHIFTS != 0.0)
    prior *= (1 - STAYS) / prior.sum()
    prior[SHIFTS == 0.0] = STAYS
    likely = np.log(prior) + BORDER_WEIGHT * np.log(np.where(in_time, moved, 1.0 - moved)).sum(axis=0)
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
) -> Iterator[list[float]]:
    """How likely each lesson was to end in time, at up to three of its borders."""
    columns = len(known.own)
    natural = observed.ratio + known.speed_up * observed.behind
    count = np.bincount(observed.column, given, columns)
    total = np.bincount(observed.column, natural * given, columns)
    usual = np.where(count > 0, total / np.maximum(count, 1), 1.0)
    takes = usual[observed.column] * np.exp(expected)
    spreads = known.own[observed.column]
    row = 0
    for lesson in lessons:
        parts = []
        for past in lesson:
            is_seen = past.ending != "skipped" and past.is_sound
            parts.append(
                _Part(past.planned_s, past.planned_s * float(takes[row]), float(spreads[row]))
                if is_seen
                else _Part(past.planned_s, 0.0, 0.0)
            )
            row += is_seen
        late_s, last = lateness_s(lesson), len(lesson) - 1
        yield [
            _in_time(parts[begin:], late_s[begin], known)
            for begin in sorted({0, len(lesson) // 2, last} if lesson else ())
        ]


class _Part(NamedTuple):
    """A phase: its written budget and what it usually takes, in seconds, and its spread within a day."""

    planned_s: float
    takes_s: float
    own: float


def _in_time(parts: Sequence[_Part], late_s: float, known: RandomEffects) -> float:
    """How likely the parts still are to end in time, by usual durations and spreads alone (a normal sum)."""
    rest_s = sum(part.planned_s for part in parts)
    alone2 = shared = 0.0
    for planned_s, takes_s, own in parts:
        back = known.speed_up * planned_s / rest_s if takes_s and 0.0 < late_s < rest_s else 0.0
        late_s += takes_s - planned_s - back * late_s
        alone2 = alone2 * (1 - back) ** 2 + (takes_s * own) ** 2
        shared = shared * (1 - back) + takes_s * known.spread
        rest_s -= planned_s
    reach = math.sqrt(2 * (alone2 + shared**2)) or 1.0
    return 0.5 * math.erfc(late_s / reach)
