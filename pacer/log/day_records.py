"""The day records: every lesson with its events, written one by one and read back to be folded."""

import json
import os
import sqlite3
from collections.abc import Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, get_args

from pacer.log import database, opening
from pacer.log.database import LogError
from pacer.log.part import LAST_UTC_MS, are_times, must_write
from pacer.run.event_words import Mode
from pacer.text import _

# A start lists lessons and, where none was cut off, reads no event, whose models take longer to be made than
# all else that it does with day records: who asks for events or for another table imports what they need.
if TYPE_CHECKING:
    from pacer.log.accepted import AcceptedBudgets
    from pacer.log.after_school import AfterStore
    from pacer.log.imported import ImportedEndings
    from pacer.log.kept_days import KeptDays
    from pacer.log.trash import Trash
    from pacer.run.events import Event

NEWEST_FEW = 5
_COLUMNS = "id, title, subject, mode, started_utc_ms, planned_utc_ms, utc_offset_s"


# Kinds of LogError are named for what is wrong, without a suffix.
class UnknownRun(LogError):  # noqa: N818
    """There is no day record with that number."""


class DamagedRecord(LogError):  # noqa: N818
    """An event of a day record can't be read back."""


@dataclass(frozen=True)
class RunRow:
    """A lesson in the list of day records; times in UTC milliseconds, ``utc_offset_s`` is the classroom's."""

    id: int
    title: str
    subject: str
    mode: Mode
    started_utc_ms: int
    planned_utc_ms: int
    utc_offset_s: int


class DayRecords:
    """An open file of day records. ``notice`` is empty or something the teacher should read."""

    def __init__(self, connection: sqlite3.Connection, path: Path, can_write: bool, notice: str) -> None:
        self.connection = connection  # for the other modules of the log
        self.path = path
        self.can_write = can_write
        self.notice = notice
        self._identity = _identity(path)
        self._taken_back = 0

    @classmethod
    def open(cls, folder: Path) -> "DayRecords":
        """Open the records in a folder; both are made where missing. Raises LogError and its kinds."""
        return cls._of(opening.open_file(folder / database.FILE_NAME), folder)

    @classmethod
    def read(cls, folder: Path) -> "DayRecords":
        """Open the records to read them: nothing is made, renamed or written.

        ``notice`` says what of them can't be read. Raises LogError and its kinds.
        """
        return cls._of(opening.read_file(folder / database.FILE_NAME), folder)

    @classmethod
    def _of(cls, opened: opening.OpenedDatabase, folder: Path) -> "DayRecords":
        return cls(opened.connection, folder / database.FILE_NAME, opened.can_write, opened.notice)

    def close(self) -> None:
        """Close the file. What was acknowledged is on disk already."""
        database.close(self.connection)

    def __enter__(self) -> "DayRecords":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def is_in_place(self) -> bool:
        """Whether the open file is still the one under its name: else SQLite would write into nowhere."""
        return self._identity == _identity(self.path)

    def make_room(self) -> None:
        """Make ready for events while nobody waits: each press is then on disk sooner. Never raises."""
        if self.can_write:
            before = self.connection.total_changes
            with suppress(*database.FAILURES):  # a full disk or a lock is told when it matters
                database.lengthen_log(self.connection)
            # SQLite counts its rows, though they are gone: nobody need read anything again for them.
            self._taken_back += self.connection.total_changes - before

    def journal(self) -> "RunJournal":
        """Where a new lesson's events are written."""
        return RunJournal(self)

    def journal_of(self, run_id: int) -> "RunJournal":
        """Where an earlier lesson goes on."""
        return RunJournal(self, run_id)

    def imported(self) -> "ImportedEndings":
        """The endings of lessons before Pacer, imported from files."""
        from pacer.log.imported import ImportedEndings

        return ImportedEndings(self)

    def after(self) -> "AfterStore":
        """What was said and mended after school."""
        from pacer.log.after_school import AfterStore

        return AfterStore(self)

    def trash(self) -> "Trash":
        """The lessons in the trash."""
        from pacer.log.trash import Trash

        return Trash(self)

    def accepted(self) -> "AcceptedBudgets":
        """The budgets that were accepted."""
        from pacer.log.accepted import AcceptedBudgets

        return AcceptedBudgets(self)

    def kept_days(self) -> "KeptDays":
        """The days that were worked out before."""
        from pacer.log.kept_days import KeptDays

        return KeptDays(self)

    def change_mark(self) -> tuple[int, int]:
        """Another value once anything was written, here or by another program. Raises LogError."""
        with database.in_plain_words(self.path):
            version = self.connection.execute("PRAGMA data_version").fetchone()[0]
        return int(version), self.connection.total_changes - self._taken_back

    def runs(self) -> list[RunRow]:
        """All lessons that are not in the trash, the newest first. Raises LogError."""
        return self._rows("NOT IN", "started_utc_ms DESC, id DESC")

    def trashed_runs(self) -> list[RunRow]:
        """The lessons in the trash, the newest first. Raises LogError."""
        return self._rows("IN", "started_utc_ms DESC, id DESC")

    def count_unlisted(self) -> int:
        """How many lessons that are not in the trash make no sense to this Pacer. Raises LogError."""
        query = "SELECT count(*) FROM run WHERE id NOT IN (SELECT run_id FROM trash)"
        with database.in_plain_words(self.path):
            return int(self.connection.execute(query).fetchone()[0]) - len(self.runs())

    def events(self, run_id: int) -> "list[Event]":
        """The events of a lesson in order. Raises UnknownRun, DamagedRecord, LogError."""
        with database.in_plain_words(self.path):
            if self.connection.execute("SELECT 1 FROM run WHERE id = ?", (run_id,)).fetchone() is None:
                raise UnknownRun(_("There is no day record {run} in {path}.", run=run_id, path=self.path))
            # The body as bytes: a damaged one must be found out here, not patched up on the way.
            columns = "seq, t_ms, mono_ms, utc_ms, CAST(body AS BLOB)"
            query = f"SELECT {columns} FROM event WHERE run_id = ? ORDER BY seq"
            try:
                rows = self.connection.execute(query, (run_id,)).fetchall()
            except sqlite3.DataError as error:  # longer than any that Pacer writes
                raise _damaged(run_id, 0, self.path) from error
        events = [_event(row, run_id, self.path) for row in rows]
        odd = _first_odd(events)
        if odd is not None:
            raise _damaged(run_id, odd, self.path)
        return events

    def unfinished(self) -> list[RunRow]:
        """Those of the last few lessons begun that never ended, the newest first. Raises LogError.

        A lesson whose events can't be read can't go on and is left out.
        """
        latest = self._rows("NOT IN", f"id DESC LIMIT {NEWEST_FEW}")
        return [row for row in latest if self._is_running(row.id)]

    def _is_running(self, run_id: int) -> bool:
        # Most lessons were ended, which one row tells; the others' events are read.
        if self._was_ended(run_id):
            return False
        from pacer.run.fold import fold

        try:
            return fold(self.events(run_id)).is_running
        except (DamagedRecord, LookupError):
            return False

    def _was_ended(self, run_id: int) -> bool:
        """Whether the last event ended the lesson; where that was taken back, another one follows it."""
        # As bytes: one that is damaged tells nothing here, and all events are read.
        columns = "CAST(kind AS BLOB), CAST(body AS BLOB)"
        query = f"SELECT {columns} FROM event WHERE run_id = ? ORDER BY seq DESC LIMIT 1"
        with database.in_plain_words(self.path):
            kind, body = self.connection.execute(query, (run_id,)).fetchone() or (b"", b"")
        if kind != b"moved":
            return kind in (b"ended", b"bell_rang")
        try:
            found = json.loads(body)
        except (ValueError, RecursionError):
            return False
        return isinstance(found, dict) and found.get("to", 0) is None

    def _rows(self, is_in: str, order: str) -> list[RunRow]:
        """Rows ``IN`` the trash or ``NOT IN`` it that make sense; a damaged one must not hide the others."""
        trash = f"WHERE id {is_in} (SELECT run_id FROM trash)"
        query = f"SELECT {_COLUMNS} FROM run {trash} ORDER BY {order}"
        with database.in_plain_words(self.path):
            rows = [RunRow(*row) for row in self.connection.execute(query)]
        return [row for row in rows if _is_sound(row)]


class RunJournal:
    """Where the events of one lesson are written; ``run_id`` is None until the first is on disk."""

    def __init__(self, records: DayRecords, run_id: int | None = None) -> None:
        self._records = records
        self._connection = records.connection
        self.run_id = run_id

    def append(self, events: "Sequence[Event]") -> None:
        """Write all or none; returns only when they are on disk. Raises JournalError."""
        if not events:
            return
        from pacer.run.session import JournalError

        try:
            must_write(self._records)
            self.run_id = self._insert(events)
        except LogError as error:
            raise JournalError(str(error)) from error
        except sqlite3.Error as error:
            raise JournalError(_journal_words(error, self._records.path)) from error

    def _insert(self, events: "Sequence[Event]") -> int:
        """One transaction for all; with synchronous = FULL its end is the moment of being on disk."""
        from pacer.run.events import body_to_json

        connection = self._connection
        with database.transaction(connection):
            run_id = self._insert_run(events[0]) if self.run_id is None else self.run_id
            connection.executemany(
                "INSERT INTO event (run_id, seq, t_ms, mono_ms, utc_ms, kind, body) "
                "VALUES (?, ?, ?, ?, ?, ?, ?)",
                [
                    (run_id, e.seq, e.t_ms, e.mono_ms, e.utc_ms, e.body.kind, body_to_json(e.body))
                    for e in events
                ],
            )
        return run_id

    def _insert_run(self, first: "Event") -> int:
        from pacer.run.events import Started

        body = first.body
        if not isinstance(body, Started):
            raise ValueError("a lesson's first event says that it started")
        values = (body.outline.title, body.outline.subject, body.mode, first.utc_ms, body.planned_utc_ms)
        query = (
            "INSERT INTO run (title, subject, mode, started_utc_ms, planned_utc_ms, utc_offset_s) "
            "VALUES (?, ?, ?, ?, ?, ?) RETURNING id"
        )
        with closing(self._connection.execute(query, (*values, body.utc_offset_s))) as cursor:
            return int(cursor.fetchone()[0])


def _event(row: tuple[int, int, int, int, bytes], run_id: int, path: Path) -> "Event":
    from pacer.run.events import Event, body_from_json

    seq, t_ms, mono_ms, utc_ms, body = row
    try:
        return Event(
            seq=seq, t_ms=t_ms, mono_ms=mono_ms, utc_ms=utc_ms, body=body_from_json(body.decode("utf-8"))
        )
    except ValueError as error:  # not UTF-8, not JSON, or a kind this program does not know
        raise _damaged(run_id, seq, path) from error


def _first_odd(events: "Sequence[Event]") -> int | None:
    """The number of an event that no lesson has at its place, the first one; None where all fit together."""
    from pacer.run.events import GroupLeftOut, LegBegan, Moved, Started, Undone

    if not events or not all(
        0 <= event.t_ms < LAST_UTC_MS - events[0].utc_ms and are_times(event.utc_ms, 0) for event in events
    ):
        return 0
    first = events[0].body
    if not isinstance(first, Started):
        return 0
    phases, groups = len(first.outline.phases), first.outline.block.groups
    for number, event in enumerate(events):
        match event.body:
            case Started():
                fits = number == 0
            case Moved(to=to):
                fits = to in (None, *range(phases))
            case LegBegan(group=group) | GroupLeftOut(group=group):
                fits = group < groups
            case Undone(target=target):
                fits = 0 < target < number
            case _:
                fits = True
        if not fits or event.seq != number:
            return number
    return None if phases and are_times(first.planned_utc_ms, first.utc_offset_s) else 0


def _identity(path: Path) -> tuple[int, int] | None:
    """What tells a file from another one of the same name; None when there is none."""
    try:
        status = os.stat(path)  # noqa: PTH116 - a plain answer or an error
    except OSError:
        return None
    return status.st_dev, status.st_ino


def _is_sound(row: RunRow) -> bool:
    texts = isinstance(row.title, str) and isinstance(row.subject, str) and row.mode in get_args(Mode)
    return texts and are_times(row.started_utc_ms, row.utc_offset_s)


def _damaged(run_id: int, number: int, path: Path) -> DamagedRecord:
    return DamagedRecord(
        _(
            "Event {number} of day record {run} in {path} can't be read: it is damaged or from a newer "
            "Pacer. Other day records are not affected; nothing was changed."
        ).format(number=number, run=run_id, path=path)
    )


def _journal_words(error: sqlite3.Error, path: Path) -> str:
    """Why an event is not on disk yet, and that it waits."""
    if isinstance(error, sqlite3.IntegrityError):
        return _(
            "This lesson's record in {path} is being written by another Pacer window. "
            "What you press here is kept only here; close the other one."
        ).format(path=path)
    if isinstance(database.plain_error(error, path), database.LockedDatabase):
        return _(
            "Another program is using the day records in {path}. "
            "Presses are kept here and written as soon as it lets go."
        ).format(path=path)
    return _("{why} Presses are kept here and written as soon as that works.").format(
        why=database.plain_error(error, path)
    )
