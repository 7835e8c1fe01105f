"""Connects to SQLite files, trusting none of them, and says in plain words what is wrong with one."""

import contextlib
import os
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

from pacer.owner_only import begin_file, close_off
from pacer.text import _

FILE_NAME = "day-records.sqlite3"
APPLICATION_ID = (
    0x50414352  # marks the file as ours, so that another program's database is never taken for it
)
OPENING_WAIT_MS = 2000
# Events are written by the thread that draws: a short wait there, the session tries again every second.
WRITING_WAIT_MS = 200
COMPANIONS = ("-wal", "-shm")
# A file may come from anywhere: what is far beyond all that Pacer writes is refused before it costs time.
_LIMITS = {
    sqlite3.SQLITE_LIMIT_LENGTH: 64 * 2**20,
    sqlite3.SQLITE_LIMIT_SQL_LENGTH: 1_000_000,
    sqlite3.SQLITE_LIMIT_COLUMN: 100,
    sqlite3.SQLITE_LIMIT_EXPR_DEPTH: 100,
    sqlite3.SQLITE_LIMIT_COMPOUND_SELECT: 10,
    sqlite3.SQLITE_LIMIT_ATTACHED: 1,  # VACUUM takes one
    sqlite3.SQLITE_LIMIT_TRIGGER_DEPTH: 10,  # deleting with what hangs on it counts as one
    sqlite3.SQLITE_LIMIT_WORKER_THREADS: 0,
}
# Python 3.12 and later can ask for these; views and triggers are refused by `opening` all the same.
_SWITCHES = {"DEFENSIVE": True, "ENABLE_TRIGGER": False, "ENABLE_VIEW": False, "TRUSTED_SCHEMA": False}
_MOST_REASON = 160
_STEPS = 10_000  # SQLite's, between two looks at the budget
_LOG_BYTES, _FILLING_BYTES = 2**20, 2**16  # some 250 events; by rows, so that memory holds one at a time
_SPILLING_PAGES, _CACHE_KIB = 10, -2000  # so few pages that the rest is written out; SQLite's own setting

# What a failure is, by the low byte of SQLite's result code.
BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
FULL = sqlite3.SQLITE_FULL
NO_WRITING = (
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_PERM,
    sqlite3.SQLITE_IOERR,
    FULL,
)
# What reading and writing may raise: text in SQLite's own messages may be no text once a file is damaged.
FAILURES = (sqlite3.Error, UnicodeError, OverflowError, MemoryError)


class Unreadable(Exception):  # noqa: N818
    """The file is damaged, or no database of ours."""


class LogError(Exception):
    """The day records can't be used as asked. The message is for the teacher: what, where, what next."""


# Kinds of LogError are named for what is wrong, without a suffix.
class NewerDatabase(LogError):  # noqa: N818
    """A newer Pacer wrote the file."""


class LockedDatabase(LogError):  # noqa: N818
    """Another program holds the file."""


class UnwritableFolder(LogError):  # noqa: N818
    """The folder or the file in it can't be made or written."""


def connect(path: Path, options: str) -> sqlite3.Connection:
    """Open a file by SQLite's options of a URI. It may be damaged or hostile: nothing in it is run unasked.

    With ``mode=rwc`` one that is missing is made, for its owner only. Raises sqlite3.Error, OSError.
    """
    if options == "mode=rwc":
        begin_file(path)  # SQLite gives its companions the rights of the file itself
        for extra in COMPANIONS:
            close_off(Path(f"{path}{extra}"))
    connection = sqlite3.connect(
        f"{path.as_uri()}?{options}", uri=True, timeout=OPENING_WAIT_MS / 1000, isolation_level=None
    )
    guard(connection)
    return connection


def guard(connection: sqlite3.Connection) -> None:
    """Set limits, and trust nothing that stands in the file."""
    # A name that is no longer UTF-8 must not stop the list it stands in.
    connection.text_factory = lambda data: data.decode("utf-8", "replace")
    for limit, most in _LIMITS.items():
        connection.setlimit(limit, most)
    if sys.version_info >= (3, 12):
        for name, value in _SWITCHES.items():
            connection.setconfig(getattr(sqlite3, f"SQLITE_DBCONFIG_{name}"), value)
    connection.execute("PRAGMA trusted_schema = OFF")
    connection.execute("PRAGMA cell_size_check = ON")


@contextmanager
def within_steps(connection: sqlite3.Connection, most: int) -> Iterator[None]:
    """Interrupt what takes more than so many steps of SQLite's: it then raises sqlite3.OperationalError."""
    left = max(1, most // _STEPS)

    def is_over() -> bool:
        nonlocal left
        left -= 1
        return left < 0

    connection.set_progress_handler(is_over, _STEPS)
    try:
        yield
    finally:
        connection.set_progress_handler(None, 0)


def close(connection: sqlite3.Connection) -> None:
    """Close the file; SQLite moves what is in its write-ahead log into it. Never raises."""
    with contextlib.suppress(sqlite3.Error):
        connection.close()


@contextmanager
def in_plain_words(path: Path) -> Iterator[None]:
    """Turn whatever reading and writing may raise into LogError and its kinds, told in plain words."""
    try:
        yield
    except FAILURES as error:
        raise plain_error(error, path) from error


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[None]:
    """All that is written within is kept, or none of it."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield
        connection.execute("COMMIT")
    except BaseException:
        # Some failures, a full disk among them, may have rolled back already.
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise


def lengthen_log(connection: sqlite3.Connection) -> None:
    """Make the write-ahead log a megabyte long, so that what is written next lies within it.

    A flush of bytes that lay in the file before takes about half as long as one that makes it longer: its
    length need not be noted, too. What fills it is spilled within a transaction that is taken back, so SQLite
    reads none of it, and writes over it. Raises sqlite3.Error.
    """
    connection.execute(f"PRAGMA cache_size = {_SPILLING_PAGES}")
    try:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute("CREATE TABLE room (filling)")
        for _row in range(_LOG_BYTES // _FILLING_BYTES):
            connection.execute("INSERT INTO room VALUES (zeroblob(?))", (_FILLING_BYTES,))
    finally:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        connection.execute(f"PRAGMA cache_size = {_CACHE_KIB}")


def plain_error(error: Exception, path: Path) -> LogError:
    """The error to show for one of ``FAILURES``."""
    code = code_of(error)
    kind: type[LogError] = UnwritableFolder
    if code in BUSY:
        kind = LockedDatabase
        words = _("Another program is using the day records in {path}. Close it, then try again.")
    elif code == FULL:
        words = _("The disk is full, so {path} can't be written. Make room on it, then try again.")
    elif code in NO_WRITING:
        words = _(
            "The day records can't be written to {path} ({reason}). "
            "Allow writing there, or choose another folder with --data-dir."
        )
    else:
        kind = LogError
        words = _(
            "The day records in {path} can't be used ({reason}). "
            "Start Pacer again; if this stays, move the file elsewhere."
        )
    return kind(words.format(path=path, reason=plain_reason(error)))


def plain_reason(error: Exception) -> str:
    """What an error says, without what may have slipped into it out of a damaged file."""
    if isinstance(error, UnicodeError | OverflowError | MemoryError):
        return _("it is damaged")
    text = (error.strerror if isinstance(error, OSError) else None) or str(error)
    return "".join(sign if sign.isprintable() else "?" for sign in text)[:_MOST_REASON]


def code_of(error: BaseException) -> int:
    """SQLite's primary result code; 255, which it does not use, where Python itself raised the error."""
    return int(getattr(error, "sqlite_errorcode", -1)) & 0xFF


def counts(connection: sqlite3.Connection) -> tuple[int, ...]:
    """How many rows each table has, in the order of their names. Raises sqlite3.Error."""
    query = "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name"
    names = [name for (name,) in connection.execute(query)]
    return tuple(int(connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]) for name in names)


def unused_path(folder: Path, stem: str, suffix: str) -> Path:
    """A path in a folder that nothing has yet, with the UTC time in its name."""
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    number, path = 1, folder / f"{stem}-{stamp}{suffix}"
    while any(os.path.lexists(f"{path}{extra}") for extra in ("", *COMPANIONS)):
        number += 1
        path = folder / f"{stem}-{stamp}-{number}{suffix}"
    return path
