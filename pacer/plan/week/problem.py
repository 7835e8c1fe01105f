"""What a week's rotation is asked, what it comes to, and the constraints that it keeps, with their words."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

from pacer.text import N_, _, counted

TEACHER = 0  # the first station is the teacher's table
MOST_GROUPS = MOST_STATIONS = 12
MOST_DAYS = 5
MOST_VISITS = 6


@dataclass(frozen=True)
class WeekProblem:
    """Groups and stations by name, the teacher's table first, and how many visits each day has.

    ``meets`` says how often each group meets the teacher at least, ``owed_s`` how many seconds it is owed
    (empty: nobody is). With ``repeats`` a group may come to one station twice on one day.
    """

    groups: tuple[str, ...]
    stations: tuple[str, ...]
    visits: tuple[int, ...]
    meets: tuple[int, ...]
    owed_s: tuple[int, ...] = ()
    repeats: bool = False

    def __post_init__(self) -> None:
        """Raises ValueError, in plain words, for what is no week at all."""
        fewest, most_visits = min(self.visits, default=1), max(self.visits, default=1)
        for count, least, most, words in (
            (len(self.groups), 1, MOST_GROUPS, _("A week has 1 to {most} groups.", most=MOST_GROUPS)),
            (len(self.stations), 1, MOST_STATIONS, _("A week has 1 to {most} stations.", most=MOST_STATIONS)),
            (len(self.visits), 1, MOST_DAYS, _("A week has 1 to {most} days.", most=MOST_DAYS)),
            (fewest, 1, most_visits, _("A day has at least one visit.")),
            (most_visits, 1, MOST_VISITS, _("A day has {most} visits at most.", most=MOST_VISITS)),
        ):  # fmt: skip
            if not least <= count <= most:
                raise ValueError(words)
        for names, words in ((self.groups, _("Two groups are called {name}.")),
                             (self.stations, _("Two stations are called {name}."))):  # fmt: skip
            folded = [name.casefold() for name in names]
            twice = next((name for name in names if folded.count(name.casefold()) > 1), None)
            if twice is not None:
                raise ValueError(words.format(name=twice))
        if len(self.meets) != len(self.groups) or min(self.meets) < 0:
            raise ValueError(_("Say for every group how often it meets the teacher, 0 or more."))
        if self.owed_s and (len(self.owed_s) != len(self.groups) or min(self.owed_s) < 0):
            raise ValueError(_("Say for every group how much it is owed, 0:00 or more."))

    @property
    def owed_order(self) -> tuple[int, ...]:
        """The groups, those owed most first, else as they are listed."""
        owed = self.owed_s or (0,) * len(self.groups)
        return tuple(sorted(range(len(self.groups)), key=lambda group: -owed[group]))

    @property
    def owed_most(self) -> int | None:
        """The group that is owed most, None where nobody is owed anything."""
        first = self.owed_order[0]
        return first if self.owed_s and self.owed_s[first] else None


class WeekRotation(NamedTuple):
    """``places[day][visit][group]`` is the number of the station where a group is."""

    places: tuple[tuple[tuple[int, ...], ...], ...]

    def order(self, day: int) -> tuple[int, ...]:
        """The groups that meet the teacher on a day, in the order of their visits."""
        return tuple(visit.index(TEACHER) for visit in self.places[day] if TEACHER in visit)


class Clash(NamedTuple):
    """Constraints, in words, that no week keeps together; without any one of them the others can be kept.

    ``is_smallest`` is False where the search for a shorter list was given up.
    """

    reasons: tuple[str, ...]
    is_smallest: bool = True


class Assignment(NamedTuple):
    """How often a group is at a station on a day: what the solver is asked for."""

    group: int
    station: int
    day: int


class SumRow(NamedTuple):
    """The sum of ``assignments`` is no less than ``least`` and no more than ``most``."""

    assignments: tuple[Assignment, ...]
    least: int = 0
    most: int | None = None


class Family(NamedTuple):
    """Constraints that belong together, and the words that name them."""

    words: str
    rows: tuple[SumRow, ...]


def families(problem: WeekProblem) -> tuple[Family, ...]:
    """All that a week must keep. What visits of a day are in which order follows: see ``solve``."""
    return tuple(family for family in _families(problem) if family.rows)


def _families(problem: WeekProblem) -> Iterator[Family]:
    groups, stations, days = (range(len(at)) for at in (problem.groups, problem.stations, problem.visits))
    visits, total = problem.visits, sum(problem.visits)
    with_group = [(day, tuple(Assignment(g, s, day) for s in stations)) for day in days for g in groups]
    in_week = counted(N_("{n} visit in the week"), N_("{n} visits in the week"), total)
    several = len(groups) > 1

    def at_most(of: range) -> tuple[SumRow, ...]:
        return tuple(
            SumRow(tuple(Assignment(g, s, day) for g in groups), most=visits[day]) for day in days for s in of
        )

    yield Family(
        counted(
            N_("The group has a place at every visit."), N_("All {n} groups have a place at every visit."),
            len(groups),
        ),
        tuple(SumRow(row, least=visits[day]) for day, row in with_group),
    )  # fmt: skip
    yield Family(
        _("A group is at one place at a time ({visits}).", visits=in_week),
        tuple(SumRow(row, most=visits[day]) for day, row in with_group),
    )
    yield Family(
        _("The teacher's table holds one group at a time ({visits}).", visits=in_week), at_most(stations[:1])
    )
    yield Family(
        counted(
            N_("The one other station holds one group at a time."),
            N_("Each of the {n} other stations holds one group at a time."), len(stations) - 1,
        ),
        at_most(stations[1:]),
    )  # fmt: skip
    if not problem.repeats:
        yield Family(
            _("No group comes to one station twice on one day ({days}, {stations}).",
              days=counted(N_("{n} day"), N_("{n} days"), len(days)),
              stations=counted(N_("{n} station"), N_("{n} stations"), len(stations))),
            tuple(SumRow((Assignment(g, s, day),), most=1) for g in groups for s in stations for day in days),
        )  # fmt: skip
    yield from _meets(problem, several=several)
    if problem.owed_most is not None:
        yield Family(
            _("{group} is owed most and meets the teacher first on the first day.",
              group=problem.groups[problem.owed_most]),
            (SumRow((Assignment(problem.owed_most, TEACHER, 0),), least=1),),
        )  # fmt: skip


def _meets(problem: WeekProblem, *, several: bool) -> Iterator[Family]:
    """A constraint for each number that is asked for: groups that are to meet as often are named together."""
    numbered = sorted(range(len(problem.groups)), key=lambda group: problem.meets[group])
    for times, members in groupby(numbered, key=lambda group: problem.meets[group]):
        meeting = list(members)
        if not times:
            continue
        rows = tuple(
            SumRow(tuple(Assignment(group, TEACHER, day) for day in range(len(problem.visits))), least=times)
            for group in meeting
        )
        if several and len(meeting) == len(problem.groups):
            one, many = (
                N_("Every group meets the teacher once."),
                N_("Every group meets the teacher {n} times."),
            )
            yield Family(counted(one, many, times), rows)
            continue
        names = ", ".join(problem.groups[group] for group in meeting)
        one, many = N_("{groups}: once with the teacher."), N_("{groups}: {n} times with the teacher.")
        yield Family(counted(one, many, times, groups=names), rows)
