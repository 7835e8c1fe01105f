"""What the groups lost of their time at the table: timed, or worked out from when they really started.

A day whose visits were run has them timed. Else a day's planned visits are those that the block leaves after
the written mini lesson, and the met ones those that it leaves after the real start of the groups, a slow move
and all; where the bell or something else cut the groups off, the visits are laid one after the other and end
there. Under the floor fewer groups get a visit, and who is owed most goes first. What is owed goes from day
to day by the name of the group. All figures are whole seconds of a group at the table, never child-minutes.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from pacer.pace.groups import FLOOR_S, offer, owed_after, turns, visits
from pacer.plan.outline import Block
from pacer.review.days import Day


class Cell(NamedTuple):
    """One group on one day, by its name, in seconds. ``owed_s`` is what it is owed after that day.

    ``dropped``: it had no visit at all, and is owed the whole one.
    """

    group: str
    planned_s: int
    kept_s: int
    dropped: bool
    owed_s: int

    @property
    def lost_s(self) -> int:
        """Seconds lost; below zero the group had more than planned."""
        return self.planned_s - self.kept_s


class LostDay(NamedTuple):
    """One lesson with groups. ``late_s``: how much later than planned they started, in seconds.

    ``bell``: the bell rang before the mini lesson was over, so that no group had a visit; ``late_s`` is then
    that of the end of the mini lesson. ``cut_off``: the groups' own time was cut off. ``timed``: the visits
    were; else they are worked out.
    """

    run: int
    date: str
    title: str
    late_s: int
    bell: bool
    cut_off: bool
    cells: tuple[Cell, ...]
    timed: bool = False

    @property
    def monday(self) -> str:
        """The first day of its week."""
        return monday_of(self.date)


class GroupSum(NamedTuple):
    """One group over several days, in seconds: ``lost_s`` less ``gained_s`` is planned less kept."""

    group: str
    planned_s: int
    kept_s: int
    lost_s: int
    gained_s: int
    dropped: int
    owed_s: int


@dataclass(frozen=True)
class Lost:
    """All chosen lessons with groups, in order of time; the counts are of those left out.

    ``without_groups`` had no group in their block, ``never_begun`` never left the mini lesson.
    """

    days: tuple[LostDay, ...]
    without_groups: int
    never_begun: int

    @property
    def groups(self) -> tuple[GroupSum, ...]:
        """Each group over all days, in the order in which outlines name them."""
        return sums(self.days)

    @property
    def weeks(self) -> tuple[tuple[str, tuple[LostDay, ...], tuple[GroupSum, ...]], ...]:
        """Week by week: its Monday, its days, and each group's sums."""
        mondays: dict[str, list[LostDay]] = {}
        for day in self.days:
            mondays.setdefault(day.monday, []).append(day)
        return tuple((monday, tuple(days), sums(days)) for monday, days in mondays.items())

    @property
    def timed(self) -> int:
        """In how many of the lessons visits were timed."""
        return sum(day.timed for day in self.days)


def lost_minutes(days: Iterable[Day], floor_s: int = FLOOR_S) -> Lost:
    """What each group lost on each day, in whole seconds; what is owed goes from day to day.

    The lost seconds of a day's groups add up to the time of all planned visits less that of all kept ones.
    """
    owed: dict[str, int] = {}
    lost_days: list[LostDay] = []
    without_groups = never_begun = 0
    for day in days:
        if day.block_of().groups <= 0:
            without_groups += 1
            continue
        bell = not day.visits and any(phase.ending == "bell" for phase in day.mini)
        late_s = _late_s(day, bell)
        if late_s is None:
            never_begun += 1
            continue
        planned, kept, cut_off = _timed(day) if day.visits else _worked_out(day, bell, late_s, owed, floor_s)
        owed = owed_after(owed, planned, kept)
        cells = _cells(planned, kept, owed)
        lost_days.append(
            LostDay(day.run, day.date, day.title, late_s, bell, cut_off, cells, bool(day.visits))
        )
    return Lost(tuple(lost_days), without_groups, never_begun)


_GroupMinutes = tuple[dict[str, int], dict[str, int], bool]


def _timed(day: Day) -> _GroupMinutes:
    """The planned visits by group, those that were met, and whether the bell cut the groups off."""
    planned = {visit.group: visit.planned_s for visit in day.visits}
    met = {visit.group: visit.had_s for visit in day.visits if visit.had_s > 0}
    return planned, met, day.half is not None and day.half.bell_cut in ("move", "visit", "swap")


def _worked_out(day: Day, bell: bool, late_s: int, owed: Mapping[str, int], floor_s: int) -> _GroupMinutes:
    """The same of a day whose visits were not run."""
    block, names = day.block_of(), list(day.groups)
    planned = dict.fromkeys(names, visits(block, day.mini_lesson_s).visit_s)
    cut_s = None if bell else _cut_s(day)
    order = turns(owed, names)
    kept = {} if bell else _kept(block, day.mini_lesson_s + late_s, order, floor_s, cut_s)
    return planned, kept, cut_s is not None


def _late_s(day: Day, bell: bool) -> int | None:
    """How much later than planned the groups started; of a mini lesson that the bell ended, its own end."""
    if bell or (day.visits and day.group_late_s is None):
        return None if day.mini_end_s is None else day.mini_end_s - day.mini_lesson_s
    return day.group_late_s


def _cut_s(day: Day) -> int | None:
    """When something from outside ended the groups' time, in seconds of the block; None where nothing did."""
    ends = [
        phase.end_s + day.late_s
        for phase in day.phases
        if phase.kind == "group" and not phase.mini and phase.cut_off and phase.end_s is not None
    ]
    return min(ends, default=None)


def _kept(block: Block, begin_s: int, order: list[str], floor_s: int, cut_s: int | None) -> dict[str, int]:
    """Seconds of each group that gets a visit when the mini lesson's plan ends ``begin_s`` into the block.

    The visits follow each other after the move until ``cut_s``; one that it leaves no time is none.
    """
    fewer = offer(block, begin_s, floor_s)
    kept = visits(block, begin_s) if fewer is None else fewer.visits
    going = order[: kept.count]
    if cut_s is None:
        return dict.fromkeys(going, kept.visit_s)
    each_s = kept.visit_s + block.swap_s
    begins = {name: begin_s + block.move_s + place * each_s for place, name in enumerate(going)}
    left = {name: min(kept.visit_s, cut_s - at_s) for name, at_s in begins.items()}
    return {name: seconds for name, seconds in left.items() if seconds > 0}


def _cells(planned: Mapping[str, int], kept: Mapping[str, int], owed: Mapping[str, int]) -> tuple[Cell, ...]:
    return tuple(
        Cell(name, planned[name], kept.get(name, 0), name not in kept, owed[name]) for name in planned
    )


def sums(days: Iterable[LostDay]) -> tuple[GroupSum, ...]:
    """Each group over some days, as outlines name them; ``owed_s`` is that after its last day."""
    cells: dict[str, list[Cell]] = {}
    for day in days:
        for cell in day.cells:
            cells.setdefault(cell.group, []).append(cell)
    return tuple(
        GroupSum(
            group=group,
            planned_s=sum(cell.planned_s for cell in own),
            kept_s=sum(cell.kept_s for cell in own),
            lost_s=sum(max(0, cell.lost_s) for cell in own),
            gained_s=sum(max(0, -cell.lost_s) for cell in own),
            dropped=sum(cell.dropped for cell in own),
            owed_s=own[-1].owed_s,
        )
        for group, own in cells.items()
    )


def monday_of(iso: str) -> str:
    """The Monday of a date's week, both as ISO dates."""
    day = date.fromisoformat(iso)
    return (day - timedelta(days=day.weekday())).isoformat()
