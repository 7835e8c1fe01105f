"""The tables of the day records, step by step: brings a file up to date."""

import sqlite3
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from pacer.log.copying import back_up
from pacer.log.database import APPLICATION_ID, transaction


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
