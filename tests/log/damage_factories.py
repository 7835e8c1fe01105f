"""A small file of day records, and ways to damage it."""

import sqlite3
from pathlib import Path

from pacer.log.accepted import KIND_TABLE
from pacer.log.database import FILE_NAME
from pacer.log.day_records import DayRecords
from pacer.log.imported import ImportedEnding
from pacer.run.clock import ManualClock
from pacer.run.corrections import TomorrowNoted
from pacer.run.session import Session

MONDAY_UTC_MS = 1_773_046_800_000  # 9 March 2026, 9:00 UTC
DAY_MS = 86_400_000


def teach(records: DayRecords, outline, day: int = 0, presses: int = 6) -> int:
    """A lesson that ended, so many days after Monday; it has two events more than presses."""
    clock, journal = ManualClock(MONDAY_UTC_MS + day * DAY_MS), records.journal()
    session = Session(clock, journal)
    session.start(outline)
    for _press in range(presses):
        clock.advance(700)
        session.do("voice")
    session.do("end")
    assert journal.run_id is not None
    assert session.unsaved == 0
    return journal.run_id


def write_records(folder: Path, outline, lessons: int = 3, presses: int = 6) -> Path:
    """A file with lessons and a row in every other table; returns its path."""
    with DayRecords.open(folder) as records:
        runs = [teach(records, outline, day, presses) for day in range(lessons)]
        records.after().say(runs[0], TomorrowNoted(text="Number lines again"), MONDAY_UTC_MS + DAY_MS)
        records.trash().put([runs[-1]], MONDAY_UTC_MS + 9 * DAY_MS)
        ending = ImportedEnding("2025-03-09", "Review", "review", 120.0, 130.5, "done")
        records.imported().add([ending], "past.csv", "0123", MONDAY_UTC_MS)
        records.accepted().add(utc_ms=MONDAY_UTC_MS, target=KIND_TABLE, phase="", kind="review",
                               old_s=120, new_s=150, lessons=9, cut_off=1)  # fmt: skip
    return folder / FILE_NAME


def all_rows(connection: sqlite3.Connection) -> dict[str, list[tuple]]:
    """What is in each table that can't be worked out again."""
    names = ("run", "event", "after_event", "trash", "import_batch", "imported_ending", "accepted_budget")
    return {name: sorted(connection.execute(f"SELECT * FROM {name}").fetchall()) for name in names}


def root_page(path: Path, table: str) -> int:
    """The page where a table begins."""
    connection = sqlite3.connect(path)
    ((page,),) = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)).fetchall()
    connection.close()
    return page


def flip(path: Path, at: int, pattern: int = 0xFF) -> None:
    """Change one byte."""
    content = bytearray(path.read_bytes())
    content[at] ^= pattern
    path.write_bytes(content)


def wipe_page(path: Path, number: int, size: int = 4096) -> None:
    """Overwrite a page with what is nothing."""
    content = bytearray(path.read_bytes())
    content[(number - 1) * size : number * size] = b"\xa5" * size
    path.write_bytes(content)
