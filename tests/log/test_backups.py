"""Daily copies: made beside the work, looked through, kept for a while, and brought back whole."""

import errno
import os
import sqlite3
import stat
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from threading import Thread
from unittest.mock import Mock

import pytest

from pacer.log import backups, copying, database
from pacer.log.backups import Copy, copies, copy_today, difference, is_due, no_copying, restore
from pacer.log.database import FILE_NAME, LockedDatabase, LogError
from pacer.log.date_span import DateSpan
from pacer.log.day_records import DayRecords
from pacer.log.erase import erase
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from tests.log.damage_factories import DAY_MS, MONDAY_UTC_MS, all_rows, teach, wipe_page, write_records

TODAY = date(2026, 3, 20)


@pytest.fixture
def path(tmp_path, invented) -> Path:
    return write_records(tmp_path, invented)


def names(path: Path) -> list[str]:
    return sorted(copy.name for copy in (path.parent / "backups").iterdir())


def held(path: Path) -> dict[str, list[tuple]]:
    connection = sqlite3.connect(path)
    found = all_rows(connection)
    connection.close()
    return found


def test_a_days_copy_holds_all_and_is_its_owners_alone(path):
    assert is_due(path, TODAY)
    assert copy_today(path, TODAY)
    assert not is_due(path, TODAY)
    copy = path.parent / "backups" / "day-records-2026-03-20.sqlite3"
    assert names(path) == [copy.name]
    assert held(copy) == held(path)
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    assert stat.S_IMODE(copy.parent.stat().st_mode) == 0o700


def test_it_is_of_one_moment_while_a_lesson_is_written(path, invented):
    """What was acknowledged before is in it, and the lesson goes on beside it."""
    with DayRecords.open(path.parent) as records:
        clock = ManualClock(MONDAY_UTC_MS + 11 * DAY_MS)
        session = Session(clock, records.journal())
        session.start(invented)
        before = held(path)["event"]
        copying = Thread(target=copy_today, args=(path, TODAY))
        copying.start()
        while copying.is_alive():
            clock.advance(700)
            session.do("voice")
        copying.join()
        assert session.unsaved == 0
        copied = held(path.parent / "backups" / "day-records-2026-03-20.sqlite3")["event"]
        assert copied[: len(before)] == before
        assert copied == sorted(held(path)["event"])[: len(copied)]


def test_ten_days_and_the_first_of_six_months_are_kept(path):
    for days in range(300):
        copy_today_quickly(path, date(2025, 9, 3) + timedelta(days=days))
    kept = [name.removeprefix("day-records-").removesuffix(".sqlite3") for name in names(path)]
    last = date(2025, 9, 3) + timedelta(days=299)
    days = [(last - timedelta(days=back)).isoformat() for back in range(10)]
    firsts = ["2026-01-01", "2026-02-01", "2026-03-01", "2026-04-01", "2026-05-01", "2026-06-01"]
    assert kept == sorted({*days, *firsts})


def copy_today_quickly(path: Path, day: date) -> None:
    """A copy's name alone, and what is done after one was made."""
    folder = path.parent / "backups"
    folder.mkdir(exist_ok=True)
    (folder / f"day-records-{day.isoformat()}.sqlite3").touch()
    backups._remove_old(path)


def test_no_older_copy_goes_before_the_new_one_was_looked_through(path, monkeypatch):
    for days in range(10):
        copy_today_quickly(path, date(2026, 3, 10) + timedelta(days=days))
    before = names(path)

    def refuse(_connection: sqlite3.Connection) -> None:
        raise database.Unreadable("a page is missing")

    monkeypatch.setattr(copying, "must_be_whole", refuse)
    with pytest.raises(LogError, match=r"could not be made .*a page is missing"):
        copy_today(path, TODAY)
    assert names(path) == before


def test_records_without_a_lesson_push_no_copy_out(tmp_path):
    DayRecords.open(tmp_path).close()
    assert not copy_today(tmp_path / FILE_NAME, TODAY)
    assert not (tmp_path / "backups").exists()


def test_where_no_copy_can_be_made_it_says_so(path):
    (path.parent / "backups").write_text("a file in the way")
    with pytest.raises(LogError, match="Today's copy of the day records could not be made"):
        copy_today(path, TODAY)


def test_a_copy_that_is_asked_to_stop_leaves_nothing(path, monkeypatch):
    real = copying.write_copy

    def stopped(source, copy, look):
        backups.stop_copying()
        real(source, copy, look)

    monkeypatch.setattr(copying, "write_copy", stopped)
    assert not copy_today(path, TODAY)
    assert names(path) == []
    with no_copying():
        pass  # nobody holds it any more
    monkeypatch.undo()
    assert copy_today(path, TODAY)


def test_what_is_deleted_for_good_leaves_the_daily_copies_and_those_of_a_restore(path, invented):
    copy_today(path, TODAY)
    with DayRecords.open(path.parent) as records:
        restore(records, path.parent / "backups" / "day-records-2026-03-20.sqlite3", TODAY)
        copy_today(path, TODAY)
        monday = date(2026, 3, 9).isoformat()
        done = erase(records, DateSpan(monday, monday), MONDAY_UTC_MS + 90 * DAY_MS)
    assert (done.lessons, done.copies, done.left) == (1, 2, ())
    assert len(names(path)) == 2
    for name in names(path):
        assert {row[0] for row in held(path.parent / "backups" / name)["event"]} == {2, 3}


# Bringing one back.


def listed(path: Path, name: str) -> Copy:
    return next(copy for copy in copies(path) if copy.name == name)


def test_a_copy_is_brought_back_whole_and_what_was_there_is_kept(path, invented):
    copy_today(path, TODAY)
    then = held(path)
    with DayRecords.open(path.parent) as records:
        teach(records, invented, 20)
        records.trash().take_out(3)
        records.after().take_back(1, 0, MONDAY_UTC_MS + 30 * DAY_MS)
        now = all_rows(records.connection)
        copy, mark = listed(path, "2026-03-20"), records.change_mark()
        change = difference(records, copy)
        assert [lesson.id for lesson in change.lost] == [4]
        assert [lesson.id for lesson in change.gained] == []
        assert [lesson.id for lesson in change.changed] == [1]
        kept = restore(records, copy.path, TODAY)
        assert all_rows(records.connection) == then
        assert records.change_mark() != mark
        assert held(kept) == now
        assert is_due(path, TODAY)
        teach(records, invented, 21)  # and it is written to as before
        back = next(each for each in copies(path) if each.path == kept)
        restore(records, back.path, TODAY)
        assert all_rows(records.connection) == now
        assert records.connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_of_what_was_there_before_the_newest_ten_are_kept_even_within_a_second(path, monkeypatch):
    """Ours: by name the tenth came before the second, and went at once."""
    one_second = datetime(2026, 3, 20, 9, 0, tzinfo=UTC)
    monkeypatch.setattr("pacer.log.database.datetime", Mock(now=lambda _zone: one_second))
    copy_today(path, TODAY)
    (copy,) = copies(path)
    with DayRecords.open(path.parent) as records:
        for time in range(12):
            kept = restore(records, copy.path, TODAY + timedelta(days=1))
            assert kept.exists()
            assert len(names(path)) == 1 + min(time + 1, 10)


def test_a_copy_of_an_older_pacer_is_brought_up_to_date(path):
    copy_today(path, TODAY)
    copy = path.parent / "backups" / "day-records-2026-03-20.sqlite3"
    connection = sqlite3.connect(copy, isolation_level=None)
    for table in ("after_event", "trash", "accepted_budget", "day_worked_out"):
        connection.execute(f"DROP TABLE {table}")
    connection.execute("DELETE FROM migration WHERE name = 'after school'")
    connection.execute("PRAGMA user_version = 2")
    connection.close()
    assert len(listed(path, "2026-03-20").lessons) == 3
    with DayRecords.open(path.parent) as records:
        restore(records, copy, TODAY)
        assert len(records.runs()) == 3
        assert records.after().all() == {}


@pytest.mark.parametrize("spoil", ["damaged", "trigger", "foreign"])
def test_a_copy_that_is_not_whole_is_named_and_nothing_is_changed(path, spoil):
    copy_today(path, TODAY)
    copy = path.parent / "backups" / "day-records-2026-03-20.sqlite3"
    if spoil == "damaged":
        wipe_page(copy, 3)
    elif spoil == "foreign":
        copy.write_bytes(b"no records " * 999)
    else:
        connection = sqlite3.connect(copy)
        connection.execute("CREATE TRIGGER trap BEFORE INSERT ON event BEGIN SELECT 1; END")
        connection.close()
    before = held(path)
    assert "choose another one" in listed(path, "2026-03-20").trouble
    with DayRecords.open(path.parent) as records:
        with pytest.raises(LogError, match="choose another one"):
            restore(records, copy, TODAY)
        assert all_rows(records.connection) == before
    assert names(path) == [copy.name]


def test_nothing_is_brought_back_over_a_lesson_that_has_not_ended(path, invented):
    copy_today(path, TODAY)
    with DayRecords.open(path.parent) as records:
        Session(ManualClock(MONDAY_UTC_MS + 11 * DAY_MS), records.journal()).start(invented)
        with pytest.raises(LogError, match="has not ended: end it on Today first"):
            restore(records, listed(path, "2026-03-20").path, TODAY)
        assert len(records.runs()) == 3


def test_nothing_is_brought_back_while_another_pacer_has_the_records(path):
    copy_today(path, TODAY)
    with DayRecords.open(path.parent) as window, DayRecords.open(path.parent) as verb:
        with pytest.raises(LockedDatabase, match="Close it, then try again"):
            restore(verb, listed(path, "2026-03-20").path, TODAY)
        assert len(window.runs()) == 2


def test_what_turns_out_wrong_at_the_end_is_taken_back(path, invented, monkeypatch):
    copy_today(path, TODAY)
    with DayRecords.open(path.parent) as records:
        teach(records, invented, 20)
        before = all_rows(records.connection)
        real = copying.must_be_whole

        def refuse(connection: sqlite3.Connection) -> None:
            real(connection)
            if connection is records.connection:
                raise database.Unreadable("a page is missing")

        monkeypatch.setattr(copying, "must_be_whole", refuse)
        with pytest.raises(LogError, match="The day records are as they were"):
            restore(records, listed(path, "2026-03-20").path, TODAY)
        assert all_rows(records.connection) == before


def test_a_damaged_file_takes_from_the_newest_copy_what_it_lost(path):
    copy_today(path, TODAY)
    whole = held(path)
    content = path.read_bytes()
    for number in range(2, len(content) // 4096 + 1):
        if b'"voice"' in content[(number - 1) * 4096 : number * 4096]:
            wipe_page(path, number)
    with DayRecords.open(path.parent) as records:
        assert all_rows(records.connection) == whole
        assert "come from a copy" in records.notice


@pytest.fixture(params=["once", "always"])
def unread(path, monkeypatch, request) -> Path:
    """The copy of today; its folder can't be listed, as on a disk that fails or where a right was taken."""
    assert copy_today(path, TODAY)
    (copy,) = copies(path)
    listed, scanned, asked = os.listdir, os.scandir, []

    def refusing(real):
        def read(place="."):
            if Path(place) == copy.path.parent and (request.param == "always" or not asked):
                asked.append(place)
                raise OSError(errno.EIO, os.strerror(errno.EIO))
            return real(place)

        return read

    monkeypatch.setattr(os, "listdir", refusing(listed))
    monkeypatch.setattr(os, "scandir", refusing(scanned))
    return copy.path


def test_a_copy_is_brought_back_where_the_older_ones_can_t_be_counted(path, unread):
    before = held(unread)
    with DayRecords.open(path.parent) as records:
        kept = restore(records, unread, TODAY + timedelta(days=1))
    assert kept.exists()
    assert held(path) == before


def test_a_day_s_copy_is_made_where_the_older_ones_can_t_be_counted(path, unread):
    tomorrow = TODAY + timedelta(days=1)
    assert copy_today(path, tomorrow)
    assert unread.with_name(f"{path.stem}-{tomorrow}{path.suffix}").exists()


def test_what_is_deleted_for_good_may_still_be_in_copies_that_can_t_be_looked_through_and_that_is_told(
    path, unread
):
    with DayRecords.open(path.parent) as records:
        done = erase(records, DateSpan("2026-01-01", "2026-12-31"), MONDAY_UTC_MS + 40 * DAY_MS)
        assert done.lessons
        assert records.runs() == []
    (left,) = done.left
    assert str(unread.parent) in left
    assert "may hold what you deleted" in left
