"""Bringing day records up to date: each step whole or not at all, with a copy kept before."""

import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from pacer.log import day_records, migrations
from pacer.log.copying import back_up
from pacer.log.database import LogError, UnwritableFolder
from pacer.log.day_records import DayRecords
from pacer.log.migrations import STEPS, Migration, upgrade
from pacer.run.clock import ManualClock
from pacer.run.session import Session


def add_room(connection: sqlite3.Connection) -> None:
    connection.execute("ALTER TABLE run ADD COLUMN room TEXT NOT NULL DEFAULT ''")
    connection.execute("UPDATE run SET room = 'library'")


def add_room_and_fail(connection: sqlite3.Connection) -> None:
    add_room(connection)
    connection.execute("DELETE FROM event")
    connection.execute("CREATE TABLE event (this_name_is_taken)")


NEXT = Migration("a room for each run", add_room)
NOW, NAMES = len(STEPS), [step.name for step in STEPS]


@pytest.fixture
def folder(tmp_path: Path, invented) -> Path:
    """Day records of this version with one lesson."""
    with DayRecords.open(tmp_path) as records:
        session = Session(ManualClock(1_773_046_800_000), records.journal())
        session.start(invented)
        session.do("voice")
    return tmp_path


def use_steps(monkeypatch: pytest.MonkeyPatch, *more: Migration) -> None:
    monkeypatch.setattr(migrations, "STEPS", (*STEPS, *more))


def looked_up(folder: Path, query: str) -> list[tuple]:
    connection = sqlite3.connect(folder / "day-records.sqlite3")
    found = connection.execute(query).fetchall()
    connection.close()
    return found


def noted(folder: Path) -> list[str]:
    return [name for (name,) in looked_up(folder, "SELECT name FROM migration ORDER BY rowid")]


def copies(folder: Path) -> list[Path]:
    return sorted((folder / "backups").glob("*"))


def test_a_fresh_file_notes_its_steps_and_needs_no_copy(folder):
    assert looked_up(folder, "PRAGMA user_version") == [(NOW,)]
    assert noted(folder) == NAMES
    assert copies(folder) == []


def test_an_older_file_is_copied_then_brought_up_to_date(folder, monkeypatch):
    use_steps(monkeypatch, NEXT)
    with DayRecords.open(folder) as records:
        assert len(records.events(1)) == 2
    assert looked_up(folder, "SELECT room FROM run") == [("library",)]
    assert looked_up(folder, "PRAGMA user_version") == [(NOW + 1,)]
    assert noted(folder) == [*NAMES, "a room for each run"]
    (copy,) = copies(folder)
    old = sqlite3.connect(copy)
    assert old.execute("PRAGMA user_version").fetchone() == (NOW,)
    assert old.execute("SELECT count(*) FROM event").fetchone() == (2,)
    old.close()


def test_a_step_that_fails_in_its_middle_leaves_the_old_version_whole(folder, monkeypatch):
    before = looked_up(folder, "SELECT * FROM event"), looked_up(folder, "SELECT sql FROM sqlite_master")
    with monkeypatch.context() as patch:
        use_steps(patch, Migration("a room for each run", add_room_and_fail))
        with pytest.raises(LogError, match="already exists"):
            DayRecords.open(folder)
    assert looked_up(folder, "PRAGMA user_version") == [(NOW,)]
    assert noted(folder) == NAMES
    assert (
        looked_up(folder, "SELECT * FROM event"),
        looked_up(folder, "SELECT sql FROM sqlite_master"),
    ) == before
    with DayRecords.open(folder) as records:
        assert len(records.events(1)) == 2


def test_steps_before_the_failing_one_stay_done(folder, monkeypatch):
    use_steps(monkeypatch, NEXT, Migration("breaks", add_room_and_fail))
    with pytest.raises(LogError):
        DayRecords.open(folder)
    assert looked_up(folder, "PRAGMA user_version") == [(NOW + 1,)]
    assert looked_up(folder, "SELECT count(*) FROM event") == [(2,)]


def test_a_copy_holds_what_is_still_in_the_write_ahead_log(folder):
    with DayRecords.open(folder) as records:
        session = Session(ManualClock(1_773_046_900_000), records.journal_of(1), records.events(1))
        session.do("voice")
        copy = back_up(records.connection, records.path, 1)
        held = sqlite3.connect(copy)
        assert held.execute("SELECT count(*) FROM event").fetchone() == (len(session.events),)
        held.close()


def test_the_newest_ten_copies_are_kept(folder):
    with DayRecords.open(folder) as records:
        made = [back_up(records.connection, records.path, 1) for _copy in range(12)]
    assert copies(folder) == sorted(made[-10:])


def test_without_room_for_a_copy_nothing_is_changed(folder, monkeypatch):
    (folder / "backups").write_text("a file in the way")
    with monkeypatch.context() as patch:
        use_steps(patch, NEXT)
        with pytest.raises(UnwritableFolder, match="no copy could be kept first"):
            DayRecords.open(folder)
    assert looked_up(folder, "PRAGMA user_version") == [(NOW,)]
    with DayRecords.open(folder) as records:
        assert len(records.events(1)) == 2


def test_a_copy_that_fails_half_way_leaves_no_copy_behind(folder):
    """SQLite refuses to copy a closed file: the quickest way to fail after the copy was begun."""
    connection = sqlite3.connect(folder / "day-records.sqlite3")
    connection.close()
    with pytest.raises(sqlite3.ProgrammingError):
        back_up(connection, folder / "day-records.sqlite3", 1)
    assert copies(folder) == []


def test_a_step_taken_meanwhile_by_another_program_is_not_taken_twice(folder):
    first, second = (
        sqlite3.connect(folder / "day-records.sqlite3", isolation_level=None) for _each in range(2)
    )

    def after_the_other(connection: sqlite3.Connection) -> None:
        raise AssertionError("the step was taken already")

    upgrade(first, folder / "day-records.sqlite3", [*STEPS, NEXT])
    migrations._apply(second, NOW + 1, replace(NEXT, apply=after_the_other))
    assert second.execute("SELECT count(*) FROM migration").fetchone() == (NOW + 1,)
    first.close()
    second.close()


def test_a_step_that_cannot_be_noted_is_not_taken(folder, monkeypatch):
    """A name that was noted before can't be noted again."""
    use_steps(monkeypatch, replace(NEXT, name="first tables"))
    with pytest.raises(LogError):
        DayRecords.open(folder)
    assert "room" not in looked_up(folder, "SELECT sql FROM sqlite_master WHERE name = 'run'")[0][0]
    assert looked_up(folder, "PRAGMA user_version") == [(NOW,)]


def test_a_file_of_the_first_version_gains_the_table_of_imported_endings_and_keeps_its_lessons(
    tmp_path, invented
):
    path = tmp_path / "day-records.sqlite3"
    connection = sqlite3.connect(path, isolation_level=None)
    upgrade(connection, path, STEPS[:1])
    journal = day_records.RunJournal(DayRecords(connection, path, True, ""))
    session = Session(ManualClock(1_773_046_800_000), journal)
    session.start(invented)
    connection.close()
    assert looked_up(tmp_path, "PRAGMA user_version") == [(1,)]
    with DayRecords.open(tmp_path) as records:
        assert [row.title for row in records.runs()] == [invented.title]
        assert records.events(1) == list(session.events)
        assert records.imported().all() == []
    assert len(copies(tmp_path)) == 1
