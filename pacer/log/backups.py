"""Copies of the day records in the folder of backups: one a day, kept for a while, and brought back.

What is deleted for good leaves them, too (`erase`). The newest ten days are kept, and of the newest six
months the first copy.
"""

import os
import re
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from threading import Event, Lock
from typing import Protocol

from pacer.log import copying, database, migrations, ours
from pacer.log.copying import BACKUP_FOLDER
from pacer.log.database import LockedDatabase, LogError, Unreadable
from pacer.log.part import OpenRecords, are_times, must_write
from pacer.owner_only import make_folder
from pacer.text import _

DAYS, MONTHS = 10, 6
BEFORE = "before"  # in the names of copies of what a restore replaced
_DAY = re.compile(r"\d{4}-\d\d-\d\d")
_copying, _asked_to_stop = Lock(), Event()


class Stopped(Exception):  # noqa: N818
    """A copy was given up because something else needs the file."""


class RestorableRecords(OpenRecords, Protocol):
    """What is asked of the records that a copy is to replace."""

    def unfinished(self) -> Sequence[object]:
        """The lessons begun lately that never ended."""


@dataclass(frozen=True)
class CopiedLesson:
    """A lesson in a file: its number and start tell it from any other; ``events`` counts all said of it."""

    id: int
    started_utc_ms: int
    utc_offset_s: int
    title: str
    events: int


@dataclass(frozen=True)
class Copy:
    """A copy and what it holds; ``trouble`` says in plain words why it can't be brought back."""

    path: Path
    made_utc_ms: int
    lessons: tuple[CopiedLesson, ...] = ()
    trouble: str = ""

    @property
    def name(self) -> str:
        """What it is called by: the date of a daily copy, or what else tells it apart."""
        return self.path.stem.removeprefix(f"{Path(database.FILE_NAME).stem}-")


@dataclass(frozen=True)
class Difference:
    """What bringing back a copy would change: lessons that would go, come back, or have other events."""

    lost: tuple[CopiedLesson, ...]
    gained: tuple[CopiedLesson, ...]
    changed: tuple[CopiedLesson, ...]


def copy_files(path: Path) -> list[Path]:
    """All copies of a file of day records, those of days first, the newest first."""
    try:
        files = copying.files_like(path.parent / BACKUP_FOLDER, f"{path.stem}-*{path.suffix}")
    except OSError:
        return []
    return sorted(files, key=lambda copy: (_day_of(copy, path) is not None, copy.name), reverse=True)


def is_due(path: Path, today: date) -> bool:
    """Whether there is no copy of this day yet."""
    return not os.path.lexists(_daily(path, today))


def copy_today(path: Path, today: date) -> bool:
    """Copy the day records as they are on disk now, then remove the copies that are too many.

    For a thread of its own. Returns False where there is nothing to copy or it was stopped. Raises LogError.
    """
    with _copying, database.in_plain_words(path):
        _asked_to_stop.clear()
        try:
            _copy_today(path, today)
        except (Stopped, FileNotFoundError):
            return False
        except (OSError, Unreadable) as error:
            reason = database.plain_reason(error) if isinstance(error, OSError) else error
            words = _("Today's copy of the day records could not be made in {folder} ({reason}).")
            raise LogError(words.format(folder=path.parent / BACKUP_FOLDER, reason=reason)) from error
    return not is_due(path, today)


def stop_copying() -> None:
    """Ask a copy that is being made to give up; it is made later."""
    _asked_to_stop.set()


@contextmanager
def no_copying() -> Iterator[None]:
    """No copy is made meanwhile; one that is being made gives up."""
    stop_copying()
    with _copying:
        yield


def copies(path: Path) -> list[Copy]:
    """All copies with what they hold, the newest first. Only read."""
    held = []
    for file in copy_files(path):
        try:
            made_ms = round(file.stat().st_mtime * 1000)
        except OSError:
            continue  # gone meanwhile
        try:
            connection = open_copy(file)
        except LogError as error:
            held.append(Copy(file, made_ms, trouble=str(error)))
            continue
        try:
            held.append(Copy(file, made_ms, _lessons(connection)))
        except database.FAILURES:
            held.append(Copy(file, made_ms, trouble=_damaged_words(file)))
        finally:
            database.close(connection)
    return sorted(held, key=lambda copy: (copy.made_utc_ms, copy.name), reverse=True)


def open_copy(copy: Path) -> sqlite3.Connection:
    """A copy, found to be whole, open for reading. Raises LogError."""
    try:
        connection = database.connect(Path(os.path.realpath(copy)), "immutable=1")
        try:
            ours.must_be_ours(connection, copy)
        except BaseException:
            database.close(connection)
            raise
    except (Unreadable, OSError, *database.FAILURES) as error:
        raise LogError(_damaged_words(copy)) from error
    return connection


def newest_copy(path: Path) -> sqlite3.Connection | None:
    """The newest daily copy that is whole, open for reading."""
    for copy in copy_files(path):
        if _day_of(copy, path) is not None:
            with suppress(LogError):
                return open_copy(copy)
    return None


def difference(records: OpenRecords, copy: Copy) -> Difference:
    """What bringing back a copy would change. Raises LogError."""
    with database.in_plain_words(records.path):
        now = {(lesson.id, lesson.started_utc_ms): lesson for lesson in _lessons(records.connection)}
    then = {(lesson.id, lesson.started_utc_ms): lesson for lesson in copy.lessons}
    return Difference(
        lost=tuple(lesson for key, lesson in now.items() if key not in then),
        gained=tuple(lesson for key, lesson in then.items() if key not in now),
        changed=tuple(lesson for key, lesson in then.items() if key in now and now[key] != lesson),
    )


def restore(records: RestorableRecords, copy: Path, today: date) -> Path:
    """Put what a copy holds in the place of the day records; returns where those are kept.

    All of it or nothing, and looked through before and after. Not while a lesson is unfinished or another
    Pacer has the records open. The copy of ``today`` goes: it is to be made anew. Raises LogError and its
    kinds.
    """
    must_write(records)
    if records.unfinished():
        raise LogError(_("A lesson has not ended: end it on Today first. Nothing was changed."))
    path = records.path
    try:
        with no_copying(), database.in_plain_words(path):
            _must_be_alone(records)
            kept = database.unused_path(_folder(path), f"{path.stem}-{BEFORE}", path.suffix)
            with _up_to_date(path, copy) as source:
                copying.write_copy(records.connection, kept)
                source.backup(records.connection)
                _must_be_same(source, records, kept)
                # A copy of today is of what was there before; whoever remembers that looks anew.
                _daily(path, today).unlink(missing_ok=True)
                records.connection.execute("UPDATE migration SET name = name")
    except (OSError, Unreadable) as error:
        reason = database.plain_reason(error) if isinstance(error, OSError) else error
        words = _("{copy} could not be brought back ({reason}). The day records are as they were.")
        raise LogError(words.format(copy=copy, reason=reason)) from error
    copying.remove_older(kept, f"{path.stem}-{BEFORE}-*{path.suffix}")
    return kept


def _copy_today(path: Path, today: date) -> None:
    def look(*_pages: int) -> None:
        if _asked_to_stop.is_set():
            raise Stopped

    source = database.connect(path, "mode=ro")
    try:
        source.execute("BEGIN")  # what is copied and what is counted are of one moment
        # Nothing is no copy: it would push out those that hold something.
        if source.execute("SELECT 1 FROM run UNION ALL SELECT 1 FROM imported_ending LIMIT 1").fetchone():
            _folder(path)
            copying.write_copy(source, _daily(path, today), look)
            _remove_old(path)
    finally:
        database.close(source)


def _remove_old(path: Path) -> None:
    """Keep the newest days, and of the newest months the first copy."""
    days = sorted((day for copy in copy_files(path) if (day := _day_of(copy, path))), reverse=True)
    firsts = {day.strftime("%Y-%m"): day for day in days}  # the earliest of a month comes last
    kept = {*days[:DAYS], *sorted(firsts.values(), reverse=True)[:MONTHS]}
    for day in days:
        if day not in kept:
            with suppress(OSError):  # a copy too many does no harm
                _daily(path, day).unlink()


def _daily(path: Path, day: date) -> Path:
    return path.parent / BACKUP_FOLDER / f"{path.stem}-{day.isoformat()}{path.suffix}"


def _day_of(copy: Path, path: Path) -> date | None:
    text = copy.stem.removeprefix(f"{path.stem}-")
    with suppress(ValueError):
        return date.fromisoformat(text) if _DAY.fullmatch(text) else None
    return None


def _folder(path: Path) -> Path:
    folder = path.parent / BACKUP_FOLDER
    make_folder(folder)
    return folder


def _lessons(connection: sqlite3.Connection) -> tuple[CopiedLesson, ...]:
    names = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if "run" not in names:
        return ()
    after = "+ (SELECT count(*) FROM after_event WHERE run_id = id)" if "after_event" in names else ""
    query = (
        "SELECT id, started_utc_ms, utc_offset_s, title, "
        f"(SELECT count(*) FROM event WHERE run_id = id) {after} FROM run ORDER BY started_utc_ms, id"
    )
    rows = connection.execute(query).fetchall()
    return tuple(CopiedLesson(*row) for row in rows if are_times(row[1], row[2]))


def _must_be_alone(records: OpenRecords) -> None:
    """Only who has a file for himself may leave its write-ahead log. Raises LockedDatabase."""
    try:
        (kind,) = records.connection.execute("PRAGMA journal_mode = DELETE").fetchone()
        records.connection.execute("PRAGMA journal_mode = WAL")
    except sqlite3.Error as error:
        if database.code_of(error) not in database.BUSY:
            raise
        kind = "wal"
    if kind != "delete":
        words = _("Pacer is open with the day records in {path}. Close it, then try again.")
        raise LockedDatabase(words.format(path=records.path))


@contextmanager
def _up_to_date(path: Path, copy: Path) -> Iterator[sqlite3.Connection]:
    """What a copy holds, with the tables of this Pacer, in a file that goes at the end."""
    partial = _folder(path) / f"{path.stem}-brought-back{path.suffix}.partial"
    partial.unlink(missing_ok=True)
    target = database.connect(partial, "mode=rwc")
    try:
        source = open_copy(copy)
        try:
            copying.must_be_whole(source)
            source.backup(target)
        finally:
            database.close(source)
        migrations.upgrade_copy(target, migrations.STEPS)
        copying.must_be_whole(target)
        yield target
    finally:
        database.close(target)
        partial.unlink(missing_ok=True)


def _must_be_same(source: sqlite3.Connection, records: OpenRecords, kept: Path) -> None:
    """Look through what was brought back; should anything be wrong with it, the records are as they were."""
    try:
        copying.must_be_whole(records.connection)
        if database.counts(records.connection) != database.counts(source):
            raise Unreadable(_("it holds something else"))
    except (Unreadable, *database.FAILURES):
        before = open_copy(kept)
        before.backup(records.connection)
        database.close(before)
        raise


def _damaged_words(copy: Path) -> str:
    return _("The copy {path} is damaged or not Pacer's: choose another one.", path=copy)
