"""Imported endings: all new rows of a file in one transaction, none of them twice."""

import sqlite3
from contextlib import closing

import pytest

from pacer.log.database import LogError, UnwritableFolder
from pacer.log.day_records import DayRecords
from pacer.log.imported import Imported, ImportedEnding

ROWS = [
    ImportedEnding("2025-09-01", "warm-up", "warm-up", 120.0, 150.5, "done"),
    ImportedEnding("2025-09-01", "review", "review", 180.0, 170.0, "moved on"),
]
MORE = ImportedEnding("2025-09-02", "warm-up", "warm-up", 120.0, 130.0, "bell")


@pytest.fixture
def records(tmp_path):
    with DayRecords.open(tmp_path) as opened:
        yield opened


def asked(records: DayRecords, query: str) -> list[tuple]:
    """Read or change the file by another way than the program's."""
    with closing(sqlite3.connect(records.path, isolation_level=None)) as own:
        return own.execute(query).fetchall()


def held(records: DayRecords) -> list[ImportedEnding]:
    return [row for _batch, row in records.imported().all()]


def test_what_was_imported_is_read_back_as_it_was_also_after_closing(tmp_path):
    with DayRecords.open(tmp_path) as records:
        assert records.imported().add(ROWS, "old.csv", "aa", 1_790_000_000_000) == Imported(1, 2)
    with DayRecords.open(tmp_path) as records:
        assert records.imported().all() == [(1, ROWS[0]), (1, ROWS[1])]
        batch = asked(records, "SELECT file, content_sha256, imported_utc_ms FROM import_batch")
        assert batch == [("old.csv", "aa", 1_790_000_000_000)]


def test_the_same_content_is_imported_once_whatever_the_file_is_called(records):
    records.imported().add(ROWS, "old.csv", "aa", 1)
    again = records.imported().add(ROWS, "copy of old.csv", "aa", 2)
    assert again == Imported(None, 0, 2, twice=True, earlier_file="old.csv")
    assert held(records) == ROWS


def test_a_longer_copy_of_an_earlier_file_only_adds_what_is_new_in_it(records):
    records.imported().add(ROWS, "old.csv", "aa", 1)
    assert records.imported().add([*ROWS, MORE], "longer.csv", "bb", 2) == Imported(2, 1, known=2)
    assert held(records) == [*ROWS, MORE]


def test_equal_rows_of_one_file_are_all_kept_and_a_third_one_counts_as_new(records):
    assert records.imported().add([MORE, MORE], "a.csv", "aa", 1).added == 2
    assert records.imported().add([MORE, MORE, MORE], "b.csv", "bb", 2) == Imported(2, 1, known=2)
    assert held(records) == [MORE] * 3


def test_a_file_whose_rows_are_all_known_leaves_no_batch_behind(records):
    records.imported().add(ROWS, "old.csv", "aa", 1)
    assert records.imported().add(ROWS[::-1], "turned.csv", "bb", 2) == Imported(None, 0, known=2)
    assert asked(records, "SELECT count(*) FROM import_batch") == [(1,)]


def test_a_failure_half_way_leaves_nothing_of_the_file(records):
    """A trigger refuses the last row: what stands before it must go too."""
    asked(
        records,
        "CREATE TRIGGER full BEFORE INSERT ON imported_ending WHEN NEW.number = 1 "
        "BEGIN SELECT RAISE(ABORT, 'no room'); END",
    )
    with pytest.raises(LogError, match="no room"):
        records.imported().add(ROWS, "old.csv", "aa", 1)
    assert held(records) == []
    assert asked(records, "SELECT count(*) FROM import_batch") == [(0,)]
    asked(records, "DROP TRIGGER full")  # no transaction is left open that would forbid it
    assert records.imported().add(ROWS, "old.csv", "aa", 1).added == 2


def test_a_file_that_cannot_be_written_or_was_moved_away_is_told_and_nothing_is_lost(records, tmp_path):
    records.can_write, records.notice = False, "read only"
    with pytest.raises(UnwritableFolder, match="read only"):
        records.imported().add(ROWS, "old.csv", "aa", 1)
    records.can_write = True
    records.path.rename(tmp_path / "elsewhere.sqlite3")
    with pytest.raises(UnwritableFolder, match="moved or deleted"):
        records.imported().add(ROWS, "old.csv", "aa", 1)


@pytest.mark.parametrize(
    "change",
    ["date = 'yesterday'", "date = '20250901'", "ending = 'burned'", "actual_s = 'long'", "phase = x'ff'"],
)
def test_a_row_that_somebody_damaged_does_not_hide_the_others(records, change):
    records.imported().add([*ROWS, MORE], "old.csv", "aa", 1)
    asked(records, f"UPDATE imported_ending SET {change} WHERE number = 0")
    assert held(records) == [ROWS[1], MORE]


def test_another_program_that_holds_the_file_is_told_in_plain_words(records, tmp_path):
    other = sqlite3.connect(records.path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(LogError, match="Another program is using the day records"):
        records.imported().add(ROWS, "old.csv", "aa", 1)
    other.execute("ROLLBACK")
    other.close()
    assert records.imported().add(ROWS, "old.csv", "aa", 1).added == 2
