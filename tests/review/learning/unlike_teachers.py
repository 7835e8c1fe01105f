"""Fourteen kinds of invented teachers, each with a plan, a level and spreads of her own, drawn by chance.

They are there to judge by: no kind is made from what forecasts assume. Numbers and ranges are ours, no
source. Seeds below 1000 are for choosing; what is reported stands on others.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from pacer.pace.forecasts.past import PastEnding
from pacer.run.events import Ending

LESSONS = 60
LEAST_S = 15
PARTS = (("warm-up", 60, 180), ("review", 120, 300), ("modeling", 300, 540), ("vocabulary", 90, 240),
         ("partner-talk", 90, 240), ("guided-practice", 300, 600), ("look-back", 60, 180))  # fmt: skip


@dataclass
class Teacher:
    """Logarithms of actual over written: ``level`` of all phases, ``bias`` and ``own`` spread of each,
    ``day`` spread of what a day shares. ``late_mean_s`` is the mean of late starts.
    """

    chance: np.random.Generator
    plan: list[tuple[str, int]]
    level: float
    bias: np.ndarray
    own: np.ndarray
    day: float
    late_mean_s: float
    hurry: float = 0.0
    stops: float = 0.0
    drills: float = 0.0
    reacts: float = 0.0
    course: Callable[[int], float] = lambda _lesson: 0.0
    day_log: Callable[[int], float] | None = None
    own_log: Callable[[int, int], float] | None = None
    neighbours: float = 0.0

    @property
    def count(self) -> int:
        """How many phases her plan has."""
        return len(self.plan)

    def shared(self, lesson: int) -> float:
        """What the phases of a day share."""
        return self.day * float(self.chance.normal()) if self.day_log is None else self.day_log(lesson)

    def alone(self, lesson: int, index: int) -> float:
        """What a phase has of its own on a day."""
        if self.own_log is not None:
            return self.own_log(lesson, index)
        return float(self.own[index] * self.chance.normal())

    def between(self, low: float, high: float) -> float:
        """A number of hers, any in a range."""
        return float(self.chance.uniform(low, high))


def teacher(kind: str, seed: int) -> Teacher:
    """The teacher that belongs to a kind and a seed."""
    chance = np.random.default_rng([seed, 7, *kind.encode()])
    chosen = np.sort(chance.choice(len(PARTS), size=int(chance.integers(4, 8)), replace=False))
    plan = [
        (PARTS[at][0], 15 * int(chance.integers(PARTS[at][1] // 15, PARTS[at][2] // 15 + 1))) for at in chosen
    ]
    made = Teacher(
        chance,
        plan,
        level=float(chance.normal(0.0, 0.1)),
        bias=chance.normal(0.0, 0.1, len(plan)),
        own=chance.uniform(0.08, 0.3, len(plan)),
        day=float(chance.uniform(0.03, 0.15)),
        late_mean_s=float(chance.uniform(10.0, 70.0)),
    )
    KINDS[kind](made)
    return made


def _steady(one: Teacher) -> None:
    one.own, one.day = one.own / 2.5, 0.03


def _drifts_up(one: Teacher) -> None:
    rise = one.between(0.2, 0.5)
    one.course = lambda lesson: rise * (lesson / LESSONS - 0.5)


def _drifts_down(one: Teacher) -> None:
    fall = one.between(0.2, 0.5)
    one.course = lambda lesson: fall * (0.5 - lesson / LESSONS)


def _seasonal(one: Teacher) -> None:
    reach, period, begin = one.between(0.1, 0.25), one.between(15, 45), one.between(0, 6.3)
    one.course = lambda lesson: reach * float(np.sin(6.283 * lesson / period + begin))


def _two_modes(one: Teacher) -> None:
    sticky = set(one.chance.choice(one.count, size=2, replace=False).tolist())
    share, by = one.between(0.2, 0.5), one.between(0.35, 0.65)

    def own_log(_lesson: int, index: int) -> float:
        sticks = index in sticky and one.chance.random() < share
        return (by if sticks else 0.0) + 0.1 * float(one.chance.normal())

    one.own_log = own_log


def _alike_within_a_day(one: Teacher) -> None:
    one.day, one.neighbours = one.between(0.12, 0.28), 0.5


def _reacts(one: Teacher) -> None:
    one.level, one.reacts = one.level + 0.1, one.between(0.7, 1.0)


def _stops(one: Teacher) -> None:
    one.level, one.stops = one.level + 0.1, one.between(0.7, 0.95)


def _drills(one: Teacher) -> None:
    one.drills = one.between(0.06, 0.15)


def _odd_days_early(one: Teacher) -> None:
    def day_log(lesson: int) -> float:
        odd = lesson < 15 and one.chance.random() < 0.4
        return (float(one.chance.choice([-0.45, 0.45])) if odd else 0.0) + 0.05 * float(one.chance.normal())

    one.day_log = day_log


def _skewed(one: Teacher) -> None:
    scale = one.between(0.12, 0.3)
    one.own_log = lambda _lesson, _index: float(one.chance.exponential(scale)) - 0.8 * scale


def _perfectionist(one: Teacher) -> None:
    longest = int(one.chance.integers(one.count))
    one.bias[longest], one.own[longest], one.hurry = one.between(0.4, 0.7), 0.3, one.between(0.3, 0.8)


def _after_a_break(one: Teacher) -> None:
    at, by = int(one.chance.integers(22, 39)), float(one.chance.choice([-1, 1])) * one.between(0.15, 0.35)
    one.course = lambda lesson: by if lesson >= at else 0.0


def _at_random(one: Teacher) -> None:
    walk = np.cumsum(one.chance.normal(0.0, 0.05, LESSONS))
    one.course = lambda lesson: float(walk[lesson])
    one.own_log = lambda _lesson, index: float(one.own[index] * one.chance.standard_t(3) / 1.7)


KINDS: dict[str, Callable[[Teacher], None]] = {
    "steady": _steady,
    "drifts up": _drifts_up,
    "drifts down": _drifts_down,
    "seasonal": _seasonal,
    "two modes": _two_modes,
    "alike within a day": _alike_within_a_day,
    "reacts to Move on": _reacts,
    "stops at the budget": _stops,
    "fire drills": _drills,
    "odd days early": _odd_days_early,
    "skewed": _skewed,
    "perfectionist": _perfectionist,
    "after a break": _after_a_break,
    "at random": _at_random,
}


def taught(kind: str, seed: int) -> list[PastEnding]:
    """The endings of all lessons of one teacher's term, in order of time. The same seed gives the same."""
    one = teacher(kind, seed)
    endings: list[PastEnding] = []
    for lesson in range(LESSONS):
        day = (date(2025, 9, 1) + timedelta(days=7 * (lesson // 5) + lesson % 5)).isoformat()
        late_s = round(float(one.chance.exponential(one.late_mean_s)))
        for index, (actual_s, ending) in enumerate(_day(one, lesson, late_s)):
            name, budget_s = one.plan[index]
            endings.append(PastEnding(lesson, day, name, name, budget_s, actual_s, ending, None, late_s))
    return endings


def _day(one: Teacher, lesson: int, late_s: int) -> list[tuple[int, Ending]]:
    """What each phase of a lesson had, in seconds, and how it ended."""
    shared, carried = one.shared(lesson) + one.level + one.course(lesson), 0.0
    drill = int(one.chance.integers(one.count)) if one.chance.random() < one.drills else -1
    left_s = float(sum(budget for _name, budget in one.plan) - late_s)
    had: list[tuple[int, Ending]] = []
    for index, (_name, budget_s) in enumerate(one.plan):
        own = one.alone(lesson, index)
        carried = one.neighbours * carried + own
        takes_s = budget_s * float(np.exp(shared + one.bias[index] + carried))
        rest_s = sum(budget for _name, budget in one.plan[index:])
        behind_s = rest_s - left_s
        takes_s -= one.hurry * budget_s * min(1.0, max(0.0, behind_s) / rest_s)
        ending: Ending = "done"
        if index == drill:
            takes_s, ending = takes_s * one.between(0.2, 0.9), "interrupted"
        elif takes_s > budget_s and one.chance.random() < one.stops:
            takes_s, ending = float(budget_s), "moved on"
        elif one.reacts:
            move_by_s = _move_by_s([budget for _name, budget in one.plan[index:]], left_s)
            move_by_s += float(one.chance.exponential(20.0))
            if takes_s > move_by_s and one.chance.random() < one.reacts:
                takes_s, ending = move_by_s, "moved on"
        actual_s = max(LEAST_S, round(takes_s))
        had.append((actual_s, ending))
        left_s -= actual_s
    return had


def _move_by_s(budgets_s: list[int], left_s: float) -> float:
    """Seconds from its start at which a phase is to be left: later ones are cut alike, to a half at most."""
    late_s = max(0.0, sum(budgets_s) - left_s)
    cut = max(0.5, 1.0 - late_s / sum(budgets_s))
    return budgets_s[0] * cut + min(max(30.0, 0.25 * budgets_s[0]), 0.5 * cut * sum(budgets_s[1:]))
