"""Room made ahead for events: they lie within the log as it is, and nothing else is changed by it."""

import sqlite3
from pathlib import Path

import pytest

from pacer.log import database
from pacer.log.day_records import DayRecords
from pacer.run.clock import ManualClock
from pacer.run.session import Done, Session

NINE_MS = 1_773_046_800_000


@pytest.fixture
def records(tmp_path: Path):
    """Records as every start but the first finds them, with an empty log."""
    DayRecords.open(tmp_path).close()
    with DayRecords.open(tmp_path) as opened:
        yield opened


def log_of(records: DayRecords) -> Path:
    return Path(f"{records.path}-wal")


def contents(path: Path) -> str:
    """All that another program reads in the file."""
    with sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True) as connection:
        return "\n".join(connection.iterdump())


def lived(records: DayRecords, outline, presses: int) -> Session:
    clock = ManualClock(NINE_MS)
    session = Session(clock, records.journal())
    assert isinstance(session.start(outline), Done)
    for _press in range(presses):
        clock.advance(1500)
        assert isinstance(session.do("voice"), Done)
    return session


def test_the_events_of_a_lesson_make_the_log_no_longer(records, invented):
    records.make_room()
    length = log_of(records).stat().st_size
    lived(records, invented, presses=100)
    assert log_of(records).stat().st_size == length


def test_room_is_nothing_that_anybody_reads(records, invented):
    before, size = contents(records.path), records.path.stat().st_size
    records.make_room()
    assert contents(records.path) == before
    assert records.path.stat().st_size == size
    session = lived(records, invented, presses=3)
    with DayRecords.read(records.path.parent) as reader:
        assert reader.events(reader.runs()[0].id) == list(session.events)
        assert reader.notice == ""


def test_room_is_no_change_for_whom_anything_is_read_again(records, invented):
    lived(records, invented, presses=1)
    mark = records.change_mark()
    records.make_room()
    assert records.change_mark() == mark
    lived(records, invented, presses=1)
    assert records.change_mark() != mark


def test_what_is_on_disk_is_there_after_a_kill_and_room_is_not(records, invented, tmp_path):
    """The files as they are while the program runs, in another folder: nobody has closed them."""
    records.make_room()
    session = lived(records, invented, presses=3)
    other = tmp_path / "after a kill"
    other.mkdir()
    for extra in ("", *database.COMPANIONS):
        path = Path(f"{records.path}{extra}")
        (other / path.name).write_bytes(path.read_bytes())
    with DayRecords.open(other) as found:
        assert found.events(found.runs()[0].id) == list(session.events)
        assert found.notice == ""
        assert found.connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_where_there_is_no_room_nothing_is_said_and_events_are_written_all_the_same(records, invented):
    with sqlite3.connect(records.path, isolation_level=None) as other:
        other.execute("BEGIN IMMEDIATE")
        records.make_room()
        other.execute("ROLLBACK")
    assert not records.connection.in_transaction
    assert len(lived(records, invented, presses=3).events) == 4


def test_records_that_can_only_be_read_are_left_alone(records):
    with DayRecords.read(records.path.parent) as reader:
        reader.make_room()
    assert log_of(records).stat().st_size == 0
