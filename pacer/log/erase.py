"""Deletes lessons for good: from the file of day records, from its copies, and their text from the bytes.

What a lesson is made of goes with it: its events, what was said after school, its place in the trash, and
what was worked out. Imported endings of the same dates go, too, and both go from the copies in the folder of
backups. Accepted budgets and outlines stay (`erase_outlines` deletes outlines, where that is wanted).

Deleted rows are overwritten with zeros (secure_delete), the file is written anew (VACUUM), and the
write-ahead log is emptied, so that the text is no longer in any of the files. What a disk itself keeps of
earlier contents (as flash drives do), and copies that others made, are out of reach.
"""

import os
import sqlite3
from collections.abc import Callable, Collection, Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import date
from functools import partial
from operator import attrgetter
from pathlib import Path

from pacer.log import database
from pacer.log.backups import copy_files, no_copying
from pacer.log.copying import BACKUP_FOLDER, files_like
from pacer.log.database import LogError, Unreadable
from pacer.log.date_span import LOCAL_DATE, DateSpan, school_year
from pacer.log.day_records import DayRecords
from pacer.log.ours import must_be_harmless
from pacer.log.part import must_write
from pacer.text import _

# A lesson without an end that something was pressed in so lately may be running, maybe in another window.
RUNNING_MS = 12 * 3_600_000
_OF_A_RUN = ("event", "after_event", "trash", "day_worked_out")
Delete = Callable[[sqlite3.Connection], tuple[int, ...]]
_IN_SPAN = f"{LOCAL_DATE} BETWEEN ?1 AND ?2"


@dataclass(frozen=True)
class ErasedLesson:
    """A lesson that would go; ``title`` is its outline's."""

    run: int
    title: str


@dataclass(frozen=True)
class Erasable:
    """What lies in a span of dates. ``trashed`` of the ``lessons`` are in the trash.

    ``running`` lessons are not among them: they stay. ``copies`` counts the files in the folder of backups.
    """

    span: DateSpan
    lessons: tuple[ErasedLesson, ...] = ()
    trashed: int = 0
    imported: int = 0
    running: int = 0
    copies: int = 0

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to delete."""
        return not self.lessons and not self.imported


@dataclass(frozen=True)
class Erased:
    """What was deleted. ``left`` says in plain words where text may still be, and what to do about it."""

    lessons: int
    imported: int
    copies: int
    left: tuple[str, ...] = ()


def erasable(records: DayRecords, span: DateSpan, now_utc_ms: int) -> Erasable:
    """Look what a deletion would take. Raises LogError."""
    running = running_now(records, now_utc_ms)
    query = f"SELECT id, title, id IN (SELECT run_id FROM trash) FROM run WHERE {_IN_SPAN} ORDER BY id"
    with database.in_plain_words(records.path):
        rows = records.connection.execute(query, (span.since, span.until)).fetchall()
        imported = _count_imported(records.connection, span)
    going = [row for row in rows if row[0] not in running]
    return Erasable(
        span=span,
        lessons=tuple(ErasedLesson(int(run), str(title)) for run, title, _trashed in going),
        trashed=sum(trashed for _run, _title, trashed in going),
        imported=imported,
        running=len(rows) - len(going),
        copies=len(copy_files(records.path)),
    )


def school_years(records: DayRecords) -> list[DateSpan]:
    """The school years that hold lessons or imported endings, the newest first. Raises LogError."""
    query = f"SELECT DISTINCT {LOCAL_DATE} FROM run UNION SELECT DISTINCT date FROM imported_ending"
    with database.in_plain_words(records.path):
        days = [day for (day,) in records.connection.execute(query)]
    years = set()
    for day in days:
        with suppress(ValueError, TypeError):  # a damaged date belongs to no year
            years.add(school_year(date.fromisoformat(day)))
    return sorted(years, key=attrgetter("since"), reverse=True)


def erase(records: DayRecords, span: DateSpan, now_utc_ms: int) -> Erased:
    """Delete for good what `erasable` tells. A lesson that is running now is never touched.

    All rows go at once or none. Raises LogError and its kinds, and then nothing was deleted, unless the disk
    failed at the very last flush: whether that came to be, the next start finds out. What went wrong after
    that is told in ``left``.
    """
    must_write(records)
    running = running_now(records, now_utc_ms)
    connection = records.connection
    with no_copying():
        with database.in_plain_words(records.path), _overwriting(connection):
            with database.transaction(connection):
                lessons, imported = _delete(connection, span, running)
            left = _scrub(connection, records.path)
        in_span = partial(_delete, span=span, running=frozenset())
        copies, left_in_copies = _in_copies(records.path, in_span)
    return Erased(lessons, imported, copies, (*left, *left_in_copies))


def forget_accepted(records: DayRecords, targets: Sequence[str]) -> tuple[str, ...]:
    """Delete for good which budgets were accepted into outlines, by the names of their files.

    Returns what is left, in plain words. Raises LogError and its kinds.
    """
    must_write(records)
    connection = records.connection
    with no_copying():
        with database.in_plain_words(records.path), _overwriting(connection):
            with database.transaction(connection):
                _delete_accepted(connection, targets)
            left = _scrub(connection, records.path)
        _changed, left_in_copies = _in_copies(records.path, partial(_delete_accepted, targets=targets))
    return (*left, *left_in_copies)


def empty_trash(records: DayRecords, now_utc_ms: int) -> tuple[str, ...]:
    """Delete for good what has lain in the trash for 30 days; returns what is left, in plain words.

    The copies come first: what is cut off in between is still due, and all of it is done again at the next
    start. Raises LogError and its kinds, and then the lessons are still in the trash.
    """
    must_write(records)
    due = records.trash().due(now_utc_ms)
    if not due:
        return ()
    query = f"SELECT id, started_utc_ms FROM run WHERE id IN ({', '.join('?' * len(due))})"
    with no_copying(), database.in_plain_words(records.path), _overwriting(records.connection):
        runs = records.connection.execute(query, due).fetchall()
        _changed, left_in_copies = _in_copies(records.path, partial(_delete_runs, runs=runs))
        records.trash().empty(now_utc_ms)
        left = _scrub(records.connection, records.path)
    return (*left, *left_in_copies)


def running_now(records: DayRecords, now_utc_ms: int) -> set[int]:
    """Lessons that may be running: they never ended, and the last press was lately, or by a later clock."""
    query = "SELECT max(utc_ms) FROM event WHERE run_id = ?"
    running = set()
    for row in records.unfinished():
        with database.in_plain_words(records.path):
            (last,) = records.connection.execute(query, (row.id,)).fetchone()
        if now_utc_ms - int(last) < RUNNING_MS:
            running.add(row.id)
    return running


def _tables(connection: sqlite3.Connection) -> set[str]:
    """What tables there are; an older copy lacks the later ones."""
    return {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}


def _delete_accepted(connection: sqlite3.Connection, targets: Sequence[str]) -> tuple[int]:
    """Delete accepted budgets within a transaction; returns how many."""
    if "accepted_budget" not in _tables(connection):
        return (0,)
    before = connection.total_changes
    connection.executemany("DELETE FROM accepted_budget WHERE target = ?", [(name,) for name in targets])
    return (connection.total_changes - before,)


def _delete_runs(connection: sqlite3.Connection, runs: Sequence[tuple[int, int]]) -> tuple[int]:
    """Delete lessons by number and start within a transaction; returns how many.

    The number alone won't do: a copy may be of an earlier file, whose lesson of this number was another.
    """
    there = set(connection.execute("SELECT id, started_utc_ms FROM run"))
    same = [run for run, started in runs if (run, started) in there]
    _delete_with_rows(connection, same)
    return (len(same),)


def _delete_with_rows(connection: sqlite3.Connection, runs: Sequence[int]) -> None:
    tables, numbers = _tables(connection), [(run,) for run in runs]
    for table in _OF_A_RUN:
        if table in tables:
            connection.executemany(f"DELETE FROM {table} WHERE run_id = ?", numbers)
    connection.executemany("DELETE FROM run WHERE id = ?", numbers)


def _delete(connection: sqlite3.Connection, span: DateSpan, running: Collection[int]) -> tuple[int, int]:
    """Delete the rows of a span within a transaction; returns how many lessons and imported endings."""
    tables = _tables(connection)
    rows = connection.execute(f"SELECT id FROM run WHERE {_IN_SPAN}", (span.since, span.until)).fetchall()
    runs = [run for (run,) in rows if run not in running]
    _delete_with_rows(connection, runs)
    if "imported_ending" not in tables:
        return len(runs), 0
    imported = _count_imported(connection, span)
    connection.execute("DELETE FROM imported_ending WHERE date BETWEEN ? AND ?", (span.since, span.until))
    # A file of which nothing is left goes by its name, too, and may be imported again.
    connection.execute("DELETE FROM import_batch WHERE id NOT IN (SELECT batch_id FROM imported_ending)")
    return len(runs), imported


def _count_imported(connection: sqlite3.Connection, span: DateSpan) -> int:
    query = "SELECT count(*) FROM imported_ending WHERE date BETWEEN ? AND ?"
    return int(connection.execute(query, (span.since, span.until)).fetchone()[0])


def _scrub(connection: sqlite3.Connection, path: Path) -> tuple[str, ...]:
    """Write the file anew and empty its write-ahead log; the rows themselves are gone already."""
    try:
        connection.execute("VACUUM")
        (busy, *_pages) = connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    except sqlite3.Error as error:
        words = _(
            "The lessons are deleted, but some of their text may still be found in {path} until the next "
            "deletion. {reason}"
        )
        return (words.format(path=path, reason=database.plain_error(error, path)),)
    if busy:
        # Whoever closes the file last empties its log.
        words = _(
            "The lessons are deleted, but their text may still be found in {path}, because another program "
            "is reading. Close it, then close Pacer: that takes the text away."
        )
        return (words.format(path=f"{path}-wal"),)
    return ()


@contextmanager
def _overwriting(connection: sqlite3.Connection) -> Iterator[None]:
    """Overwrite what is deleted. No lesson runs, so another program may take a little longer to let go."""
    connection.execute("PRAGMA secure_delete = ON").fetchall()
    connection.execute(f"PRAGMA busy_timeout = {database.OPENING_WAIT_MS}")
    try:
        yield
    finally:
        with suppress(sqlite3.Error):
            connection.execute(f"PRAGMA busy_timeout = {database.WRITING_WAIT_MS}")


# --- copies


def _in_copies(path: Path, delete: Delete) -> tuple[int, list[str]]:
    """Delete the same in every copy; returns in how many there was something, and what is left."""
    changed, left = 0, list[str]()
    folder = path.parent / BACKUP_FOLDER
    for copy in _looked_through(folder, f"{path.stem}-*{path.suffix}", left):
        try:
            changed += _in_copy(copy, delete)
        except (*database.FAILURES, OSError, LogError, Unreadable) as error:
            words = _("The copy {path} can't be cleaned ({reason}). If you don't need it, delete that file.")
            reason = database.plain_error(error, copy) if isinstance(error, database.FAILURES) else error
            left.append(words.format(path=copy, reason=reason))
    for half in _looked_through(folder, f"{path.stem}-*{path.suffix}.partial*", left):
        with suppress(OSError):  # a copy that was never finished serves nobody
            half.unlink()
    for aside in _looked_through(path.parent, f"{path.stem}-unreadable-*{path.suffix}", left):
        words = _(
            "{path} was set aside because it could not be read. It may hold what you deleted: "
            "delete that file when nobody needs it."
        )
        left.append(words.format(path=aside))
    return changed, left


def _looked_through(folder: Path, pattern: str, left: list[str]) -> list[Path]:
    """The files by such names; where the folder can't be read, that goes to what is left, once."""
    try:
        return sorted(files_like(folder, pattern))
    except OSError as error:
        words = _(
            "{folder} can't be looked through ({reason}). Copies in it may hold what you deleted: "
            "once it can be read, delete again."
        )
        told = words.format(folder=folder, reason=database.plain_reason(error))
        if told not in left:
            left.append(told)
        return []


def _in_copy(copy: Path, delete: Delete) -> bool:
    with closing(database.connect(Path(os.path.realpath(copy)), "mode=rw")) as connection:
        must_be_harmless(connection)
        connection.execute("PRAGMA secure_delete = ON").fetchall()
        with database.transaction(connection):
            deleted = delete(connection)
        connection.execute("VACUUM")
    return any(deleted)
