"""A unit at a glance: each outline with its dates, and whether it was taught, moved or dropped."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date

from pacer.frames.words.choice import month_words
from pacer.frames.words.dates import weekday_words
from pacer.plan.dates.planned import TEMPLATE, PlannedDays
from pacer.plan.outline import Outline
from pacer.text import _


@dataclass(frozen=True)
class UnitRow:
    """One outline: when it is planned, when it was taught, and what became of it, in words."""

    title: str
    subject: str
    planned: str
    taught: str
    became: str
    first: date


def unit_rows(
    planned: PlannedDays,
    taught: Iterable[tuple[date, str]],
    outline: Callable[[str], Outline | None],
    lesson_day: date,
) -> tuple[UnitRow, ...]:
    """All outlines that were ever planned, and what was taught since the first of them, by their first date.

    ``taught`` are dates and titles.
    """
    names = dict.fromkeys(name for key in sorted(planned.days) for name in planned.days[key])
    names |= dict.fromkeys(move.name for move in planned.moves)
    start = min((*planned.days, *(move.day for move in planned.moves)), default="")
    on: dict[str, list[date]] = {}
    for day, title in taught:
        if start and day.isoformat() >= start:
            on.setdefault(title, []).append(day)
    rows = []
    for name in names:
        read = outline(name)
        title = name.removeprefix(TEMPLATE).removesuffix(".toml") if read is None else read.title
        dates = [place.day for place in planned.places(name)]
        moved = [date.fromisoformat(move.day) for move in planned.moves if move.name == name]
        was_taught = on.pop(title, [])
        became = _became(name, planned, dates, was_taught, lesson_day)
        subject = "" if read is None else read.subject
        first = min((*dates, *moved, *was_taught))
        rows.append(UnitRow(title, subject, _dates(dates), _dates(was_taught), became, first))
    for title, days in on.items():
        rows.append(UnitRow(title, "", "", _dates(days), _("taught without a plan"), days[0]))
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


def _dates(days: list[date]) -> str:
    return ", ".join(dict.fromkeys(_short(day) for day in sorted(days)))


def _short(day: date) -> str:
    """``Mon 9 Mar``."""
    return f"{weekday_words(day)[:3]} {day.day} {month_words(day.month)}"
