"""Accepted budgets are written one by one, read back as they were, and never changed."""

import sqlite3

import pytest

from pacer.log import database
from pacer.log.accepted import Accepted, AcceptedBudgets
from pacer.log.database import UnwritableFolder
from pacer.log.day_records import DayRecords

FIRST = {
    "utc_ms": 1_790_000_000_000, "target": "thirds.toml", "phase": "review", "kind": "review",
    "old_s": 180, "new_s": 255, "lessons": 8, "cut_off": 2,
}  # fmt: skip
SECOND = FIRST | {"target": "kinds", "phase": "", "kind": "modeling", "new_s": 480, "cut_off": 0}


@pytest.fixture
def records(tmp_path):
    with DayRecords.open(tmp_path) as opened:
        yield opened


def log_of(records: DayRecords) -> AcceptedBudgets:
    return AcceptedBudgets(records)


def test_what_was_accepted_is_read_back_in_order_also_after_closing(tmp_path):
    with DayRecords.open(tmp_path) as records:
        assert log_of(records).add(**FIRST) == Accepted(1, *FIRST.values())
        log_of(records).add(**SECOND)
    with DayRecords.open(tmp_path) as records:
        assert log_of(records).all() == [Accepted(1, *FIRST.values()), Accepted(2, *SECOND.values())]


def test_the_place_of_a_kind_is_its_kind_and_of_a_phase_its_outline_and_id(records):
    assert log_of(records).add(**FIRST).place == ("thirds.toml", "review")
    assert log_of(records).add(**SECOND).place == ("kinds", "modeling")


def test_together_with_what_fails_nothing_was_accepted(records):
    def accept_and_fail() -> None:
        with log_of(records).together():
            log_of(records).add(**FIRST)
            raise OSError("the outline can't be written")

    with pytest.raises(OSError, match="the outline"):
        accept_and_fail()
    assert log_of(records).all() == []
    log_of(records).add(**SECOND)
    assert [one.kind for one in log_of(records).all()] == ["modeling"]


@pytest.mark.parametrize(
    ("column", "value"),
    [("old_s", 0), ("new_s", -15), ("new_s", 90_000), ("utc_ms", -1), ("lessons", "many"), ("cut_off", -1),
     ("kind", b"\xff")],
)  # fmt: skip
def test_a_damaged_one_does_not_hide_the_others(records, column, value):
    log_of(records).add(**FIRST)
    log_of(records).add(**SECOND)
    records.connection.execute(f"UPDATE accepted_budget SET {column} = ? WHERE id = 1", (value,))
    assert [one.id for one in log_of(records).all()] == [2]


def test_day_records_that_were_moved_away_take_nothing_and_say_so(tmp_path):
    with DayRecords.open(tmp_path) as records:
        records.path.rename(tmp_path / "elsewhere.sqlite3")
        with pytest.raises(UnwritableFolder, match="were moved or deleted"):
            log_of(records).add(**FIRST)
        with pytest.raises(UnwritableFolder, match="were moved or deleted"), log_of(records).together():
            pytest.fail("what goes with a note must not be begun where none can be written")


def test_trouble_of_the_database_is_told_in_plain_words(records):
    records.connection.execute("DROP TABLE accepted_budget")
    with pytest.raises(database.LogError) as told:
        log_of(records).all()
    assert not isinstance(told.value, sqlite3.Error)
    assert str(records.path) in str(told.value)
