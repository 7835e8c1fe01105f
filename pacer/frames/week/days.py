"""Days as Week shows them: date, shape, outlines in order, and what earlier lessons left for them."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from pacer.frames.words.dates import day_month_words, short_shape_words, weekday_words
from pacer.plan.dates.planned import TEMPLATE, PlannedDays
from pacer.plan.dates.school_days import SATURDAY, has_school
from pacer.plan.dates.taught import TaughtLesson, paired
from pacer.plan.day_shapes import DayShape
from pacer.plan.outline import Outline
from pacer.settings.model import Settings
from pacer.text import _, counted

State = Literal["", "taught", "not taught", "next", "gone"]


@dataclass(frozen=True)
class PlannedLesson:
    """One outline on a date; ``words`` say what is to know of it below its title."""

    name: str
    title: str
    words: str
    state: State


@dataclass(frozen=True)
class DayCard:
    """A date with all that stands on it. ``carried`` are lines that earlier lessons left for it."""

    day: date
    weekday: str
    date: str
    shape: str
    has_school: bool
    is_lesson_day: bool
    lessons: tuple[PlannedLesson, ...]
    carried: tuple[str, ...]

    @property
    def name(self) -> str:
        """All of it in a sentence, for a screen reader."""
        count = counted("{n} lesson", "{n} lessons", len(self.lessons)) if self.lessons else _("no lesson")
        next_day = _("next lesson day") if self.is_lesson_day else ""
        parts = f"{self.weekday} {self.date}", next_day, self.shape, count, *self.carried
        return ", ".join(part for part in parts if part)


@dataclass(frozen=True)
class Facts:
    """All that is asked for days.

    ``outline`` gives the outline of a name, None for a file that is gone or can't be used; ``taught`` the
    lessons taught on a date; ``carried`` what stands on a date from before. ``lesson_day`` is the date of the
    lesson about to run.
    """

    settings: Settings
    planned: PlannedDays
    outline: Callable[[str], Outline | None]
    taught: Callable[[date], Sequence[TaughtLesson]]
    carried: Mapping[date, tuple[str, ...]]
    today: date
    lesson_day: date


def monday_of(day: date) -> date:
    """The Monday of a date's week."""
    return day - timedelta(days=day.weekday())


def week_words(monday: date, weeks: int) -> str:
    """``Week of 9 March``, or the two of them."""
    if weeks == 1:
        return _("Week of {day}", day=day_month_words(monday))
    last = day_month_words(shown_last(monday, weeks))
    return _("{first} to {last}", first=day_month_words(monday), last=last)


def shown_last(monday: date, weeks: int) -> date:
    """The last Friday that is shown."""
    return monday + timedelta(days=7 * (weeks - 1) + SATURDAY - 1)


def shown_days(monday: date, weeks: int, facts: Facts) -> tuple[DayCard, ...]:
    """The days of some weeks: Monday to Friday, and a weekend where it has school or a lesson."""
    days = (monday + timedelta(days=number) for number in range(7 * weeks))
    shapes = facts.settings.day_shapes
    return tuple(
        _card(day, facts)
        for day in days
        if day.weekday() < SATURDAY or has_school(shapes, day) or facts.planned.of(day)
    )


def _card(day: date, facts: Facts) -> DayCard:
    is_school = has_school(facts.settings.day_shapes, day)
    return DayCard(
        day=day,
        weekday=weekday_words(day),
        date=day_month_words(day),
        shape=_shape_words(day, facts, is_school=is_school),
        has_school=is_school,
        is_lesson_day=day == facts.lesson_day,
        lessons=_lessons(day, facts),
        carried=facts.carried.get(day, ()),
    )


def _shape_words(day: date, facts: Facts, *, is_school: bool) -> str:
    settings = facts.settings
    if settings.day_choice[0] != day.isoformat() and not is_school:
        return _("no school")
    shape: DayShape | None = settings.shape_on(day)
    return short_shape_words(shape)


def _lessons(day: date, facts: Facts) -> tuple[PlannedLesson, ...]:
    lessons, found = facts.taught(day), []
    is_next_known = False
    planned = [(name, facts.outline(name)) for name in facts.planned.of(day)]
    outlines = [(name, "" if outline is None else outline.title) for name, outline in planned]
    pairs = paired(outlines, lessons)
    for (name, outline), lesson in zip(planned, pairs, strict=True):
        title = name.removeprefix(TEMPLATE).removesuffix(".toml") if outline is None else outline.title
        state: State = ""
        if lesson is not None:
            state = "taught"
        elif outline is None:
            state = "gone"
        elif day < facts.lesson_day:
            state = "not taught"
        elif day == facts.lesson_day and not is_next_known:
            state, is_next_known = "next", True
        found.append(PlannedLesson(name, title, _lesson_words(outline, state), state))
    # What was taught without a plan stands on its day, too.
    rest = list(lessons)
    for lesson in pairs:
        if lesson is not None:
            rest.remove(lesson)
    found += [PlannedLesson("", lesson.title, _state_words("taught"), "taught") for lesson in rest]
    return tuple(found)


def _lesson_words(outline: Outline | None, state: State) -> str:
    """Subject and state; of a file that can't be used, that."""
    parts = [outline.subject if outline is not None else "", _state_words(state)]
    return " · ".join(part for part in parts if part)


def _state_words(state: State) -> str:
    return {
        "": "",
        "taught": _("taught"),
        "not taught": _("not taught"),
        "next": _("next"),
        "gone": _("its file can't be used"),
    }[state]
