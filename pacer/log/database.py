"""Opens and closes the SQLite file of the day records, and says in plain words what is wrong with it."""

import contextlib
import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from pacer.owner_only import begin_file, close_off, make_folder
from pacer.text import _

FILE_NAME = "day-records.sqlite3"
APPLICATION_ID = (
    0x50414352  # marks the file as ours, so that another program's database is never taken for it
)
OPENING_WAIT_MS = 2000
# Events are written by the thread that draws: a short wait there, the session tries again every second.
WRITING_WAIT_MS = 200
_COMPANIONS = ("-wal", "-shm")
_HEADER_BYTES = 100  # of every SQLite file; none is shorter

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
UNREADABLE = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


class LogError(Exception):
    """The day records can't be used as asked. The message is for the teacher: what, where, what next."""


# Kinds of LogError are named for what is wrong, without a suffix.
class NewerDatabase(LogError):  # noqa: N818
    """A newer Pacer wrote the file."""


class LockedDatabase(LogError):  # noqa: N818
    """Another program holds the file."""


class UnwritableFolder(LogError):  # noqa: N818
    """The folder or the file in it can't be made or written."""


@dataclass(frozen=True)
class OpenedDatabase:
    """An open file. ``version`` counts the migrations it has had; ``notice`` is empty or for the teacher."""

    connection: sqlite3.Connection
    version: int
    can_write: bool
    notice: str = ""


class _Unreadable(Exception):  # noqa: N818
    """The file is damaged, or no database of ours."""


def open_file(path: Path, newest: int) -> OpenedDatabase:
    """Open the day records for writing, or for reading only where nothing can be written.

    A damaged or foreign file is set aside under another name and a fresh one begun. A file with more
    than ``newest`` migrations is refused. Raises NewerDatabase, LockedDatabase, UnwritableFolder, LogError.
    """
    path = Path(os.path.realpath(path))  # companions lie beside the file itself, not beside a link to it
    _make_folder(path.parent)
    notice = ""
    if os.path.isdir(path) or _would_be_overwritten(path):  # noqa: PTH112 - Path.is_dir may raise
        notice = _set_aside(path, None)
    with in_plain_words(path):
        try:
            opened = _open_for_writing(path, newest)
        except sqlite3.Error as error:
            if _code(error) not in NO_WRITING or not path.is_file() or path.stat().st_size == 0:
                raise
            return _open_for_reading(path, newest)
    return replace(opened, notice=opened.notice or notice)


def close(connection: sqlite3.Connection) -> None:
    """Close the file; SQLite moves what is in its write-ahead log into it. Never raises."""
    with contextlib.suppress(sqlite3.Error):
        connection.close()


@contextmanager
def in_plain_words(path: Path) -> Iterator[None]:
    """Turn SQLite's errors into LogError and its kinds, told in plain words."""
    try:
        yield
    except sqlite3.Error as error:
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


def plain_error(error: sqlite3.Error, path: Path) -> LogError:
    """The error to show for one of SQLite's."""
    code = _code(error)
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
    return kind(words.format(path=path, reason=error))


def unused_path(folder: Path, stem: str, suffix: str) -> Path:
    """A path in a folder that nothing has yet, with the UTC time in its name."""
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    number, path = 1, folder / f"{stem}-{stamp}{suffix}"
    while any(os.path.lexists(f"{path}{extra}") for extra in ("", *_COMPANIONS)):
        number += 1
        path = folder / f"{stem}-{stamp}-{number}{suffix}"
    return path


def _make_folder(folder: Path) -> None:
    try:
        make_folder(folder)
    except OSError as error:
        reason = (
            _("a file has that name")
            if isinstance(error, FileExistsError)
            else (error.strerror or str(error))
        )
        raise UnwritableFolder(
            _(
                "The folder {folder} for the day records can't be made ({reason}). "
                "Make it by hand, or choose another with --data-dir."
            ).format(folder=folder, reason=reason)
        ) from error


def _would_be_overwritten(path: Path) -> bool:
    """Whether SQLite would take what lies there for a new database and overwrite or delete it unread.

    It does so with a file of one byte, and with a write-ahead log whose file is missing or empty.
    """
    log = Path(f"{path}-wal")
    try:
        size = path.stat().st_size if path.exists() else 0
        return 0 < size < _HEADER_BYTES or (size == 0 and log.is_file() and log.stat().st_size > 0)
    except OSError:
        return False


def _open_for_writing(path: Path, newest: int) -> OpenedDatabase:
    connection = _connect(path, "mode=rwc")
    notice = ""
    try:
        try:
            version = _checked_version(connection, path, newest)
        except _Unreadable:
            notice = _set_aside(path, connection)
            connection.close()
            connection = _connect(path, "mode=rwc")
            version = _checked_version(connection, path, newest)
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA fullfsync = ON")  # macOS: past the drive's own cache; elsewhere no effect
        connection.execute("PRAGMA foreign_keys = ON")
        _try_to_begin(connection)
    except BaseException:
        close(connection)
        raise
    return OpenedDatabase(connection, version, True, notice)


def _try_to_begin(connection: sqlite3.Connection) -> None:
    """Fail now, not at the first event, where the file may not be written. A lock held now may pass."""
    try:
        connection.execute("BEGIN IMMEDIATE")
    except sqlite3.Error as error:
        if _code(error) not in BUSY:
            raise
    else:
        connection.execute("ROLLBACK")


def _open_for_reading(path: Path, newest: int) -> OpenedDatabase:
    """Read a file that can't be written; where no companions can be made, as one that never changes."""
    for options in ("mode=ro", "immutable=1"):
        connection = _connect(path, options)
        try:
            version = _checked_version(connection, path, newest)
        except BaseException as error:
            close(connection)
            fails = isinstance(error, sqlite3.Error) and _code(error) in NO_WRITING
            if fails and options == "mode=ro":
                continue
            if isinstance(error, _Unreadable):
                raise LogError(_cant_set_aside(path, str(error))) from error
            raise
        break
    if version < newest:
        close(connection)
        raise UnwritableFolder(
            _(
                "The day records in {path} are from an older Pacer and can't be brought up to date, because "
                "nothing can be written there. Allow writing, or copy them to another folder."
            ).format(path=path)
        )
    notice = _(
        "Nothing can be written to {path}: day records can be read, but no new lesson is kept.", path=path
    )
    return OpenedDatabase(connection, version, False, notice)


def _connect(path: Path, options: str) -> sqlite3.Connection:
    if options == "mode=rwc":
        begin_file(path)  # SQLite gives its companions the rights of the file itself
        for extra in _COMPANIONS:
            close_off(Path(f"{path}{extra}"))
    connection = sqlite3.connect(
        f"{path.as_uri()}?{options}", uri=True, timeout=OPENING_WAIT_MS / 1000, isolation_level=None
    )
    # A name that is no longer UTF-8 must not stop the list it stands in.
    connection.text_factory = lambda data: data.decode("utf-8", "replace")
    return connection


def _checked_version(connection: sqlite3.Connection, path: Path, newest: int) -> int:
    """How many migrations the file has had. Raises NewerDatabase; _Unreadable for no file of ours."""
    try:
        version = int(connection.execute("PRAGMA user_version").fetchone()[0])
        mark = int(connection.execute("PRAGMA application_id").fetchone()[0])
        tables = int(connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0])
        if tables and mark != APPLICATION_ID:
            raise _Unreadable(_("it belongs to another program"))
        if version > newest:
            raise NewerDatabase(
                _(
                    "The day records in {path} were written by a newer Pacer. "
                    "Nothing was changed; use the newer one."
                ).format(path=path)
            )
        check = str(connection.execute("PRAGMA quick_check(1)").fetchone()[0])
    except sqlite3.DatabaseError as error:
        if _code(error) in UNREADABLE:
            raise _Unreadable(str(error)) from error
        raise
    if check != "ok":
        raise _Unreadable(check)
    return version


def _set_aside(path: Path, connection: sqlite3.Connection | None) -> str:
    """Give an unreadable file, with its companions, another name. Returns the notice that says so.

    The file is renamed while it is open where the system allows that: closing it first would let
    SQLite delete a write-ahead log that it takes for worthless.
    """
    try:
        try:
            aside = _renamed(path)
        except PermissionError:
            if connection is None:
                raise
            connection.close()
            aside = _renamed(path)
    except OSError as error:
        raise UnwritableFolder(_cant_set_aside(path, error.strerror or str(error))) from error
    return _(
        "The day records in {path} could not be read. They are kept as {aside}, and new ones were begun. "
        "Ask someone who knows SQLite to look at the kept file."
    ).format(path=path, aside=aside.name)


def _renamed(path: Path) -> Path:
    aside = unused_path(path.parent, f"{path.stem}-unreadable", path.suffix)
    for extra in ("", *_COMPANIONS):
        if os.path.lexists(f"{path}{extra}"):
            Path(f"{path}{extra}").rename(f"{aside}{extra}")
    return aside


def _cant_set_aside(path: Path, reason: str) -> str:
    return _(
        "The day records in {path} can't be read or set aside ({reason}). Move the file elsewhere."
    ).format(path=path, reason=reason)


def _code(error: sqlite3.Error) -> int:
    """SQLite's primary result code; 255, which it does not use, where Python itself raised the error."""
    return int(getattr(error, "sqlite_errorcode", -1)) & 0xFF
