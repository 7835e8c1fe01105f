"""Weeks for tests: problems with invented names, what a week must keep, and two other ways to find one."""

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import permutations, product

import numpy as np
from scipy.optimize import LinearConstraint, milp

from pacer.plan.outline import neutral_names
from pacer.plan.week.problem import TEACHER, WeekProblem, WeekRotation

Places = Sequence[Sequence[Sequence[int]]]


def week_problem(
    groups: int, stations: int, visits: Sequence[int], meets: int | Sequence[int] = 0,
    owed_s: Sequence[int] = (), *, repeats: bool = False,
) -> WeekProblem:  # fmt: skip
    """A problem with neutral names; one number of meetings counts for every group."""
    return WeekProblem(
        neutral_names()[:groups],
        tuple(f"Station {number}" for number in range(stations)),
        tuple(visits),
        (meets,) * groups if isinstance(meets, int) else tuple(meets),
        tuple(owed_s),
        repeats,
    )


def faults(problem: WeekProblem, places: Places) -> list[str]:
    """What a week does not keep; written from the words of the job, not from the program's constraints."""
    found = []
    groups = range(len(problem.groups))
    if [len(day) for day in places] != list(problem.visits):
        found.append("visits")
    for day in places:
        for visit in day:
            if len(visit) != len(groups) or not set(visit) <= set(range(len(problem.stations))):
                found.append("a group without a place")
            if len(set(visit)) != len(visit):
                found.append("two groups at one station")
        if not problem.repeats and any(len({v[g] for v in day}) < len(day) for g in groups):
            found.append("one station twice on a day")
        full = sum(TEACHER in visit for visit in day)
        if full < (len(day) if problem.repeats else min(len(day), len(groups))):
            found.append("the teacher's table is empty")
    met = Counter(visit.index(TEACHER) for day in places for visit in day if TEACHER in visit)
    found += ["meets too rarely" for group in groups if met[group] < problem.meets[group]]
    most = max(problem.owed_s, default=0)
    if most and places[0][0][problem.owed_s.index(most)] != TEACHER:
        found.append("owed most is not first")
    return found


def unevenness(problem: WeekProblem, places: Places) -> int:
    """The sum of the squares of how often each group is at each station."""
    counts = Counter((g, v[g]) for day in places for v in day for g in range(len(problem.groups)))
    return sum(count * count for count in counts.values())


def all_weeks(problem: WeekProblem) -> Iterator[Places]:
    """Every week that keeps all, one after the other; for very small problems."""
    visits = list(permutations(range(len(problem.stations)), len(problem.groups)))
    days = [list(product(visits, repeat=count)) for count in problem.visits]
    return (week for week in product(*days) if not faults(problem, week))


def least_unevenness(problem: WeekProblem) -> int | None:
    """As SciPy's solver finds it, None where there is no week: every visit is modelled, not only the days.

    The square of a count n lies on or above each line (2j + 1) n - j (j + 1), exact in whole numbers.
    """
    groups, stations = len(problem.groups), len(problem.stations)
    slots = [(day, visit) for day, count in enumerate(problem.visits) for visit in range(count)]
    at = np.arange(groups * stations * len(slots)).reshape(groups, stations, len(slots))
    squares = at.size + np.arange(groups * stations).reshape(groups, stations)
    size = at.size + squares.size
    rows: list[tuple[dict[int, float], float, float]] = []

    def row(places: object, least: float, most: float) -> None:
        rows.append((dict.fromkeys(np.ravel(places).tolist(), 1.0), least, most))

    for slot in range(len(slots)):
        for group in range(groups):
            row(at[group, :, slot], 1, 1)
        for station in range(stations):
            row(at[:, station, slot], 0, 1)
    for day, count in enumerate(problem.visits):
        today = [slot for slot, (on, _visit) in enumerate(slots) if on == day]
        row(at[:, TEACHER, today], count if problem.repeats else min(count, groups), count)
        if not problem.repeats:
            for group, station in product(range(groups), range(stations)):
                row(at[group, station, today], 0, 1)
    for group in range(groups):
        row(at[group, TEACHER], problem.meets[group], np.inf)
    if problem.owed_s and max(problem.owed_s):
        row(at[problem.owed_s.index(max(problem.owed_s)), TEACHER, 0], 1, 1)
    for group, station in product(range(groups), range(stations)):
        for j in range(len(slots)):
            line = dict.fromkeys(at[group, station].tolist(), -(2.0 * j + 1))
            rows.append((line | {int(squares[group, station]): 1.0}, -j * (j + 1), np.inf))
    matrix = np.zeros((len(rows), size))
    for number, (factors, _least, _most) in enumerate(rows):
        matrix[number, list(factors)] = list(factors.values())
    costs = np.r_[np.zeros(at.size), np.ones(squares.size)]
    upper = np.r_[np.ones(at.size), np.full(squares.size, np.inf)]
    found = milp(
        costs,
        integrality=np.r_[np.ones(at.size), np.zeros(squares.size)],
        bounds=(np.zeros(size), upper),
        constraints=LinearConstraint(matrix, [r[1] for r in rows], [r[2] for r in rows]),
        options={"mip_rel_gap": 0},
    )
    return None if found.x is None else round(found.fun)


def as_week(result: object) -> WeekRotation:
    """A result that must be a week."""
    assert isinstance(result, WeekRotation), result
    return result
