"""Saves what can be read of a damaged file of day records into a fresh one, row by row.

A lesson of which something is missing keeps a hole, so that it is shown as damaged and never as another
lesson than was taught. What was lost comes from the newest copy in the folder of backups, where that has it.
"""

import json
import sqlite3
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import get_args

from pacer.log import database
from pacer.log.pages import PAGE_SIZES, FilePages, SqlValue, StoredRow
from pacer.log.part import LAST_UTC_MS
from pacer.run.event_words import Mode
from pacer.run.events import Started, body_from_json
from pacer.text import _, counted

# What the fresh file has of its own, and what is worked out anew.
_NOT_SAVED = ("migration", "day_worked_out")
_KEPT_DAY = "day_worked_out"
_TYPES: Mapping[str, type] = {"INTEGER": int, "TEXT": str, "REAL": float}
_LOST_KIND = "lost"
_MOST_HOLE = 100_000  # a number of an event beyond it is damage itself


@dataclass(frozen=True)
class RowShape:
    """How the rows of a table look: its columns' types in order, and which of them is the row id, if any."""

    table: str
    types: tuple[type, ...]
    row_id: int | None
    has_row_ids: bool

    def row(self, stored: StoredRow) -> tuple[SqlValue, ...] | None:
        """The values of a row if it may be one of this table's."""
        values = list(stored.values)
        if self.row_id is not None:
            if values[self.row_id] is not None:
                return None
            values[self.row_id] = stored.rowid
        for place, (value, kind) in enumerate(zip(values, self.types, strict=True)):
            if kind is float and isinstance(value, int):
                values[place] = float(value)  # whole numbers are stored as such
            elif type(value) is not kind:
                return None
        return tuple(values)


@dataclass(frozen=True)
class Salvaged:
    """What was saved. ``missing`` events are known to have been there; ``damaged`` lessons lack some of them.

    ``rows`` counts all, of whatever table; ``filled`` events came from a copy.
    """

    rows: int
    events: int
    lessons: int
    missing: int
    damaged: int
    filled: int


def shapes(connection: sqlite3.Connection) -> list[RowShape]:
    """How the rows of each table look that Pacer makes."""
    names = connection.execute(
        "SELECT name, sql FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    ).fetchall()
    found = []
    for name, sql in names:
        columns = connection.execute(f"PRAGMA table_info({name})").fetchall()
        has_row_ids = "WITHOUT ROWID" not in sql
        keys = [place for place, _name, _kind, _not_null, _usual, key in columns if key]
        is_alias = has_row_ids and len(keys) == 1 and columns[keys[0]][2] == "INTEGER"
        types = tuple(_TYPES[kind] for _place, _name, kind, *_rest in columns)
        found.append(RowShape(name, types, keys[0] if is_alias else None, has_row_ids))
    return found


def salvage(path: Path, fresh: sqlite3.Connection, copy: sqlite3.Connection | None = None) -> Salvaged:
    """Fill an open fresh file, its tables made, from a damaged one and from a copy of it.

    The damaged file is only read. Raises sqlite3.Error where the fresh one can't be written, OSError where
    the damaged one can't be read at all.
    """
    with database.transaction(fresh):
        ends = _fill(path, fresh)
        before = _count(fresh, "event")
        if copy is not None:
            with suppress(*database.FAILURES, OSError):
                _fill_from_copy(copy, fresh)
        filled = _count(fresh, "event") - before
        _mend(fresh)
        missing = _mark_holes(fresh, ends)
        rows = sum(_count(fresh, shape.table) for shape in shapes(fresh) if shape.table not in _NOT_SAVED)
        events = _count(fresh, "event", f"WHERE kind <> '{_LOST_KIND}'")
    return Salvaged(rows, events, _count(fresh, "run"), sum(missing.values()), len(missing), filled)


def salvaged_words(found: Salvaged) -> str:
    """How much was saved, in one sentence or two."""
    events = counted("{n} event", "{n} events", found.events)
    if found.missing:
        about = f"{found.events + found.missing:,}"
        events = _("{n} of about {all} events", n=f"{found.events:,}", all=about)
    lessons = counted("{n} lesson", "{n} lessons", found.lessons)
    words = _("{events} of {lessons} can be read.", events=events, lessons=lessons)
    if found.filled:
        words += " " + counted(
            "{n} of them comes from a copy.", "{n} of them come from a copy.", found.filled
        )
    if found.damaged:
        words += " " + counted(
            "{n} lesson has a hole and is called damaged.",
            "{n} lessons have holes and are called damaged.",
            found.damaged,
        )
    return words


def _fill(path: Path, fresh: sqlite3.Connection) -> dict[int, int]:
    """Put in all rows that can be read; returns how many events a lesson had, where its kept day tells."""
    known = shapes(fresh)
    found = _found(path, known)
    ends: dict[int, int] = {}
    for table, row in found:
        if table == _KEPT_DAY:
            with suppress(ValueError, IndexError):
                ends[int(row[0] or 0)] = int(str(row[1]).split(".")[1]) + 1
    for shape in known:
        if shape.table not in _NOT_SAVED:
            _insert(fresh, shape, (row for table, row in found if table == shape.table))
    return ends


def _found(path: Path, known: list[RowShape]) -> list[tuple[str, tuple[SqlValue, ...]]]:
    """All rows, read with the size of a page that gives most; the one that the file tells may be damaged."""
    found: list[tuple[str, tuple[SqlValue, ...]]] = []
    for size in (0, *PAGE_SIZES):
        with FilePages(path, size) as pages:
            places: list[int] = []
            found = max(found, list(_rows(pages, known, places)), key=len)
            if pages.is_usual and any(at >= pages.size // 2 for at in places):
                break  # a row in the far half of a page says that pages are as large as that
    return found


def _rows(
    pages: FilePages, known: list[RowShape], places: list[int]
) -> Iterator[tuple[str, tuple[SqlValue, ...]]]:
    """The rows of all tables with the names of those; ``places`` gets where on their pages they lay."""
    like: dict[tuple[bool, int], list[RowShape]] = {}  # few tables have as many columns
    for shape in known:
        like.setdefault((shape.has_row_ids, len(shape.types)), []).append(shape)
    for ways in pages.pages():
        for way in ways:
            rows = [
                (shape.table, row)
                for stored in way
                for shape in like.get((stored.rowid is not None, len(stored.values)), ())
                if (row := shape.row(stored)) is not None and _SOUND.get(shape.table, _always)(row)
            ]
            if rows:
                places.append(pages.farthest)
                yield from rows
                break


def _insert(fresh: sqlite3.Connection, shape: RowShape, rows: Iterable[tuple[SqlValue, ...]]) -> None:
    marks = ", ".join("?" * len(shape.types))
    fresh.executemany(f"INSERT OR IGNORE INTO {shape.table} VALUES ({marks})", rows)


def _always(_row: tuple[SqlValue, ...]) -> bool:
    return True


def _is_time(value: SqlValue) -> bool:
    return isinstance(value, int) and 0 <= value < LAST_UTC_MS


def _is_run(row: tuple[SqlValue, ...]) -> bool:
    run, _title, _subject, mode, started, planned, offset = row[:7]
    numbers = isinstance(run, int) and run > 0 and isinstance(offset, int) and abs(offset) <= 86_400
    return numbers and mode in get_args(Mode) and _is_time(started) and _is_time(planned)


def _is_event(row: tuple[SqlValue, ...]) -> bool:
    run, number, t_ms, _mono_ms, utc_ms, kind, body = row[:7]
    if not all(isinstance(value, int) for value in (run, number, t_ms)) or not _is_time(utc_ms):
        return False
    return int(run or 0) > 0 and 0 <= int(number or 0) < _MOST_HOLE and _is_body(kind, body)


def _is_after(row: tuple[SqlValue, ...]) -> bool:
    run, number, utc_ms, kind, body = row[:5]
    numbers = isinstance(run, int) and run > 0 and isinstance(number, int) and number >= 0
    return numbers and _is_time(utc_ms) and _is_body(kind, body)


def _is_body(kind: SqlValue, body: SqlValue) -> bool:
    """Whether a text may be what happened: an object that names its kind."""
    text, name = str(body), str(kind)
    if text.startswith(f'{{"kind":"{name}"') and text.endswith("}"):
        return True  # as Pacer writes it; the rest is looked at when the lesson is read
    try:
        held = json.loads(text)
    except (ValueError, RecursionError):
        return False
    return isinstance(held, dict) and held.get("kind") == kind


_SOUND = {"run": _is_run, "event": _is_event, "after_event": _is_after}


def _fill_from_copy(copy: sqlite3.Connection, fresh: sqlite3.Connection) -> None:
    """Add what a copy has and the damaged file no longer.

    Not the trash: what was taken out of it stays out.
    """
    held = dict(copy.execute("SELECT id, started_utc_ms FROM run"))
    here = dict(fresh.execute("SELECT id, started_utc_ms FROM run"))
    others = {run for run, started in held.items() if here.get(run, started) != started}
    for shape in shapes(fresh):
        if shape.table in (*_NOT_SAVED, "trash"):
            continue
        with suppress(sqlite3.OperationalError):  # an older copy lacks the later tables
            rows = copy.execute(f"SELECT * FROM {shape.table}")
            of_runs = shape.table in ("run", "event", "after_event")
            _insert(fresh, shape, (row for row in rows if not (of_runs and row[0] in others)))


def _mend(fresh: sqlite3.Connection) -> None:
    """Give each event a lesson and each imported ending a file; drop what hangs on a lesson that is gone."""
    orphans = fresh.execute(
        "SELECT run_id, min(utc_ms) FROM event WHERE run_id NOT IN (SELECT id FROM run) GROUP BY run_id"
    ).fetchall()
    for run, utc_ms in orphans:
        title = _("Lesson whose beginning is lost")
        row = _run_row(fresh, run) or (run, title, "", "live", utc_ms, utc_ms, 0)
        fresh.execute("INSERT INTO run VALUES (?, ?, ?, ?, ?, ?, ?)", row)
    for table in ("after_event", "trash"):
        fresh.execute(f"DELETE FROM {table} WHERE run_id NOT IN (SELECT id FROM run)")
    fresh.execute(
        "INSERT INTO import_batch (id, file, content_sha256, imported_utc_ms) "
        "SELECT DISTINCT batch_id, '', 'lost ' || batch_id, 0 FROM imported_ending "
        "WHERE batch_id NOT IN (SELECT id FROM import_batch)"
    )


def _run_row(fresh: sqlite3.Connection, run: int) -> tuple[SqlValue, ...] | None:
    """What stands of a lesson in the list, made anew of its first event."""
    query = "SELECT utc_ms, body FROM event WHERE run_id = ? AND seq = 0"
    for utc_ms, text in fresh.execute(query, (run,)).fetchall():
        with suppress(ValueError):
            body = body_from_json(text)
            if isinstance(body, Started):
                title, subject = body.outline.title, body.outline.subject
                return run, title, subject, body.mode, utc_ms, body.planned_utc_ms, body.utc_offset_s
    return None


def _mark_holes(fresh: sqlite3.Connection, ends: Mapping[int, int]) -> Counter[int]:
    """How many events are missing, by lesson. A lost end that is known of is marked by a row of its own."""
    missing: Counter[int] = Counter()
    query = (
        "SELECT run.id, count(seq), coalesce(max(seq) + 1, 0) "
        "FROM run LEFT JOIN event ON run_id = run.id GROUP BY run.id"
    )
    for run, count, end in fresh.execute(query).fetchall():
        whole = max(end, ends.get(run, 1) if ends.get(run, 1) < _MOST_HOLE else 1)
        if whole > count:
            missing[run] = whole - count
        if whole > end:
            fresh.execute(
                "INSERT INTO event SELECT id, ?, 0, 0, started_utc_ms, ?, '' FROM run WHERE id = ?",
                (whole - 1, _LOST_KIND, run),
            )
    return missing


def _count(connection: sqlite3.Connection, table: str, where: str = "") -> int:
    return int(connection.execute(f"SELECT count(*) FROM {table} {where}").fetchone()[0])
