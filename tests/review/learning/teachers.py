"""Twelve kinds of invented teachers, unlike each other, to try forecasts on. Every number is drawn by chance.

A lesson has six phases of 25 minutes together. A kind says how long a phase takes against its written
budget, what days share, how that changes along the term, and what the teacher does when she is late. The
ranges are ours, no source. Seeds below 100 were for choosing; the tests report on others.

``python -m tests.review.learning.teachers [FIRST COUNT]`` prints how the forecasts fare with each kind.
"""

import sys
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from pacer.pace.forecasts.past import PastEnding
from pacer.review.learning.backtest import FIRST_LESSON, ScoredBorder, replay, score
from pacer.run.events import Ending

LESSONS = 60
PLAN = (("warm-up", 120), ("review", 180), ("modeling", 420), ("vocabulary", 180), ("guided-practice", 480),
        ("look-back", 120))  # fmt: skip
WHOLE_S = sum(budget for _kind, budget in PLAN)
LEAST_S = 20


@dataclass(frozen=True)
class Kind:
    """``log_ratio(lesson, index, chance, bias)`` is the logarithm of what a phase takes over its budget
    before she reacts; ``day`` the spread of what a day's phases share; ``hurry`` the share of her lateness
    that she takes back in each phase; ``interrupted`` how often something from outside ends the lesson;
    ``stops`` how often she stops a phase at its budget, ``skips`` how late (in seconds) she must be to leave
    out the last phase.
    """

    log_ratio: Callable[[int, int, np.random.Generator, float], float]
    day: float = 0.1
    hurry: float = 0.0
    interrupted: float = 0.0
    stops: float = 0.0
    skips: float = float("inf")


def _steady(_lesson: int, _index: int, chance: np.random.Generator, bias: float) -> float:
    return bias + 0.12 * float(chance.normal())


def _drifting(lesson: int, _index: int, chance: np.random.Generator, bias: float) -> float:
    return bias + 0.5 * (lesson / LESSONS - 0.5) + 0.15 * float(chance.normal())


def _seasonal(lesson: int, _index: int, chance: np.random.Generator, bias: float) -> float:
    return bias + 0.25 * float(np.sin(lesson / 4)) + 0.15 * float(chance.normal())


def _bimodal(_lesson: int, index: int, chance: np.random.Generator, bias: float) -> float:
    """Practice and review either go quickly or stick."""
    sticks = 0.5 if chance.random() < 0.35 else -0.15
    return bias + (sticks if index in (1, 4) else 0.0) + 0.1 * float(chance.normal())


def _jumping(lesson: int, _index: int, chance: np.random.Generator, bias: float) -> float:
    """From lesson 30 on all takes longer: another unit."""
    return bias + (0.3 if lesson >= LESSONS // 2 else 0.0) + 0.15 * float(chance.normal())


def _heavy(_lesson: int, _index: int, chance: np.random.Generator, bias: float) -> float:
    return bias + 0.18 * float(chance.standard_t(3))


def _restless(lesson: int, index: int, chance: np.random.Generator, bias: float) -> float:
    """Neighbouring days are alike, by waves of each phase's own."""
    return bias + 0.2 * float(np.sin(lesson / 3 + 2 * index)) + 0.1 * float(chance.normal())


KINDS: dict[str, Kind] = {
    "steady": Kind(_steady, day=0.05),
    "drifting": Kind(_drifting),
    "seasonal": Kind(_seasonal),
    "whole days long or short": Kind(_steady, day=0.25),
    "two modes": Kind(_bimodal),
    "another unit": Kind(_jumping),
    "odd days": Kind(_heavy),
    "waves": Kind(_restless),
    "hurries when late": Kind(_steady, day=0.15, hurry=0.5),
    "stops at the budget": Kind(_steady, day=0.1, stops=0.9),
    "fire drills": Kind(_steady, day=0.1, interrupted=0.1),
    "leaves out the end": Kind(_steady, day=0.15, skips=60.0),
}


def biases_of(name: str, seed: int) -> list[float]:
    """The usual logarithm of actual over budget of each phase of one teacher's term."""
    return _chance(name, seed).normal(0.05, 0.12, len(PLAN)).tolist()


def _chance(name: str, seed: int) -> np.random.Generator:
    return np.random.default_rng([seed, *name.encode()])


def taught(name: str, seed: int) -> list[PastEnding]:
    """The endings of all lessons of one teacher's term, in order of time. The same seed gives the same."""
    kind, biases = KINDS[name], biases_of(name, seed)
    chance = _chance(name, seed + 1_000_000)
    endings: list[PastEnding] = []
    for lesson in range(LESSONS):
        day = (date(2025, 9, 1) + timedelta(days=7 * (lesson // 5) + lesson % 5)).isoformat()
        late_s = behind_s = round(float(chance.exponential(45.0)))
        shared = kind.day * float(chance.normal())
        drill = int(chance.integers(len(PLAN))) if chance.random() < kind.interrupted else -1
        for index, (name_of_phase, budget_s) in enumerate(PLAN):
            log_ratio = kind.log_ratio(lesson, index, chance, biases[index]) + shared
            takes_s = budget_s * float(np.exp(log_ratio))
            rest_s = sum(budget for _kind, budget in PLAN[index:])
            takes_s -= kind.hurry * budget_s * min(1.0, max(0.0, behind_s) / rest_s)
            ending: Ending = "done"
            if index == drill:
                takes_s, ending = takes_s * float(chance.uniform(0.2, 0.9)), "interrupted"
            elif takes_s > budget_s and chance.random() < kind.stops:
                takes_s, ending = budget_s, "moved on"
            elif index == len(PLAN) - 1 and behind_s > kind.skips:
                takes_s, ending = 0.0, "skipped"
            actual_s = 0 if ending == "skipped" else max(LEAST_S, round(takes_s))
            endings.append(
                PastEnding(
                    lesson, day, name_of_phase, name_of_phase, budget_s, actual_s, ending, None, late_s
                )
            )
            behind_s += actual_s - budget_s
    return endings


def scored(name: str, seed: int, first: int) -> list[ScoredBorder]:
    """The borders of one term of which it is known whether the groups could start on time."""
    return [border for border in replay(taught(name, seed), first) if border.was_in_time is not None]


def table(borders: dict[str, list[ScoredBorder]]) -> str:
    """A row for each kind: Brier score beside that of the base rate, said, came, errors in seconds, bias."""
    rows = [("kind", "borders", "Brier", "base rate", "said", "came", "error", "plain mean", "bias")]
    for name, found in borders.items():
        came = np.array([float(border.was_in_time is True) for border in found])
        said = np.array([border.forecast.odds.likely for border in found])
        seen = [border for border in found if border.came_s is not None]
        errors = np.array([border.forecast.end_s - (border.came_s or 0) for border in seen])
        means = np.array([border.mean_s - (border.came_s or 0) for border in seen])
        base = came.mean()
        figures = (((said - came) ** 2).mean(), base * (1 - base), said.mean(), base)
        seconds = (abs(errors).mean(), abs(means).mean(), errors.mean())
        rows.append((name, str(len(found)), *(f"{x:.3f}" for x in figures), *(f"{x:.0f} s" for x in seconds)))
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    lines = ("  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True)) for row in rows)
    return "\n".join(lines)


def main(seeds: range) -> None:
    """Print the table of all kinds over some seeds, and how often each tenth came true."""
    found: dict[str, list[ScoredBorder]] = {}
    jobs = [(name, seed) for name in KINDS for seed in seeds]
    with ProcessPoolExecutor() as pool:
        results = pool.map(scored, *zip(*jobs, strict=True), [FIRST_LESSON] * len(jobs))
        for (name, _seed), borders in zip(jobs, results, strict=True):
            found.setdefault(name, []).extend(borders)
    every = [border for borders in found.values() for border in borders]
    print(table({**found, "all": every}))
    for row in score(every).calibration:
        print(f"said {row.mean:.3f}  came {row.came_true:.3f}  of {row.count}")


if __name__ == "__main__":
    first, count = (int(word) for word in sys.argv[1:3]) if len(sys.argv) > 2 else (100, 1)
    main(range(first, first + count))
