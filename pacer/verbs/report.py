"""The verb report: what Look back shows, without a window; its coach copy and its tables as files."""

import argparse
import os
import re
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Protocol

from pacer.frames import pictures
from pacer.frames.after_school.coach_lines import FIELDS, NOTES, coach_lines
from pacer.frames.pictures.chart import Chart
from pacer.frames.words.choice import choice_words, date_words, span_words
from pacer.log import database
from pacer.log.database import LogError
from pacer.log.date_span import FIRST, LAST, DateSpan
from pacer.log.day_records import DayRecords
from pacer.log.export.files import ExportError, csv_bytes, write_folder
from pacer.log.export.tables import ExportTable, phases_table, tables
from pacer.plan.problems import clipped
from pacer.review.choice import LIVE, LessonChoice
from pacer.review.day_book import DayBook, read_days
from pacer.review.days import Day
from pacer.run.events import Mode
from pacer.settings.folders import folders
from pacer.text import N_, _
from pacer.verbs import targets
from pacer.verbs.console import complain, no_records_words, refuse, say, say_json, say_left_out, say_unread
from pacer.verbs.display import qt_complaint
from pacer.verbs.tables import table
from pacer.verbs.targets import TargetError

# A coach copy holds four; these are what Look back offers at first.
PDF_PICTURES = ("where_time", "late_steps", "over_usually", "improving")
_DEMO: tuple[Mode, ...] = ("demo",)
_ISO = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


class DrawCoachCopy(Protocol):
    """Draws the coach copy as PDF. Raises ValueError when it doesn't fit a page."""

    def __call__(self, paper: str, days: Sequence[Day], choice: LessonChoice,
                 charts: Sequence[Chart], lines: Sequence[str]) -> bytes:  # fmt: skip
        """The content of the file."""


@dataclass(frozen=True)
class _Found:
    """What was read: the lessons, those of the choice, and every table if a folder is to be filled.

    ``code`` is the exit code, 1 where some of the records could not be read.
    """

    book: DayBook
    choice: LessonChoice
    days: tuple[Day, ...]
    tables: tuple[ExportTable, ...] = ()
    code: int = 0


class _RefusedError(Exception):
    """The input won't do; the message says why."""


def report_verb(options: argparse.Namespace, draw: DrawCoachCopy) -> int:
    """Print or write the report. 1: a problem with the input or a file; 2: it can't be read or drawn here."""
    try:
        choice = LessonChoice(
            modes=_DEMO if options.demo else LIVE,
            since=_iso("--from", options.since),
            until=_iso("--to", options.until),
        )
        _check(options, choice)
    except (_RefusedError, TargetError) as error:
        return refuse(error, 1)
    complaint = qt_complaint(painting_only=True) if options.pdf is not None else ""
    if complaint:
        return refuse(complaint, 2)
    try:
        read = _read(folders(options.data_dir).data, choice, _is_folder(options.csv))
    except LogError as error:
        return refuse(error, 2)
    _say_left_out(read)
    is_told = options.json or options.csv is None or options.pdf is not None
    charts = pictures.all_charts(read.book.days, choice) if read.days and is_told else []
    written: list[Path] = []
    tell = complain if options.json else say
    try:
        _write(options, read, charts, draw, written)
    except (ExportError, TargetError, ValueError) as error:
        # What was written before it is there, and would be in the way of the next try.
        for path in written:
            targets.say_written(path, aside=options.json)
        return refuse(error, 2 if isinstance(error, ValueError) else 1)
    if options.json:
        for line in _objects(read, charts):
            say_json(line)
    if not read.days:
        tell(_nothing_words(choice))
    elif not options.json and options.pdf is None and options.csv is None:
        say(*_lines(read, charts))
    for path in written:
        targets.say_written(path, aside=options.json)
    return read.code


# --- what was asked


def _iso(option: str, written: str | None) -> str:
    """An ISO date, or nothing where none was written. Raises _RefusedError."""
    if written is None:
        return ""
    if _ISO.fullmatch(written):
        with suppress(ValueError):
            return date.fromisoformat(written).isoformat()
    words = _("{option} {written} is no date; write year-month-day, such as 2026-03-09.")
    raise _RefusedError(words.format(option=option, written=clipped(written) if written.strip() else '""'))


def _check(options: argparse.Namespace, choice: LessonChoice) -> None:
    """Raises _RefusedError or TargetError where the dates or the files named can't be meant."""
    if choice.since and choice.until and choice.since > choice.until:
        words = _("--from {since} is later than --to {until}. Write the earlier day first.")
        raise _RefusedError(words.format(since=choice.since, until=choice.until))
    if options.pdf is not None and not options.pdf.name:  # nothing at all reads as the folder itself
        raise _RefusedError(_("--pdf needs the name of a file."))
    if options.csv is not None and not options.csv.strip():
        raise _RefusedError(_("--csv needs the name of a file or folder."))
    files = [options.pdf] if options.pdf is not None else []
    # A new folder, too: a file of its name would be in the way.
    if options.csv is not None and not Path(options.csv).is_dir():
        files.append(Path(options.csv))
    if len({os.path.realpath(path) for path in files}) < len(files):
        raise _RefusedError(_("--pdf and --csv name the same file. Name one of them otherwise."))
    for path in files:
        becomes_folder = path != options.pdf and _is_folder(options.csv)
        targets.check(path, force=options.force and not becomes_folder)


def _is_folder(written: str | None) -> bool:
    """Whether a folder is named: one that is there, or a name with a separator at its end."""
    if not written:
        return False
    return (
        written.endswith(tuple(sign for sign in (os.sep, os.altsep, "/") if sign)) or Path(written).is_dir()
    )


# --- what there is


def _read(where: Path, choice: LessonChoice, with_tables: bool) -> _Found:
    """Read the records. Reading makes nothing: none yet is no fault. Raises LogError."""
    if not os.path.lexists(where / database.FILE_NAME):
        refuse(no_records_words(where))
        return _Found(DayBook(()), choice, ())
    with DayRecords.read(where) as records:
        code = say_unread(records.notice)
        book = read_days(records)
        exported = tables(records, book.days, _span(choice)) if with_tables else ()
    return _Found(book, choice, tuple(choice.days(book.days)), tuple(exported), code)


def _span(choice: LessonChoice) -> DateSpan | None:
    if not choice.since and not choice.until:
        return None
    return DateSpan(choice.since or FIRST, choice.until or LAST)


def _say_left_out(read: _Found) -> None:
    """Say which lessons of these dates are not in the report, and why."""
    reach = _span(read.choice) or DateSpan()
    other = sum(day.date in reach and day.mode not in read.choice.modes for day in read.book.days)
    flagged, repaired = read.choice.left_out(read.book.days)
    say_left_out(
        (
            other,
            N_("{n} lesson of another kind (rehearsal, baseline, invented) is kept apart."),
            N_("{n} lessons of another kind (rehearsal, baseline, invented) are kept apart."),
        ),
        (flagged, N_("{n} flagged lesson is left out."), N_("{n} flagged lessons are left out.")),
        (
            repaired,
            N_("Nothing is learned from {n} repaired lesson."),
            N_("Nothing is learned from {n} repaired lessons."),
        ),
        damaged=read.book.damaged,
    )


def _nothing_words(choice: LessonChoice) -> str:
    if choice.since and choice.since == choice.until:
        return _("No lessons on {day}.", day=date_words(choice.since))
    if choice.since or choice.until:
        return _("No lessons {span}.", span=span_words(choice.since, choice.until))
    return _("No lessons yet.")


# --- how it is told


def _lines(read: _Found, charts: Sequence[Chart]) -> list[str]:
    """Every picture as words: its question, its answer, and the table behind it."""
    lines = [choice_words(read.choice, len(read.days))]
    for chart in charts:
        lines += ["", chart.title, chart.summary]
        if chart.table.rows:
            lines += ["", *table([chart.table.headings, *chart.table.rows], right=chart.table.right)]
    return lines


def _objects(read: _Found, charts: Sequence[Chart]) -> list[dict[str, object]]:
    """What is told as JSON, a line each: the choice, the pictures, the lessons with all their figures."""
    flagged, repaired = read.choice.left_out(read.book.days)
    head: dict[str, object] = {
        "from": read.choice.since or None,
        "to": read.choice.until or None,
        "modes": list(read.choice.modes),
        "lessons": len(read.days),
        "flagged_left_out": flagged,
        "repaired_not_learned_from": repaired,
        "damaged": read.book.damaged,
    }
    return [
        {"report": head},
        *({"picture": _picture(chart)} for chart in charts),
        *({"day": _with_names(day)} for day in read.days),
    ]


def _picture(chart: Chart) -> dict[str, object]:
    return {
        "name": chart.name,
        "title": chart.title,
        "lessons": chart.lessons,
        "choice": chart.choice,
        "summary": chart.summary,
        "headings": chart.table.headings,
        "rows": chart.table.rows,
    }


def _with_names(value: Any) -> Any:
    """Tuples with names as objects, others as lists."""
    if hasattr(value, "_asdict"):
        return {name: _with_names(inner) for name, inner in value._asdict().items()}
    return [_with_names(inner) for inner in value] if isinstance(value, tuple) else value


# --- files


def _write(
    options: argparse.Namespace,
    read: _Found,
    charts: Sequence[Chart],
    draw: DrawCoachCopy,
    written: list[Path],
) -> None:
    """Write what was asked for and add each file to ``written``. Raises ExportError, TargetError, ValueError.

    The page is drawn before anything is written: one that is too full leaves no table behind.
    """
    page = b""
    if options.pdf is not None and read.days:
        fields = [field for field in FIELDS if field not in NOTES]
        lines = coach_lines(read.book.days, read.choice, fields)
        chosen = [chart for chart in charts if chart.name in PDF_PICTURES]
        page = draw(options.paper, read.days, read.choice, chosen, lines)
    if options.csv is not None and _is_folder(options.csv):
        folder = Path(options.csv)
        written += write_folder(folder, read.tables, over=options.force) if read.tables else []
    elif options.csv is not None and read.days:
        targets.write(Path(options.csv), csv_bytes(phases_table(read.days)), force=options.force)
        written.append(Path(options.csv))
    if page:
        targets.write(options.pdf, page, force=options.force)
        written.append(options.pdf)
