"""Deleting for good reaches every table there is: one that came since is found here, whatever its name."""

import sqlite3
from datetime import date
from pathlib import Path

from pacer.log.copying import back_up
from pacer.log.date_span import DateSpan
from pacer.log.day_records import DayRecords
from pacer.log.erase import erase
from pacer.log.migrations import STEPS
from pacer.run.clock import ManualClock
from pacer.run.session import Session

MONDAY_UTC_MS = 1_773_046_800_000  # 9 March 2026, 9:00 UTC
MONDAY = DateSpan(*[date(2026, 3, 9).isoformat()] * 2)
WEEK_MS = 7 * 86_400_000


def of_runs(connection: sqlite3.Connection) -> dict[str, list[tuple[str, str]]]:
    """The tables that name a lesson, each with the names and types of its columns."""
    names = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
    columns = {
        name: [
            (column, kind) for _at, column, kind, *_rest in connection.execute(f"PRAGMA table_info({name})")
        ]
        for (name,) in names
    }
    return {name: held for name, held in columns.items() if "run_id" in dict(held)}


def fill(connection: sqlite3.Connection, run: int) -> None:
    """Put a row about a lesson into every table that may hold one."""
    for table, columns in of_runs(connection).items():
        values = [run if name == "run_id" else "" if kind == "TEXT" else 7 for name, kind in columns]
        marks = ", ".join("?" * len(values))
        connection.execute(f"INSERT OR IGNORE INTO {table} VALUES ({marks})", values)


def left(connection: sqlite3.Connection, run: int) -> dict[str, int]:
    """How many rows each table has about a lesson."""
    count = "SELECT count(*) FROM {} WHERE run_id = ?"
    return {
        name: connection.execute(count.format(name), (run,)).fetchone()[0] for name in of_runs(connection)
    }


def test_no_table_keeps_anything_of_a_deleted_lesson_in_the_file_or_in_a_copy(
    tmp_path: Path, invented
) -> None:
    with DayRecords.open(tmp_path) as records:
        journal, clock = records.journal(), ManualClock(MONDAY_UTC_MS)
        session = Session(clock, journal)
        session.start(invented)
        session.do("end")
        run = journal.run_id
        fill(records.connection, run)
        assert all(left(records.connection, run).values())
        copy = back_up(records.connection, records.path, len(STEPS))
        erase(records, MONDAY, MONDAY_UTC_MS + WEEK_MS)
        assert not any(left(records.connection, run).values())
    copied = sqlite3.connect(copy)
    assert len(of_runs(copied)) >= 4
    assert not any(left(copied, run).values())
    copied.close()
