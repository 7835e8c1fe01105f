"""Which groups were met on which day: planned and met time at the table, week by week, and what is owed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import NamedTuple

from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.lost_minutes import GroupSum, LostDay, lost_minutes, monday_of, sums

SCHOOL_DAYS, WEEK_DAYS = 5, 7


class MetCell(NamedTuple):
    """One group on one day, its lessons together, in seconds. ``timed``: its visits were, in all of them."""

    planned_s: int
    met_s: int
    timed: bool

    @property
    def missed(self) -> bool:
        """Whether it should have had a visit and had none."""
        return not self.met_s


class MetDay(NamedTuple):
    """One day by its ISO date, with how many lessons it had. ``cells`` are those of groups that were due."""

    date: str
    lessons: int
    cells: Mapping[str, MetCell]


class MetWeek(NamedTuple):
    """One week: Monday to Friday, other days with a lesson, and each group's sums up to its end."""

    monday: str
    days: tuple[MetDay, ...]
    groups: tuple[GroupSum, ...]

    @property
    def unmet(self) -> tuple[str, ...]:
        """The groups that were due and had no visit all week."""
        return tuple(group.group for group in self.groups if not group.kept_s)


@dataclass(frozen=True)
class GroupsMet:
    """The chosen weeks that have lessons, in order; ``groups`` are the sums over all of them.

    ``timed`` of ``with_groups`` lessons had timed visits, of all ``lessons``.
    """

    weeks: tuple[MetWeek, ...]
    groups: tuple[GroupSum, ...]
    lessons: int
    with_groups: int
    timed: int

    def last_days(self, weeks: int) -> tuple[MetDay, ...]:
        """The days of the last so many weeks, from the first to the last that has a lesson; of one, all."""
        days = [day for week in self.weeks[-weeks:] for day in week.days]
        if len(self.weeks[-weeks:]) < 2:
            return tuple(days)
        taught = [at for at, day in enumerate(days) if day.lessons]
        return tuple(days[taught[0] : taught[-1] + 1])


def groups_met(days: Sequence[Day], choice: LessonChoice, monday: str | None = None) -> GroupsMet:
    """All chosen weeks; or the week of an ISO date alone, the latest that has lessons where that is empty.

    What groups are owed goes on from day to day, so all chosen lessons are worked through.
    """
    shown = replace(choice, kinds=()).days(days)
    mondays = sorted({monday_of(day.date) for day in shown})
    if monday is not None:
        mondays = [monday_of(monday)] if monday else mondays[-1:]
    wanted = [day for day in lost_minutes(shown).days if day.monday in mondays]
    lessons = [day for day in shown if monday_of(day.date) in mondays]
    return GroupsMet(
        weeks=tuple(_week(first, lessons, wanted) for first in mondays),
        groups=sums(wanted),
        lessons=len(lessons),
        with_groups=len(wanted),
        timed=sum(day.timed for day in wanted),
    )


def _week(monday: str, lessons: Sequence[Day], lost: Sequence[LostDay]) -> MetWeek:
    first = date.fromisoformat(monday)
    days = []
    for place in range(WEEK_DAYS):
        iso = (first + timedelta(days=place)).isoformat()
        count = sum(day.date == iso for day in lessons)
        if count or place < SCHOOL_DAYS:
            days.append(MetDay(iso, count, _cells([day for day in lost if day.date == iso])))
    return MetWeek(monday, tuple(days), sums(day for day in lost if day.monday == monday))


def _cells(lost: Sequence[LostDay]) -> dict[str, MetCell]:
    cells: dict[str, MetCell] = {}
    for day in lost:
        for cell in day.cells:
            before = cells.get(cell.group, MetCell(0, 0, True))
            cells[cell.group] = MetCell(
                before.planned_s + cell.planned_s, before.met_s + cell.kept_s, before.timed and day.timed
            )
    return cells
