"""What the page Library lists: outlines in words, found by search, subject and unit, sorted."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Literal

from pacer.frames.words.broken import short_words
from pacer.frames.words.choice import date_words, month_words
from pacer.plan.dates.taught import TaughtLesson
from pacer.plan.draft.mend import Damage
from pacer.plan.outline import Outline
from pacer.settings.outline_shelf import ShelfEntry
from pacer.text import _

LibraryShelf = Literal["own", "templates", "away"]
Sort = Literal["taught", "name"]
ALL = ""  # of a subject or a unit: no choice


@dataclass(frozen=True)
class LibraryRow:
    """One outline of the list. ``taught`` is the day of its last lesson, None where there was none."""

    path: Path
    title: str
    under: str
    outline: Outline | None = None
    damage: Damage | None = None
    taught: date | None = None
    is_changed: bool = False  # by another program, while Pacer was open

    @property
    def words(self) -> str:
        """Two lines for the list."""
        under = _("changed by another program · {rest}", rest=self.under) if self.is_changed else self.under
        return f"{self.title}\n{under}"


@dataclass(frozen=True)
class LibraryChoice:
    """What is looked for: words anywhere in an outline, a subject, a unit; and in which order."""

    search: str = ""
    subject: str = ALL
    unit: str = ALL
    sort: Sort = "taught"


def last_taught(lessons: Iterable[TaughtLesson]) -> dict[str, date]:
    """The day on which each outline was last taught, by the name of its file.

    Lessons of which no file is known count for their title, in small letters.
    """
    days: dict[str, date] = {}
    for lesson in lessons:
        key = lesson.name or lesson.title.strip().casefold()
        days[key] = max(lesson.day, days.get(key, lesson.day))
    return days


def library_row(
    entry: ShelfEntry, damage: Damage | None, taught: Mapping[str, date], today: date
) -> LibraryRow:
    """An entry of a shelf in words; ``damage`` says what is wrong where it is no sound outline."""
    outline = entry.outline
    if outline is None:
        return LibraryRow(entry.path, entry.path.name, short_words(damage), None, damage)
    days = taught.get(entry.path.name), taught.get(outline.title.strip().casefold())
    day = max((day for day in days if day is not None), default=None)
    parts = [outline.subject, outline.unit, _("{minutes} min", minutes=outline.block.length_s // 60)]
    parts += [] if entry.is_template or day is None else [taught_words(day, today)]
    under = " · ".join(part for part in parts if part)
    return LibraryRow(entry.path, outline.title, under, outline, None, day)


def taught_words(day: date, today: date) -> str:
    """When an outline was last taught."""
    if day == today:
        return _("taught today")
    if day == today - timedelta(days=1):
        return _("taught yesterday")
    if day.year == today.year:
        return _("taught {day}", day=f"{day.day} {month_words(day.month)}")
    return _("taught {day}", day=date_words(day.isoformat()))


def chosen_rows(rows: Iterable[LibraryRow], choice: LibraryChoice) -> list[LibraryRow]:
    """The rows that are looked for, in their order."""
    words = choice.search.casefold().split()
    fitting = [row for row in rows if _fits(row, choice) and all(word in _all_words(row) for word in words)]
    fitting.sort(key=lambda row: (row.title.casefold(), row.path.name))
    if choice.sort == "taught":  # the others after them, by name
        fitting.sort(key=lambda row: row.taught or date.min, reverse=True)
    return fitting


def _fits(row: LibraryRow, choice: LibraryChoice) -> bool:
    subject, unit = (row.outline.subject, row.outline.unit) if row.outline is not None else ("", "")
    return choice.subject in (ALL, subject.strip()) and choice.unit in (ALL, unit.strip())


def _all_words(row: LibraryRow) -> str:
    parts = [row.title, row.path.name]
    if row.outline is not None:
        parts += [row.outline.subject, row.outline.unit]
        parts += [text for phase in row.outline.phases for text in (phase.title, phase.class_line)]
    return " ".join(parts).casefold()


def subjects_in(rows: Iterable[LibraryRow]) -> list[str]:
    """The subjects that outlines name, each once."""
    return sorted({row.outline.subject.strip() for row in rows if row.outline} - {""}, key=str.casefold)


def units_in(rows: Iterable[LibraryRow], subject: str = ALL) -> list[str]:
    """The units that outlines of a subject name, each once."""
    units = {
        row.outline.unit.strip()
        for row in rows
        if row.outline and subject in (ALL, row.outline.subject.strip())
    }
    return sorted(units - {""}, key=str.casefold)
