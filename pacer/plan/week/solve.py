"""The week's rotation, exact: the most even week that keeps every constraint, or the constraints that clash.

What is chosen is how often a group is at a station on each day. Any such choice, in which a day has no more
for a group or a station than it has visits, can be laid out in those visits so that nobody is at two places
and no station holds two groups: that is König's theorem on colouring the edges of bipartite graphs (1916).
"""

from collections.abc import Iterable, Mapping

from pacer.plan.week.clash import smallest_clash
from pacer.plan.week.integer_program import IntegerProgram
from pacer.plan.week.problem import TEACHER, Assignment, Clash, Family, WeekProblem, WeekRotation, families


def rotation(problem: WeekProblem) -> WeekRotation | Clash:
    """The week, or what clashes. Raises GaveUpError, with nothing known, where the search is too long.

    In this order: every constraint is kept and the teacher's table is never empty while a group may come;
    each group is at the stations as evenly as can be, over the week (least sum of squares), then over each
    day; what the teacher has left goes, early in the week, to the groups owed most.
    """
    asked = _Asked(problem)
    asked.keep(families(problem))
    asked.fill_table()
    counts = asked.best()
    if counts is None:
        return _clash(problem)
    days = range(len(problem.visits))
    places = []
    waited = dict.fromkeys(range(len(problem.groups)), 0)
    for day in days:
        first = problem.owed_order if day == 0 else sorted(waited, key=lambda group: -waited[group])
        visits = _laid_out(problem, counts, day, first)
        for at, visit in enumerate(visits):
            if TEACHER in visit:
                waited[visit.index(TEACHER)] += at
        places.append(visits)
    return WeekRotation(tuple(places))


def _clash(problem: WeekProblem) -> Clash:
    def can_hold(kept: Iterable[Family]) -> bool:
        asked = _Asked(problem)
        asked.keep(kept)
        return asked.program.least({}) is not None

    reasons, is_smallest = smallest_clash(families(problem), can_hold)
    return Clash(tuple(family.words for family in reasons), is_smallest)


class _Asked:
    """The integer program of a week: for each group, station and day a number of visits."""

    def __init__(self, problem: WeekProblem) -> None:
        self.problem, self.program = problem, IntegerProgram()
        self._most = max(*problem.visits, *problem.meets)
        self._at = {
            Assignment(group, station, day): self.program.number(self._most)
            for group in range(len(problem.groups))
            for station in range(len(problem.stations))
            for day in range(len(problem.visits))
        }

    def keep(self, kept: Iterable[Family]) -> None:
        """Hold the answer to some constraints."""
        for family in kept:
            for row in family.rows:
                self.program.row({self._at[one]: 1 for one in row.assignments}, row.least, row.most)

    def fill_table(self) -> None:
        """At every visit a group is with the teacher, where there are groups enough."""
        groups = len(self.problem.groups)
        for day, visits in enumerate(self.problem.visits):
            least = visits if self.problem.repeats else min(visits, groups)
            self.program.row({self._at[Assignment(group, TEACHER, day)]: 1 for group in range(groups)}, least)

    def best(self) -> Mapping[Assignment, int] | None:
        """How often who is where on which day: each wish in turn as well as can be, those before it kept."""
        answer = None
        for costs in self._wishes():
            answer = self.program.least(costs)
            if answer is None:
                return None
            self.program.row(costs, most=sum(answer[at] * cost for at, cost in costs.items()))
        return None if answer is None else {place: answer[at] for place, at in self._at.items()}

    def _wishes(self) -> Iterable[dict[int, int]]:
        problem = self.problem
        groups, stations, days = (range(len(at)) for at in (problem.groups, problem.stations, problem.visits))
        together = [[self._at[Assignment(g, s, day)] for day in days] for g in groups for s in stations]
        yield self._squares(together, sum(problem.visits) if problem.repeats else len(days))
        if problem.repeats:
            yield self._squares([[at] for at in self._at.values()], max(problem.visits))
        owed = {group: place for place, group in enumerate(reversed(problem.owed_order))}
        if problem.owed_most is not None:
            yield {
                self._at[Assignment(group, TEACHER, day)]: -(owed[group] + 1) * (len(days) - day)
                for group in groups
                if problem.owed_s[group]
                for day in days
            }

    def _squares(self, sums: list[list[int]], most: int) -> dict[int, int]:
        """The costs whose sum is that of the squares of some sums: the n-th one more costs 2n - 1."""
        costs: dict[int, int] = {}
        for parts in sums:
            steps = [self.program.number(1) for _step in range(most)]
            self.program.row({**dict.fromkeys(parts, 1), **dict.fromkeys(steps, -1)}, 0, 0)
            costs |= {step: 2 * number + 1 for number, step in enumerate(steps)}
        return costs


def _laid_out(
    problem: WeekProblem, counts: Mapping[Assignment, int], day: int, first: Iterable[int]
) -> tuple[tuple[int, ...], ...]:
    """A day's visits, each with the station of every group; the teacher meets the groups as in ``first``."""
    groups, stations = range(len(problem.groups)), range(len(problem.stations))
    left = {(g, s): counts[Assignment(g, s, day)] for g in groups for s in stations}
    rank = {group: at for at, group in enumerate(first)}
    round_ = _round_trip(problem, left, sorted(groups, key=lambda group: rank[group]), problem.visits[day])
    if round_ is not None:
        return round_
    visits = []
    for still in range(problem.visits[day], 0, -1):
        visit = _matched(left, groups, stations, still)
        visits.append(visit)
        for group, station in enumerate(visit):
            left[group, station] -= 1
    # An empty table comes last: the last visit is the one that a late lesson costs.
    return tuple(sorted(visits, key=lambda at: rank[at.index(TEACHER)] if TEACHER in at else len(groups)))


def _round_trip(
    problem: WeekProblem, left: Mapping[tuple[int, int], int], order: list[int], visits: int
) -> tuple[tuple[int, ...], ...] | None:
    """Where all groups go to the same stations once: round and round, as the Wall shows it from the order."""
    stations = [station for station in range(len(problem.stations)) if left[0, station]]
    if len(order) != visits or len(stations) != visits or set(left.values()) - {0, 1}:
        return None
    if any(left[group, station] != 1 for group in order for station in stations):
        return None
    place = {group: at for at, group in enumerate(order)}
    return tuple(
        tuple(stations[(place[group] - visit) % visits] for group in range(visits)) for visit in range(visits)
    )


def _matched(
    left: Mapping[tuple[int, int], int], groups: range, stations: range, visits: int
) -> tuple[int, ...]:
    """One visit: a station for each group, no two alike; one that is never free from now on is not empty."""
    program = IntegerProgram()
    at = {pair: program.number(1) for pair, count in left.items() if count}
    for group in groups:
        program.row({at[group, station]: 1 for station in stations if (group, station) in at}, 1, 1)
    for station in stations:
        pairs = {at[group, station]: 1 for group in groups if (group, station) in at}
        if pairs:
            is_full = sum(left[group, station] for group in groups) == visits
            program.row(pairs, int(is_full), 1)
    chosen = program.least({})
    if chosen is None:
        raise AssertionError("a day that keeps its sums has a place for all")
    return tuple(next(s for s in stations if (g, s) in at and chosen[at[g, s]]) for g in groups)
