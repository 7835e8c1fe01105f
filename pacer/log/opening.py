"""Opens the file of day records: checked before it is trusted, brought up to date, saved where damaged."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pacer.log import database, migrations
from pacer.log.database import LogError, Unreadable, UnwritableFolder
from pacer.log.ours import must_be_ours
from pacer.owner_only import keep_names, make_folder
from pacer.text import _

if TYPE_CHECKING:
    from pacer.log.salvage import Salvaged

_HEADER_BYTES = 100  # of every SQLite file; none is shorter
_JOURNAL_KINDS, _TEXT_KINDS = (1, 2), (0, 1)  # rollback or write-ahead log; none yet or UTF-8


@dataclass(frozen=True)
class OpenedDatabase:
    """An open file, or what could be read of it. ``notice`` is empty or for the teacher."""

    connection: sqlite3.Connection
    can_write: bool
    notice: str = ""


def open_file(path: Path) -> OpenedDatabase:
    """Open the day records for writing, or for reading only where nothing can be written.

    Of a damaged or foreign file what can be read goes into a fresh one, and the file is kept beside it under
    another name. One from a newer Pacer is refused. Raises LogError and its kinds, and nothing else.
    """
    with _in_plain_words(path):
        path = Path(os.path.realpath(path))  # companions lie beside the file itself, not beside a link to it
        _make_folder(path.parent)
        _end_saving(path)
        try:
            if _is_there(path):
                database.close(_checked(path))
        except Unreadable as error:
            return _saved(path, str(error))
        try:
            return _open_for_writing(path)
        except sqlite3.Error as error:
            if database.code_of(error) not in database.NO_WRITING or not _is_there(path):
                raise
            notice = _(
                "Nothing can be written to {path}: day records can be read, but no new lesson is kept."
            )
            return _up_to_date_in_memory(_checked(path), notice.format(path=path))


def read_file(path: Path) -> OpenedDatabase:
    """Open the day records to read them: nothing is made, renamed or written, in whatever state they are.

    ``notice`` says what of a damaged file can't be read. Raises LogError and its kinds, and nothing else.
    """
    with _in_plain_words(path):
        path = Path(os.path.realpath(path))
        if os.path.lexists(path.parent) and not path.parent.is_dir():
            _make_folder(path.parent)  # says that a file has that name
        if not os.path.lexists(path) and _unfinished_saving(path).is_file():
            path = _unfinished_saving(path)
        try:
            return _up_to_date_in_memory(_checked(path) if _is_there(path) else _nothing(), "")
        except Unreadable as error:
            return _in_memory(path, str(error))


def _checked(path: Path) -> sqlite3.Connection:
    """A file open for reading, and found to be whole. Raises as `must_be_ours`."""
    _must_look_like_sqlite(path)
    # Beside a write-ahead log somebody may be writing; without one nobody is, and none need be made.
    ways = ["mode=ro"] if os.path.lexists(f"{path}-wal") else []
    for options in (*ways, "immutable=1"):
        connection = database.connect(path, options)
        try:
            must_be_ours(connection, path)
        except BaseException as error:
            database.close(connection)
            fails = isinstance(error, sqlite3.Error) and database.code_of(error) in database.NO_WRITING
            if fails and options == "mode=ro":
                continue
            if isinstance(error, Unreadable) and not ways and os.path.lexists(f"{path}-wal"):
                return _checked(path)  # another Pacer began to write meanwhile
            raise
        return connection
    raise AssertionError("the last way returns or raises")


def _must_look_like_sqlite(path: Path) -> None:
    """What SQLite would overwrite or delete unread, and what it would misunderstand. Raises Unreadable.

    It takes a file of one byte for a new one, and a write-ahead log whose file is empty for worthless.
    """
    if path.is_dir():
        raise Unreadable(_("it is a folder"))
    head = b""
    if path.exists():
        with path.open("rb") as file:
            head = file.read(_HEADER_BYTES)
    if not head:
        raise Unreadable(_("the file to a write-ahead log is missing"))
    if len(head) < _HEADER_BYTES:
        raise Unreadable(_("it is too short"))
    if head[18] not in _JOURNAL_KINDS or head[19] not in _JOURNAL_KINDS:
        raise Unreadable(_("it is damaged"))
    if int.from_bytes(head[56:60], "big") not in _TEXT_KINDS:
        raise Unreadable(_("it is damaged"))


def _is_there(path: Path) -> bool:
    """Whether there is anything to look at: an empty file is simply filled."""
    log = f"{path}-wal"
    return os.path.isdir(path) or any(  # noqa: PTH112 - Path.is_dir may raise
        os.path.lexists(each) and os.stat(each).st_size > 0  # noqa: PTH116
        for each in (path, log)
    )


def _open_for_writing(path: Path) -> OpenedDatabase:
    connection = database.connect(path, "mode=rwc")
    try:
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA fullfsync = ON")  # macOS: past the drive's own cache; elsewhere no effect
        connection.execute("PRAGMA foreign_keys = ON")
        _try_to_begin(connection)
        try:
            migrations.upgrade(connection, path, migrations.STEPS)
        except OSError as error:
            raise _no_copy(path, error) from error
        # From here on the thread that draws is the one that would wait.
        connection.execute(f"PRAGMA busy_timeout = {database.WRITING_WAIT_MS}")
    except BaseException:
        database.close(connection)
        raise
    return OpenedDatabase(connection, True)


def _try_to_begin(connection: sqlite3.Connection) -> None:
    """Fail now, not at the first event, where the file may not be written. A lock held now may pass."""
    try:
        connection.execute("BEGIN IMMEDIATE")
    except sqlite3.Error as error:
        if database.code_of(error) not in database.BUSY:
            raise
    else:
        connection.execute("ROLLBACK")


# --- what is only read


def _up_to_date_in_memory(connection: sqlite3.Connection, notice: str) -> OpenedDatabase:
    """The file itself, or where it is from an older Pacer a copy that is brought up to date."""
    if migrations.version_of(connection) == len(migrations.STEPS):
        return OpenedDatabase(connection, False, notice)
    copy = _nothing()
    try:
        connection.backup(copy)
        migrations.upgrade_copy(copy, migrations.STEPS)
    except BaseException:
        database.close(copy)
        raise
    finally:
        database.close(connection)
    return OpenedDatabase(copy, False, notice)


def _in_memory(path: Path, reason: str, more: str = "") -> OpenedDatabase:
    """What can be read of a damaged file, kept nowhere. Raises LogError where that is nothing."""
    from pacer.log.salvage import salvaged_words

    connection = _nothing()
    try:
        migrations.upgrade_copy(connection, migrations.STEPS)
        saved = _salvage(path, connection)
    except BaseException:
        database.close(connection)
        raise
    if not saved.rows:
        database.close(connection)
        words = _("The day records in {path} can't be read ({reason}). Nothing was changed.")
        raise LogError(" ".join(filter(None, (words.format(path=path, reason=reason), more))))
    words = _(
        "The day records in {path} are damaged: {what} Nothing was changed; "
        "Pacer's window saves them at its next start."
    )
    return OpenedDatabase(connection, False, more or words.format(path=path, what=salvaged_words(saved)))


def _nothing() -> sqlite3.Connection:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    database.guard(connection)
    return connection


# --- saving what can be read of a damaged file


def _saved(path: Path, reason: str) -> OpenedDatabase:
    """Put what can be read into a fresh file in the place of the damaged one, which stays beside it."""
    from pacer.log.salvage import salvaged_words

    fresh = _unfinished_saving(path)
    try:
        saved = _write_fresh(path, fresh)
        aside = _set_aside(path)
        if saved.rows:
            fresh.rename(path)
        keep_names(path.parent)
    except (OSError, sqlite3.Error) as error:
        with suppress(OSError):
            if os.path.lexists(path):
                fresh.unlink(missing_ok=True)
        why = _(
            "The day records in {path} can't be read or set aside ({reason}). Move the file elsewhere."
        ).format(path=path, reason=database.plain_reason(error))
        return _in_memory(path, reason, why)
    if saved.rows:
        words = _("The day records in {path} are damaged: {what} The damaged file is kept as {aside}.")
    else:
        words = _(
            "The day records in {path} could not be read. They are kept as {aside}, and new ones were begun. "
            "If there are copies of them, Look back brings one back."
        )
    notice = words.format(path=path, aside=aside.name, what=salvaged_words(saved))
    opened = _open_for_writing(path)
    return OpenedDatabase(opened.connection, opened.can_write, notice)


def _write_fresh(path: Path, fresh: Path) -> "Salvaged":
    for left in (fresh, Path(f"{fresh}-journal")):
        left.unlink(missing_ok=True)
    connection = database.connect(fresh, "mode=rwc")
    try:
        migrations.upgrade_copy(connection, migrations.STEPS)
        saved = _salvage(path, connection)
    finally:
        database.close(connection)
    if not saved.rows:
        fresh.unlink()
    return saved


def _salvage(path: Path, connection: sqlite3.Connection) -> "Salvaged":
    # Late: files are hardly ever damaged, and every start of the windows opens one.
    from pacer.log import backups
    from pacer.log.salvage import salvage

    copy = backups.newest_copy(path)
    try:
        return salvage(path, connection, copy)
    finally:
        if copy is not None:
            database.close(copy)


def _unfinished_saving(path: Path) -> Path:
    """Where a fresh file is written; once it is whole, it takes the damaged one's name."""
    return path.with_name(f"{path.stem}-saved{path.suffix}")


def _end_saving(path: Path) -> None:
    """Give a saved file its name where that was cut off; it is whole if the damaged one is out of its way."""
    fresh = _unfinished_saving(path)
    if fresh.is_file() and not os.path.lexists(path):
        if os.path.lexists(f"{path}-wal"):
            _set_aside(path)
        fresh.rename(path)
        keep_names(path.parent)


def _set_aside(path: Path) -> Path:
    """Give an unreadable file, with its companions, another name. Nothing has it open. Raises OSError."""
    aside = database.unused_path(path.parent, f"{path.stem}-unreadable", path.suffix)
    for extra in ("", *database.COMPANIONS):
        if os.path.lexists(f"{path}{extra}"):
            Path(f"{path}{extra}").rename(f"{aside}{extra}")
    return aside


# --- words


@contextmanager
def _in_plain_words(path: Path) -> Iterator[None]:
    """Whatever goes wrong while a file is opened is told as a LogError."""
    try:
        yield
    except LogError:
        raise
    except Unreadable as error:
        raise LogError(
            _("The day records in {path} can't be read ({reason}).", path=path, reason=error)
        ) from error
    except OSError as error:
        raise UnwritableFolder(
            _(
                "The day records in {path} can't be opened ({reason}). "
                "Allow reading and writing there, or choose another folder with --data-dir."
            ).format(path=path, reason=database.plain_reason(error))
        ) from error
    except Exception as error:
        raise database.plain_error(error, path) from error


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


def _no_copy(path: Path, error: OSError) -> LogError:
    return UnwritableFolder(
        _(
            "The day records in {path} need to be brought up to date, but no copy could be kept first "
            "({reason}). Make room or allow writing there, then start Pacer again."
        ).format(path=path, reason=error.strerror or error)
    )
