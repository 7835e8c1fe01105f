"""What past lessons teach about the phases of a plan, in units of their budgets."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pacer.pace.forecasts import day_factor
from pacer.pace.forecasts.day_factor import BoolArray, IntArray, Observations, RandomEffects
from pacer.pace.forecasts.leaving_out import LeavingOut, leaving_out
from pacer.pace.forecasts.memory import common_level, memory
from pacer.pace.forecasts.own_record import OwnRecord, own_record
from pacer.pace.forecasts.past import PastEnding, by_lesson, lateness_s, latest, mini_lesson
from pacer.pace.forecasts.survival import PRIOR_LESSONS, PRIOR_SIGMA, Curve, FloatArray, Prior, fit

LATEST_LESSONS = 60
LEAST_LESSONS = 6


@dataclass(frozen=True)
class Planned:
    """A phase of today's mini lesson: its id, its kind, and its budget in seconds as it stands now."""

    phase: str
    kind: str
    budget_s: float


@dataclass(frozen=True, eq=False)
class PhaseModel:
    """What is known of one phase, in units of its budget, with day factors and hurry taken out.

    ``center`` is the usual logarithm, ``own`` its spread within a day, ``lessons`` how many it rests on.
    """

    curve: Curve
    center: float
    own: float
    lessons: int


@dataclass(frozen=True, eq=False)
class Learned:
    """What past lessons say about each phase of a plan; None where they are fewer than 6.

    ``left_out`` tells how likely each phase is left out, None where it hardly ever was; ``record`` moves the
    odds to what the teacher's own lessons came to, None where those say nothing; ``level_error`` is how well
    the level that all phases share is known, the standard error of a logarithm.
    """

    plan: tuple[Planned, ...]
    phases: tuple[PhaseModel | None, ...]
    random_effects: RandomEffects
    left_out: tuple[LeavingOut | None, ...]
    record: OwnRecord | None = None
    level_error: float = 0.0


def learn(endings: Sequence[PastEnding], plan: Sequence[Planned]) -> Learned:
    """Learn from the past what concerns a plan. ``endings`` stand in order of time, a lesson's together.

    The latest 60 lessons are read and no others, so the cost does not grow with the history. A phase goes by
    its own past, or by that of its kind where its own is short of 6 lessons; ratios of actual to budget make
    changed budgets comparable. Raises ValueError for a budget that is not above 0.
    """
    if not all(phase.budget_s > 0 for phase in plan):
        raise ValueError("a budget must be above 0")
    lessons = by_lesson(mini_lesson(latest(endings, LATEST_LESSONS)))
    rows = [
        (number, past, share)
        for number, lesson in enumerate(lessons)
        for past, share in zip(lesson, shares_behind(lesson), strict=True)
        if past.ending != "skipped" and past.is_sound
    ]
    lesson_of = np.array([number for number, _past, _share in rows], dtype=np.int64)
    kinds = _places_by_name([past.kind for _number, past, _share in rows])
    phases = {
        phase: places
        for phase, places in _places_by_name([past.phase for _number, past, _share in rows]).items()
        if len(set(lesson_of[places].tolist())) >= LEAST_LESSONS
    }
    column = np.zeros(len(rows), dtype=np.int64)
    # A phase with a past of its own is taken out of its kind.
    groups = [*kinds.values(), *phases.values()]
    for number, places in enumerate(groups):
        column[places] = number
    observed = Observations(
        lesson_of,
        column,
        np.array([past.actual_s / past.planned_s for _number, past, _share in rows], dtype=float),
        np.array([not past.is_complete("takes") for _number, past, _share in rows], dtype=bool),
        np.array([share for _number, _past, share in rows], dtype=float),
    )
    given = np.array([past.is_complete("gives") for _number, past, _share in rows], dtype=bool)
    # From here on all is beside what durations had come to by then.
    now, error, expected = common_level(observed, given, len(lessons), len(groups))
    observed = replace(
        observed, ratio=observed.ratio * np.exp(-expected), behind=observed.behind * np.exp(-expected)
    )
    random_effects = day_factor.random_effects(observed, len(lessons), len(groups))
    weights = memory(observed, given, random_effects, len(lessons), len(groups))
    nothing = np.zeros(0, dtype=np.int64)
    models = tuple(
        _phase_model(
            observed,
            given,
            random_effects,
            phases.get(planned.phase, kinds.get(planned.kind, nothing)),
            weights,
            now,
        )
        for planned in plan
    )
    left_out = tuple(leaving_out(lessons, planned.phase) for planned in plan)
    # Who leaves phases out is in time by that, which the odds know already.
    leaves = any(one is not None for one in left_out)
    record = None if leaves else own_record(lessons, observed, given, expected, random_effects)
    return Learned(tuple(plan), models, random_effects, left_out, record, error)


def shares_behind(lesson: Sequence[PastEnding], later_s: float = 0.0) -> list[float]:
    """Lateness at the start of each phase over what the plan needs from there on, within 0 and 1.

    ``later_s`` are the budgets of phases still to come, in seconds.
    """
    rest_s = sum(past.planned_s for past in lesson) + later_s
    shares = []
    for past, behind_s in zip(lesson, lateness_s(lesson), strict=True):
        shares.append(min(1.0, max(0.0, behind_s / rest_s)) if rest_s > 0 else 0.0)
        rest_s -= past.planned_s
    return shares


def _places_by_name(names: Sequence[str]) -> dict[str, IntArray]:
    """The positions of each name, in rising order."""
    places_of: dict[str, list[int]] = {}
    for place, name in enumerate(names):
        places_of.setdefault(name, []).append(place)
    return {name: np.array(places, dtype=np.int64) for name, places in places_of.items()}


def _phase_model(
    observed: Observations,
    given: BoolArray,
    random_effects: RandomEffects,
    places: IntArray,
    memory_weights: FloatArray,
    now: float,
) -> PhaseModel | None:
    """The curve of *time I give it*, for the endings at some places.

    From 10 lessons on they are moved to the level of by now: that of all phases, ``now``, and that of this
    one, each lesson weighing as much as it is remembered. The prior's median is that level too, shrunk
    towards the written budget, and its spread is the phase's own. All lessons stay in its shape: of the
    latest 15 alone, phases with two modes were foretold 4 % worse.
    """
    lesson, whole = observed.lesson[places], given[places]
    lessons = len(set(lesson.tolist()))
    if lessons < LEAST_LESSONS:
        return None
    natural = (observed.ratio + random_effects.speed_up * observed.behind)[places] * np.exp(
        -random_effects.days[lesson]
    )
    logs, weights = np.log(natural), memory_weights[lesson]
    own = float(random_effects.own[observed.column[places[-1]]])
    shift = expected = 0.0
    enough = lessons >= day_factor.LEAST_LESSONS
    if enough and np.any(whole):
        level = float(weights[whole] @ logs[whole] / weights[whole].sum())
        shift = level - float(logs[whole].mean())
        expected = level * lessons / (lessons + PRIOR_LESSONS)
    return PhaseModel(
        fit(
            natural * math.exp(shift + now),
            whole,
            Prior(PRIOR_LESSONS, math.exp(expected + now), own if enough else PRIOR_SIGMA),
        ),
        _shrunk(random_effects.natural[places] - random_effects.days[lesson], weights) + now,
        own,
        lessons,
    )


def _shrunk(logs: FloatArray, weights: FloatArray) -> float:
    """A mean of logarithms, shrunk towards 0, which counts as 3 lessons."""
    return float(weights @ logs / (weights.sum() + PRIOR_LESSONS))
