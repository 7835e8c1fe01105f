"""The tables of the day records: brings a file up to date, step by step, and tells one that is not ours."""

import contextlib
import secrets
import sqlite3
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

from pacer.log import database
from pacer.log.database import APPLICATION_ID, transaction, unused_path
from pacer.owner_only import keep_names, make_folder
from pacer.text import _

BACKUP_FOLDER = "backups"
KEPT_BACKUPS = 10
_STALE_S = 3600
_PAGES = 256  # copied at a time: a lesson that begins waits for no more
# Many times what looking through a whole file takes; a file can't be made to take longer.
_STEPS_AT_LEAST, _STEPS_A_BYTE = 10_000_000, 4

Tables = frozenset[tuple[str, str, str]]


class Unreadable(Exception):  # noqa: N818
    """The file is damaged, or no database of ours."""


@dataclass(frozen=True)
class Migration:
    """One change of the tables. ``apply`` must not commit, so no executescript."""

    name: str
    apply: Callable[[sqlite3.Connection], None]


def _first_tables(connection: sqlite3.Connection) -> None:
    """Version 1: runs, their events, and the list of steps."""
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute("CREATE TABLE migration (name TEXT PRIMARY KEY, at TEXT NOT NULL)")
    # AUTOINCREMENT: the number of a deleted run is never given to another.
    connection.execute(
        """
        CREATE TABLE run (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            title TEXT NOT NULL,
            subject TEXT NOT NULL,
            mode TEXT NOT NULL,
            started_utc_ms INTEGER NOT NULL,
            planned_utc_ms INTEGER NOT NULL,
            utc_offset_s INTEGER NOT NULL
        )
        """
    )
    # WITHOUT ROWID: the events of a run lie together in order, and an append changes one tree instead of two.
    connection.execute(
        """
        CREATE TABLE event (
            run_id INTEGER NOT NULL REFERENCES run (id) ON DELETE CASCADE,
            seq INTEGER NOT NULL,
            t_ms INTEGER NOT NULL,
            mono_ms INTEGER NOT NULL,
            utc_ms INTEGER NOT NULL,
            kind TEXT NOT NULL,
            body TEXT NOT NULL,
            PRIMARY KEY (run_id, seq)
        ) WITHOUT ROWID
        """
    )


def _imported_endings(connection: sqlite3.Connection) -> None:
    """Version 2: how phases ended in lessons before Pacer, imported from files."""
    connection.execute(
        """
        CREATE TABLE import_batch (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            file TEXT NOT NULL,
            content_sha256 TEXT NOT NULL UNIQUE,
            imported_utc_ms INTEGER NOT NULL
        )
        """
    )
    connection.execute(
        """
        CREATE TABLE imported_ending (
            batch_id INTEGER NOT NULL REFERENCES import_batch (id) ON DELETE CASCADE,
            number INTEGER NOT NULL,
            date TEXT NOT NULL,
            phase TEXT NOT NULL,
            kind TEXT NOT NULL,
            planned_s REAL NOT NULL,
            actual_s REAL NOT NULL,
            ending TEXT NOT NULL,
            PRIMARY KEY (batch_id, number)
        ) WITHOUT ROWID
        """
    )


def _after_school(connection: sqlite3.Connection) -> None:
    """Version 3: what is said and mended after school, the trash, accepted budgets, and days worked out."""
    connection.execute(
        """
        CREATE TABLE after_event (
            run_id INTEGER NOT NULL REFERENCES run (id) ON DELETE CASCADE,
            number INTEGER NOT NULL,
            utc_ms INTEGER NOT NULL,
            kind TEXT NOT NULL,
            body TEXT NOT NULL,
            PRIMARY KEY (run_id, number)
        ) WITHOUT ROWID
        """
    )
    connection.execute(
        """
        CREATE TABLE trash (
            run_id INTEGER PRIMARY KEY REFERENCES run (id) ON DELETE CASCADE,
            utc_ms INTEGER NOT NULL
        )
        """
    )
    connection.execute(
        """
        CREATE TABLE accepted_budget (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            utc_ms INTEGER NOT NULL,
            target TEXT NOT NULL,
            phase TEXT NOT NULL,
            kind TEXT NOT NULL,
            old_s INTEGER NOT NULL,
            new_s INTEGER NOT NULL,
            lessons INTEGER NOT NULL,
            cut_off INTEGER NOT NULL
        )
        """
    )
    # What a day came to, worked out from its events once. Losing it loses nothing.
    connection.execute(
        """
        CREATE TABLE day_worked_out (
            run_id INTEGER PRIMARY KEY REFERENCES run (id) ON DELETE CASCADE,
            stamp TEXT NOT NULL,
            body TEXT NOT NULL
        )
        """
    )


STEPS: tuple[Migration, ...] = (
    Migration("first tables", _first_tables),
    Migration("imported endings", _imported_endings),
    Migration("after school", _after_school),
)


def upgrade(connection: sqlite3.Connection, path: Path, steps: Sequence[Migration] = STEPS) -> None:
    """Apply the steps that a file lacks; one that has had some is copied first.

    Raises sqlite3.Error or OSError; the file then is as the last finished step left it.
    """
    version = version_of(connection)
    if version >= len(steps):
        return
    if version > 0:
        back_up(connection, path, version)
    upgrade_copy(connection, steps)


def upgrade_copy(connection: sqlite3.Connection, steps: Sequence[Migration]) -> None:
    """The same for what is a copy itself, or has nothing in it yet."""
    for number, step in enumerate(steps, start=1):
        _apply(connection, number, step)


def tables_of(connection: sqlite3.Connection) -> Tables:
    """All tables, indexes, views and triggers of an open file, as kind, name and what made them."""
    query = (
        "SELECT type, name, coalesce(sql, '') FROM sqlite_master WHERE name NOT LIKE 'sqlite~_%' ESCAPE '~'"
    )
    # Spaces may differ: they come from our source text.
    return frozenset((kind, name, "".join(sql.split())) for kind, name, sql in connection.execute(query))


@cache
def tables_after(steps: tuple[Migration, ...]) -> Tables:
    """What `tables_of` tells of a file that has had these steps."""
    connection = sqlite3.connect(":memory:", isolation_level=None)
    try:
        upgrade_copy(connection, steps)
        return tables_of(connection)
    finally:
        connection.close()


def must_be_harmless(connection: sqlite3.Connection) -> None:
    """Raises Unreadable for a file of another program, and one in which writing would run what others wrote.

    Its tables may be more or fewer than ours.
    """
    (mark,) = connection.execute("PRAGMA application_id").fetchone()
    if mark != APPLICATION_ID:
        raise Unreadable(_("it belongs to another program"))
    if {kind for kind, _name, _sql in tables_of(connection)} - {"table", "index"}:
        raise Unreadable(_("its tables are not those of Pacer"))


def must_be_ours(connection: sqlite3.Connection, path: Path) -> int:
    """Look through an open file; returns how many steps it has had.

    Raises Unreadable for a damaged or foreign one, and one with tables, views or triggers that Pacer did not
    make; NewerDatabase; sqlite3.Error where it can't be looked at now.
    """
    try:
        with database.within_steps(connection, _STEPS_AT_LEAST + _STEPS_A_BYTE * path.stat().st_size):
            return _looked_through(connection, path)
    except sqlite3.Error as error:
        if database.code_of(error) in (*database.BUSY, *database.NO_WRITING):
            raise
        raise Unreadable(database.plain_reason(error)) from error
    except (UnicodeError, OverflowError, MemoryError, TypeError, ValueError) as error:
        raise Unreadable(_("it is damaged")) from error


def _looked_through(connection: sqlite3.Connection, path: Path) -> int:
    version = version_of(connection)
    mark = int(connection.execute("PRAGMA application_id").fetchone()[0])
    tables = tables_of(connection)
    if tables and mark != APPLICATION_ID:
        raise Unreadable(_("it belongs to another program"))
    if version > len(STEPS) and not _is_number_damaged(connection, tables):
        raise database.NewerDatabase(
            _(
                "The day records in {path} were written by a newer Pacer. "
                "Nothing was changed; use the newer one."
            ).format(path=path)
        )
    if not 0 <= version <= len(STEPS) or tables != tables_after(tuple(STEPS[:version])):
        raise Unreadable(_("its tables are not those of Pacer"))
    check = str(connection.execute("PRAGMA quick_check(1)").fetchone()[0])
    if check != "ok":
        raise Unreadable(check)
    return version


def _is_number_damaged(connection: sqlite3.Connection, tables: Tables) -> bool:
    """Whether a file that says to be newer is just what one of ours is: each step is noted in a table."""
    try:
        noted = int(connection.execute("SELECT count(*) FROM migration").fetchone()[0])
    except sqlite3.Error:
        return False
    return noted <= len(STEPS) and tables == tables_after(tuple(STEPS[:noted]))


def back_up(connection: sqlite3.Connection, path: Path, version: int) -> Path:
    """Copy an open file, its write-ahead log included; keep the newest ten copies. Returns this one."""
    folder = path.parent / BACKUP_FOLDER
    make_folder(folder)
    copy = unused_path(folder, path.stem, f"-v{version}{path.suffix}")
    connection.execute("BEGIN")
    try:
        # The first look holds the moment: what is copied and what is counted are of the same.
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
        write_copy(connection, copy)
    finally:
        connection.execute("ROLLBACK")
    remove_older(copy, f"{path.stem}-*-v*{path.suffix}")
    return copy


def remove_older(newest: Path, pattern: str) -> None:
    """Keep ten copies of a kind: the one just made, whatever the clock said, and the last before it."""
    others = [copy for copy in newest.parent.glob(pattern) if copy != newest]
    for old in sorted(others, key=_age)[: 1 - KEPT_BACKUPS]:
        with contextlib.suppress(OSError):  # an old copy too many does no harm
            old.unlink()


def write_copy(
    connection: sqlite3.Connection, copy: Path, progress: Callable[[int, int, int], object] | None = None
) -> None:
    """Copy an open file into one plain file, for its owner only: whole and looked through, or not at all.

    Raises sqlite3.Error, OSError, Unreadable, and what ``progress`` raises, which is called as it goes on.
    """
    _sweep(copy.parent)
    # A name of its own: another Pacer may make the same copy at the same moment.
    partial = Path(f"{copy}.{secrets.token_hex(4)}.partial")
    target = database.connect(partial, "mode=rwc")
    try:
        connection.backup(target, pages=_PAGES, progress=progress)
        target.execute("PRAGMA journal_mode = DELETE")
        must_be_whole(target)
        if database.counts(target) != database.counts(connection):
            raise Unreadable(_("the copy holds something else"))
    except BaseException:
        target.close()
        partial.unlink(missing_ok=True)
        raise
    target.close()
    partial.replace(copy)
    keep_names(copy.parent)


def _sweep(folder: Path) -> None:
    """Remove what copies that were cut off left behind, once it is an hour old."""
    for left in folder.glob("*.partial*"):
        with contextlib.suppress(OSError):
            if time.time() - left.stat().st_mtime > _STALE_S:
                left.unlink()


def must_be_whole(connection: sqlite3.Connection) -> None:
    """Look at every row and every index of an open file. Raises Unreadable, sqlite3.Error."""
    check = str(connection.execute("PRAGMA integrity_check(1)").fetchone()[0])
    if check != "ok":
        raise Unreadable(check)


def _age(path: Path) -> tuple[int, str]:
    with contextlib.suppress(OSError):  # another Pacer may have removed it
        return (path.stat().st_mtime_ns, path.name)
    return (0, path.name)


def version_of(connection: sqlite3.Connection) -> int:
    """How many steps an open file has had. Raises sqlite3.Error."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def _apply(connection: sqlite3.Connection, number: int, step: Migration) -> None:
    """Run one step and note it, all or nothing."""
    with transaction(connection):
        # Looked up under the lock: another Pacer may have taken the step meanwhile.
        if version_of(connection) < number:
            step.apply(connection)
            at = datetime.now(UTC).isoformat(timespec="seconds")
            connection.execute("INSERT INTO migration (name, at) VALUES (?, ?)", (step.name, at))
            connection.execute(f"PRAGMA user_version = {number}")
