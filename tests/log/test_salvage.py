"""Saving what can be read: all but what the damage touched, and never another lesson than was taught."""

import shutil
import sqlite3
from itertools import combinations

import pytest

from pacer.log.database import FILE_NAME
from pacer.log.day_records import DamagedRecord, DayRecords
from pacer.log.migrations import STEPS, upgrade_copy
from pacer.log.salvage import salvage, shapes
from tests.log.damage_factories import all_rows, flip, root_page, wipe_page, write_records


def fresh() -> sqlite3.Connection:
    connection = sqlite3.connect(":memory:", isolation_level=None)
    upgrade_copy(connection, STEPS)
    return connection


@pytest.fixture
def path(tmp_path, invented):
    return write_records(tmp_path / "data", invented)


def rows_of(path) -> dict[str, list[tuple]]:
    connection = sqlite3.connect(path)
    found = all_rows(connection)
    connection.close()
    return found


def test_every_row_of_a_whole_file_is_read(path):
    new = fresh()
    found = salvage(path, new)
    assert all_rows(new) == rows_of(path)
    assert (found.events, found.lessons, found.missing, found.damaged) == (24, 3, 0, 0)


def test_rows_of_no_two_tables_look_alike():
    """Else a row would be put into the wrong one: a new table needs another number or kinds of columns."""
    for one, other in combinations(shapes(fresh()), 2):
        told_by = (one.types, one.row_id, one.has_row_ids)
        assert told_by != (other.types, other.row_id, other.has_row_ids), (one.table, other.table)


def test_without_its_first_page_a_file_still_gives_every_row(path):
    whole = rows_of(path)
    wipe_page(path, 1)
    new = fresh()
    salvage(path, new)
    assert all_rows(new) == whole


@pytest.mark.slow
def test_without_the_page_above_all_events_they_are_all_read(tmp_path, invented):
    """SQLite finds none of them then; the few that lay on that page itself are gone."""
    path = write_records(tmp_path / "data", invented, lessons=4, presses=150)
    assert len(rows_of(path)["event"]) == 608
    wipe_page(path, root_page(path, "event"))
    new = fresh()
    found = salvage(path, new)
    assert 580 < found.events < 608
    assert found.events + found.missing == 608


def test_the_write_ahead_log_counts_up_to_its_last_whole_transaction(tmp_path, invented):
    folder, copied = tmp_path / "data", tmp_path / "copied"
    write_records(folder, invented)
    copied.mkdir()
    with DayRecords.open(folder) as records:
        whole_before = all_rows(records.connection)
        records.after().say(2, records.after().of(1)[0].body, 1_773_100_000_000)
        for file in folder.iterdir():
            if file.is_file():
                shutil.copy(file, copied)
        whole = all_rows(records.connection)
    assert whole != whole_before
    new = fresh()
    salvage(copied / FILE_NAME, new)
    assert all_rows(new) == whole
    log = copied / f"{FILE_NAME}-wal"
    log.write_bytes(log.read_bytes()[:-5000])  # its last transaction is cut off
    new = fresh()
    salvage(copied / FILE_NAME, new)
    assert all_rows(new) == whole_before


def test_a_lesson_with_a_hole_is_damaged_and_the_others_are_whole(tmp_path, invented):
    path = write_records(tmp_path / "data", invented, lessons=4, presses=150)
    pages = path.stat().st_size // 4096
    content = path.read_bytes()
    # A page in the midst of the second lesson's events.
    inside = next(
        n for n in range(2, pages + 1)
        if content[(n - 1) * 4096] == 0x0A and content[(n - 1) * 4096 : n * 4096].count(b'"voice"') > 20
    )  # fmt: skip
    wipe_page(path, inside)
    with DayRecords.open(tmp_path / "data") as records:
        assert len(records.runs()) == 3
        assert len(records.trashed_runs()) == 1
        damaged = []
        for row in [*records.runs(), *records.trashed_runs()]:
            try:
                assert len(records.events(row.id)) == 152
            except DamagedRecord:
                damaged.append(row.id)
        assert 1 <= len(damaged) <= 2
        assert "of about 608 events of 4 lessons can be read." in records.notice
        assert "called damaged" in records.notice


def test_a_lost_end_of_a_lesson_is_seen_by_its_kept_day(path):
    connection = sqlite3.connect(path)
    connection.execute("INSERT INTO day_worked_out VALUES (1, '9.7.0', '{}')")
    connection.execute("DELETE FROM event WHERE run_id = 1 AND seq > 4")
    connection.commit()
    connection.close()
    flip(path, 5)
    with DayRecords.open(path.parent) as records:
        assert "21 of about 24 events" in records.notice
        with pytest.raises(DamagedRecord):
            records.events(1)
        assert len(records.events(2)) == 8


def test_a_lesson_lost_from_the_list_is_listed_by_its_own_first_event(path):
    whole = rows_of(path)
    wipe_page(path, root_page(path, "run"))
    new = fresh()
    salvage(path, new)
    assert all_rows(new)["run"] == whole["run"]


def test_a_lesson_whose_list_and_beginning_are_lost_is_shown_as_damaged(path):
    connection = sqlite3.connect(path)
    connection.execute("DELETE FROM run WHERE id = 2")
    connection.execute("DELETE FROM event WHERE run_id = 2 AND seq = 0")
    connection.commit()
    connection.close()
    flip(path, 5)
    with DayRecords.open(path.parent) as records:
        assert "Lesson whose beginning is lost" in [row.title for row in records.runs()]
        with pytest.raises(DamagedRecord):
            records.events(2)


def test_what_is_lost_comes_from_the_copy_but_not_what_is_of_another_lesson(path):
    whole = rows_of(path)
    copy = sqlite3.connect(":memory:")
    now = sqlite3.connect(path, isolation_level=None)
    now.backup(copy)
    # In the copy, number 3 is another lesson, and there is one in the trash that was taken out since.
    copy.execute("UPDATE run SET started_utc_ms = started_utc_ms - 1 WHERE id = 3")
    copy.execute("UPDATE event SET body = '{}' WHERE run_id = 3")
    now.execute("DELETE FROM event WHERE run_id = 2 AND seq IN (2, 7)")
    now.execute("DELETE FROM event WHERE run_id = 3 AND seq = 4")
    now.execute("DELETE FROM trash")
    now.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    now.close()
    new = fresh()
    found = salvage(path, new, copy)
    rows = all_rows(new)
    assert [row for row in rows["event"] if row[0] == 2] == [row for row in whole["event"] if row[0] == 2]
    assert 4 not in [row[1] for row in rows["event"] if row[0] == 3]
    assert rows["trash"] == []
    assert (found.filled, found.missing, found.damaged) == (2, 1, 1)
    copy.close()
