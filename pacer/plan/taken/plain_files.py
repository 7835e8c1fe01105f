"""Files that are text themselves: plain and marked-up text, tables of values, calendars."""

import csv
import io
from datetime import date, datetime, timedelta, tzinfo
from itertools import groupby

from pacer.plan.calendar_file import MAX_SPAN_DAYS, CalendarEntry, entries_of
from pacer.plan.calendar_lines import NoCalendarError, events_in
from pacer.plan.taken.lines import Lines
from pacer.plan.taken.taken import (
    MOST_CELLS,
    MOST_SIGNS,
    NotTakenError,
    Taken,
    broken,
    copy_one_lesson,
    taken,
    too_many_cells,
    within_limits,
)
from pacer.text import _, ngettext

_SEPARATORS = "\t;,|"
_HEAD_LINES = 20
_CONTROL = frozenset(range(32)) - {9, 10, 12, 13, 26, 27}
MOST_DAYS = 40
_MOST_TOLD = 4


def decoded(data: bytes, left_aside: list[str]) -> str:
    """The text of bytes: by their mark, as UTF-8, else as Windows writes western languages, which is told."""
    if len(data) > 4 * MOST_SIGNS:
        raise NotTakenError(_("That is {n} MB of text.", n=round(len(data) / 1e6)), copy_one_lesson())
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace").removeprefix("\ufeff")
    if data.count(0) or sum(map(data[:2000].count, _CONTROL)) > 8:
        raise NotTakenError(
            _("This is no file that a lesson can be read from."),
            _("Text, .docx, .odt, .xlsx, CSV, RTF, web pages, calendars and PDF can. Or paste its text."),
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        left_aside.append(_("The text is not UTF-8: look at its accents."))
        return data.decode("cp1252", "replace")


def text_of_plain(data: bytes) -> Taken:
    """The text itself. Raises NotTakenError where it is none or too much."""
    aside: list[str] = []
    return taken([("", decoded(data, aside))], aside)


def text_of_table(data: bytes) -> Taken:
    """The rows of values that stand between commas, semicolons, bars or tabs. Raises NotTakenError."""
    aside: list[str] = []
    text = decoded(data, aside)
    within_limits(text)
    lines, separator = Lines(), _separator(text)
    if text.count(separator) > 4 * MOST_CELLS:
        raise too_many_cells()
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=separator))
    except csv.Error:
        raise broken(_("table")) from None
    while rows and not any(cell.strip() for cell in rows[-1]):
        rows.pop()
    lines.add_rows([[[cell] if cell.strip() else [] for cell in row] for row in rows])
    return taken([("", lines.text)], aside)


def _separator(text: str) -> str:
    """The sign that most lines have, and as often as others: a comma may also be in the words."""
    head = [line for line in text.splitlines()[:_HEAD_LINES] if line.strip()]
    return max(_SEPARATORS, key=lambda sign: (min((line.count(sign) for line in head), default=0),
                                              sum(line.count(sign) for line in head)))  # fmt: skip


def text_of_calendar(data: bytes, zone: tzinfo) -> Taken:
    """The times and titles of each day that a calendar names, a part for a day. Raises NotTakenError.

    Days are looked for from the first one that it names, and no more than a few weeks of them are taken.
    """
    days = _first_day(data)
    found = entries_of(data, "", days, _later(days), zone)
    if isinstance(found, list):
        raise NotTakenError(str(found[0].what), str(found[0].fix))
    aside = [
        _("“{event}” is left out: {why}", event=unread.summary[:80] or "?", why=unread.why)
        for unread in found.unread[:_MOST_TOLD]
    ]
    by_day = [(day, list(of)) for day, of in groupby(found.entries, key=lambda entry: entry.day)]
    if len(by_day) > MOST_DAYS:
        n = len(by_day) - MOST_DAYS
        aside.append(ngettext("{n} later day is left out.", "{n} later days are left out.", n).format(n=n))
    if not by_day and aside:
        raise NotTakenError(aside[0], _("Export the days of the lesson alone."))
    return taken([(f"{day:%Y-%m-%d}", _lines_of(of)) for day, of in by_day[:MOST_DAYS]], aside)


def _first_day(data: bytes) -> date:
    try:
        events = events_in(data).events
    except NoCalendarError as error:
        raise NotTakenError(error.what, error.fix) from None
    starts = [text for event in events if (text := event.value("DTSTART")[:8]).isascii() and text.isdigit()]
    for text in sorted(starts):
        try:
            return datetime.strptime(text, "%Y%m%d").date() - timedelta(days=1 if text > "00010101" else 0)
        except ValueError:
            continue
    raise NotTakenError(_("The calendar names no day."), _("Export the days of the lesson."))


def _later(first: date) -> date:
    return first + timedelta(days=min(MAX_SPAN_DAYS, (date.max - first).days))


def _lines_of(entries: list[CalendarEntry]) -> str:
    """Whole days first, as words without a time; then each time with its title."""
    lines = []
    for entry in entries:
        if entry.start is None:
            lines.append(entry.summary)
        elif entry.end is None:
            lines.append(f"{entry.start:%H:%M} {entry.summary}")
        else:
            lines.append(f"{entry.start:%H:%M}-{entry.end:%H:%M} {entry.summary}")
    return "\n".join(lines)
