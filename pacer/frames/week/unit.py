"""A unit at a glance: each outline with its dates, and whether it was taught, moved or dropped."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from pacer.frames.words.choice import month_words
from pacer.frames.words.dates import weekday_words
from pacer.plan.dates.planned import TEMPLATE, PlannedDays
from pacer.plan.dates.taught import TaughtLesson
from pacer.plan.outline import Outline
from pacer.text import _


@dataclass(frozen=True)
class UnitRow:
    """One outline: when it is planned, when it was taught, and what became of it, in words.

    ``left`` says what of its lessons was left over, a line for each way it went.
    """

    title: str
    subject: str
    planned: str
    taught: str
    became: str
    first: date
    left: str = ""


def unit_rows(
    planned: PlannedDays,
    taught: Iterable[TaughtLesson],
    outline: Callable[[str], Outline | None],
    lesson_day: date,
    left: Mapping[int, Sequence[str]] = MappingProxyType({}),
) -> tuple[UnitRow, ...]:
    """All outlines that were ever planned, and all taught since the first of them, by their first date.

    ``left`` holds what lessons left over, in words, by their numbers.
    """
    names = dict.fromkeys(name for key in sorted(planned.days) for name in planned.days[key])
    names |= dict.fromkeys(move.name for move in planned.moves)
    start = min((*planned.days, *(move.day for move in planned.moves)), default="")
    rest = [lesson for lesson in taught if start and lesson.day.isoformat() >= start]
    rows = []
    for name in names:
        read = outline(name)
        title = name.removeprefix(TEMPLATE).removesuffix(".toml") if read is None else read.title
        dates = [place.day for place in planned.places(name)]
        moved = [date.fromisoformat(move.day) for move in planned.moves if move.name == name]
        own = [
            lesson
            for lesson in rest
            if lesson.is_of(name, title)
            # A template was taught by her copy of it, too.
            or (name.startswith(TEMPLATE) and lesson.title == title and lesson.name not in names)
        ]
        rest = [lesson for lesson in rest if lesson not in own]
        was_taught = [lesson.day for lesson in own]
        became = _became(name, planned, dates, was_taught, lesson_day)
        subject = "" if read is None else read.subject
        first = min((*dates, *moved, *was_taught))
        dated = _dates(dates), _dates(was_taught)
        rows.append(UnitRow(title, subject, *dated, became, first, _left_words(own, left)))
    unplanned: dict[str, list[TaughtLesson]] = {}
    for lesson in rest:
        unplanned.setdefault(lesson.title, []).append(lesson)
    for title, lessons in unplanned.items():
        days = [lesson.day for lesson in lessons]
        became = _("taught without a plan")
        rows.append(UnitRow(title, "", "", _dates(days), became, days[0], _left_words(lessons, left)))
    return tuple(sorted(rows, key=lambda row: (row.first, row.title)))


def subjects_of(rows: Iterable[UnitRow]) -> tuple[str, ...]:
    """The subjects that occur, by name."""
    return tuple(sorted({row.subject for row in rows if row.subject}))


def _became(name: str, planned: PlannedDays, dates: list[date], taught: list[date], lesson_day: date) -> str:
    """Taught, moved, dropped or still to come; what was moved says from where."""
    moves = [move for move in planned.moves if move.name == name]
    last = moves[-1] if moves else None
    moved = ""
    if last is not None and last.to:
        first = next(move for move in moves if move.to)
        if date.fromisoformat(first.day) not in dates:  # one that came back was not moved
            moved = _("moved from {day}", day=_short(date.fromisoformat(first.day)))
    ahead = any(day >= lesson_day for day in dates)
    if taught:
        state = _("taught, and to come") if ahead else _("taught")
    elif ahead:
        state = _("to come")
    elif dates:
        state = _("not taught")
    else:
        state = _("dropped")
    return ", ".join(part for part in (state, moved) if part)


def _left_words(lessons: Sequence[TaughtLesson], left: Mapping[int, Sequence[str]]) -> str:
    """What the lessons of an outline left over; of several each with its date."""
    lines = []
    for lesson in lessons:
        parts = left.get(lesson.run_id, ())
        if len(lessons) > 1 and parts:
            lines.append(_("{day}:", day=_short(lesson.day)))
        lines += parts
    return "\n".join(lines)


def _dates(days: list[date]) -> str:
    return ", ".join(dict.fromkeys(_short(day) for day in sorted(days)))


def _short(day: date) -> str:
    """``Mon 9 Mar``."""
    return f"{weekday_words(day)[:3]} {day.day} {month_words(day.month)}"
