"""One school week, Monday to Friday: what each of its lessons came to, and the weeks that have lessons."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise

from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.lost_minutes import lost_minutes, monday_of, sums

SCHOOL_DAYS = 5


@dataclass(frozen=True)
class WeekLesson:
    """One lesson; seconds.

    ``planned_s`` and ``actual_s`` are sums over the phases of the mini lesson, pauses left out; ``cut_off``:
    something from outside ended it, so that it would have needed more. ``group_late_s`` is how much later
    than planned the groups started (None: they never did), ``lost_s`` what all groups together lost of their
    planned visits (None: no groups, or none started). ``talk_low`` and ``talk_high`` are the shares of
    teacher talk without and with unmarked time, 0 to 1 (None: no mini lesson). ``tomorrow_note`` is the note
    for tomorrow, ``next_date`` the ISO date of the first lesson after it, empty where there is none yet.
    """

    run: int
    date: str
    title: str
    planned_s: int
    actual_s: int
    cut_off: bool
    group_late_s: int | None
    lost_s: int | None
    talk_low: Fraction | None
    talk_high: Fraction | None
    review_s: int
    review_cap_s: int
    tomorrow_note: str
    next_date: str

    @property
    def over_s(self) -> int:
        """Seconds of the mini lesson beyond its plan, never below 0."""
        return max(0, self.actual_s - self.planned_s)

    @property
    def review_over_s(self) -> int:
        """Seconds of reviewing beyond its cap, never below 0."""
        return max(0, self.review_s - self.review_cap_s)


@dataclass(frozen=True)
class TaughtWeek:
    """The lessons of a week in order of time; ``dates`` are its five school days.

    ``unmet`` names the groups that had no visit in any of its lessons.
    """

    monday: str
    lessons: tuple[WeekLesson, ...]
    unmet: tuple[str, ...] = ()

    @property
    def dates(self) -> tuple[str, ...]:
        """Monday to Friday as ISO dates."""
        first = date.fromisoformat(self.monday)
        return tuple((first + timedelta(days=n)).isoformat() for n in range(SCHOOL_DAYS))

    @property
    def late(self) -> tuple[int, ...]:
        """By how many seconds groups started late, of the lessons in which they started."""
        return tuple(lesson.group_late_s for lesson in self.lessons if lesson.group_late_s is not None)

    @property
    def mean_late_s(self) -> Fraction:
        """The mean of it, exactly. Raises ZeroDivisionError where no groups started."""
        return Fraction(sum(self.late), len(self.late))

    @property
    def lost_s(self) -> int:
        """Seconds that all groups lost together."""
        return sum(lesson.lost_s or 0 for lesson in self.lessons)


def weeks(days: Iterable[Day]) -> list[str]:
    """The Mondays, as ISO dates in order, of the weeks that have a lesson on Monday to Friday."""
    return sorted({monday_of(day.date) for day in days if is_school_day(day.date)})


def is_school_day(iso: str) -> bool:
    """Whether an ISO date is a Monday to Friday."""
    return date.fromisoformat(iso).weekday() < SCHOOL_DAYS


def week_of(days: Sequence[Day], choice: LessonChoice, monday: str = "") -> TaughtWeek | None:
    """The week of an ISO date, the latest that has lessons where it is empty; None where no week has any.

    What groups are owed goes on from week to week, so all chosen lessons are worked through.
    """
    shown = replace(choice, kinds=()).days(days)
    mondays = weeks(shown)
    if not mondays and not monday:
        return None
    chosen = monday_of(monday) if monday else mondays[-1]
    lost_days = lost_minutes(shown).days
    # What a group had beyond its plan gives nothing back to another.
    lost = {day.run: sum(max(0, cell.lost_s) for cell in day.cells) for day in lost_days}
    following = {day.run: after.date for day, after in pairwise(shown)}
    lessons = [
        _lesson(day, lost, following.get(day.run, ""))
        for day in shown
        if is_school_day(day.date) and monday_of(day.date) == chosen
    ]
    own = sums(day for day in lost_days if day.monday == chosen and is_school_day(day.date))
    return TaughtWeek(chosen, tuple(lessons), tuple(group.group for group in own if not group.kept_s))


def _lesson(day: Day, lost: Mapping[int, int], next_date: str) -> WeekLesson:
    talk = day.talk
    return WeekLesson(
        run=day.run,
        date=day.date,
        title=day.title,
        planned_s=sum(phase.planned_s for phase in day.mini),
        actual_s=sum(phase.actual_s for phase in day.mini),
        cut_off=any(phase.cut_off for phase in day.mini),
        group_late_s=day.group_late_s,
        lost_s=lost.get(day.run),
        talk_low=Fraction(talk.teacher_ms, talk.total_ms) if talk.total_ms else None,
        talk_high=Fraction(talk.teacher_ms + talk.unmarked_ms, talk.total_ms) if talk.total_ms else None,
        review_s=day.review_s,
        review_cap_s=day.review_cap_s,
        tomorrow_note=day.thing,
        next_date=next_date,
    )
