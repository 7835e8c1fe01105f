"""Deleting for good: the lessons of the chosen dates go, with all that hangs on them, from every byte."""

import errno
import os
import sqlite3
from datetime import date
from pathlib import Path

import pytest

from pacer.log import database
from pacer.log.accepted import AcceptedBudgets
from pacer.log.copying import back_up
from pacer.log.database import LockedDatabase, UnwritableFolder
from pacer.log.date_span import DateSpan, school_year
from pacer.log.day_records import DayRecords
from pacer.log.erase import RUNNING_MS, ErasedLesson, empty_trash, erasable, erase, school_years
from pacer.log.erase_outlines import erase_outlines, outlines_of
from pacer.log.imported import ImportedEnding
from pacer.plan.outline import Outline
from pacer.review.day_book import read_days
from pacer.run.clock import ManualClock
from pacer.run.corrections import TomorrowNoted
from pacer.run.session import Session
from pacer.settings.draft_store import NEW, DraftStore, Saved
from pacer.settings.folders import folders
from pacer.settings.outline_files import put_away_folder, take_out

MONDAY_UTC_MS = 1_773_046_800_000  # 9 March 2026, 9:00 UTC
DAY_MS = 86_400_000
NOW = MONDAY_UTC_MS + 40 * DAY_MS
SECRET = "Quindecagon walk"


def one_day(day: date) -> DateSpan:
    return DateSpan(day.isoformat(), day.isoformat())


MONDAY = one_day(date(2026, 3, 9))


@pytest.fixture
def folder(tmp_path) -> Path:
    return tmp_path / "data"


@pytest.fixture
def records(folder):
    with DayRecords.open(folder) as opened:
        yield opened


def teach(records: DayRecords, outline: Outline, day: int = 0, *, ended=True, offset_s=0, at_ms=0) -> int:
    clock = ManualClock(MONDAY_UTC_MS + day * DAY_MS + at_ms)
    journal = records.journal()
    session = Session(clock, journal)
    session.start(outline, utc_offset_s=offset_s)
    clock.advance(150_000)
    session.do("next", "done")
    if ended:
        clock.advance(180_000)
        session.do("bell-now")
    assert journal.run_id is not None
    return journal.run_id


def bytes_of(folder: Path) -> bytes:
    """Everything in the folder: the file, its write-ahead log, its copies."""
    return b"\0".join(path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file())


def rows(records: DayRecords, table: str, column: str = "run_id") -> set[int]:
    return {run for (run,) in records.connection.execute(f"SELECT {column} FROM {table}")}


def test_the_lessons_of_a_day_go_with_everything_of_theirs_and_the_others_stay(records, invented):
    for day in (0, 0, 1):
        run = teach(records, invented, day)
        records.after().say(run, TomorrowNoted(text="fewer examples"), NOW)
    records.trash().put([2], NOW)
    read_days(records)
    assert erasable(records, MONDAY, NOW).lessons == (
        ErasedLesson(1, invented.title),
        ErasedLesson(2, invented.title),
    )
    assert erasable(records, MONDAY, NOW).trashed == 1
    kept = [records.events(3), records.after().of(3)]
    erased = erase(records, MONDAY, NOW)
    assert (erased.lessons, erased.imported, erased.copies, erased.left) == (2, 0, 0, ())
    assert [run.id for run in records.runs()] == [3]
    for table in ("event", "after_event", "day_worked_out"):
        assert rows(records, table) == {3}
    assert rows(records, "trash") == set()
    assert [records.events(3), records.after().of(3)] == kept
    assert erasable(records, MONDAY, NOW).is_empty
    # The number of a deleted lesson is never given to another.
    assert teach(records, invented, 2) == 4


def test_a_unique_title_is_in_no_byte_of_the_file_its_log_or_its_copies(records, folder, invented):
    secret = invented.model_copy(update={"title": SECRET})
    for day in range(30):
        run = teach(records, secret if day == 7 else invented, day)
        if day == 7:
            records.after().say(run, TomorrowNoted(text=f"after {SECRET}"), NOW)
    read_days(records)
    # Changed and deleted rows leave their text behind in free pages, copies hold it, and so may the log.
    records.connection.execute("UPDATE day_worked_out SET body = body || '  '")
    back_up(records.connection, records.path, 3)
    back_up(records.connection, records.path, 3)
    assert bytes_of(folder).count(SECRET.encode()) > 4
    assert SECRET.encode() in Path(f"{records.path}-wal").read_bytes()
    erased = erase(records, one_day(date(2026, 3, 16)), NOW)
    assert (erased.lessons, erased.copies, erased.left) == (1, 2, ())
    assert SECRET.encode() not in bytes_of(folder)
    assert len(records.runs()) == 29
    for copy in (folder / "backups").iterdir():
        with sqlite3.connect(copy) as other:
            assert other.execute("SELECT count(*) FROM run").fetchone() == (29,)
            assert other.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        other.close()


def test_text_that_the_emptied_trash_left_behind_goes_too(records, folder, invented):
    # Some systems' SQLite overwrites what it deletes unasked; others leave it in free pages.
    records.connection.execute("PRAGMA secure_delete = OFF")
    secret = invented.model_copy(update={"title": SECRET})
    runs = [teach(records, secret if day == 3 else invented, day) for day in range(8)]
    records.trash().put([runs[3]], NOW)
    assert records.trash().empty(NOW + 31 * DAY_MS) == [runs[3]]
    assert SECRET.encode() in bytes_of(folder)
    erase(records, one_day(date(2026, 3, 16)), NOW)
    assert [run.id for run in records.runs()] == [7, 6, 5, 3, 2, 1]
    assert SECRET.encode() not in bytes_of(folder)


def test_what_lay_in_the_trash_for_30_days_is_gone_from_the_copies_too(records, folder, invented):
    secret = invented.model_copy(update={"title": SECRET})
    runs = [teach(records, secret if day == 3 else invented, day) for day in range(5)]
    read_days(records)
    records.trash().put([runs[3]], NOW)
    back_up(records.connection, records.path, 3)
    assert empty_trash(records, NOW + 30 * DAY_MS - 1) == ()
    assert bytes_of(folder).count(SECRET.encode()) > 1
    assert empty_trash(records, NOW + 30 * DAY_MS) == ()
    assert SECRET.encode() not in bytes_of(folder)
    (copy,) = (folder / "backups").iterdir()
    with DayRecords.open(folder) as again:
        assert [run.id for run in again.runs()] == [5, 3, 2, 1]
    other = sqlite3.connect(copy)
    for table, column in (("run", "id"), ("event", "run_id"), ("day_worked_out", "run_id")):
        found = other.execute(f"SELECT DISTINCT {column} FROM {table} ORDER BY 1").fetchall()
        assert [number for (number,) in found] == [1, 2, 3, 5]
    assert other.execute("SELECT count(*) FROM trash").fetchone() == (0,)
    other.close()


def test_a_copy_of_an_earlier_file_keeps_its_own_lesson_of_the_same_number(records, folder, invented):
    """Where the file was lost and begun anew, numbers begin at 1 again."""
    run = teach(records, invented)
    back_up(records.connection, records.path, 3)
    (copy,) = (folder / "backups").iterdir()
    other = sqlite3.connect(copy)
    with other:
        other.execute("UPDATE run SET started_utc_ms = started_utc_ms - ?", (400 * DAY_MS,))
    records.trash().put([run], NOW)
    empty_trash(records, NOW + 30 * DAY_MS)
    assert records.runs() == []
    assert other.execute("SELECT id FROM run").fetchall() == [(run,)]
    other.close()


def test_a_copy_that_the_emptied_trash_cannot_clean_is_named_and_the_lesson_goes(records, folder, invented):
    run = teach(records, invented)
    records.trash().put([run], NOW)
    damaged = folder / "backups" / f"{records.path.stem}-old{records.path.suffix}"
    damaged.parent.mkdir()
    damaged.write_bytes(b"no records" * 200)
    (left,) = empty_trash(records, NOW + 30 * DAY_MS)
    assert left.startswith(f"The copy {damaged} can't be cleaned (")
    assert records.runs() == []
    assert empty_trash(records, NOW + 31 * DAY_MS) == ()


@pytest.mark.parametrize(
    ("offset_s", "day"),
    [(0, "2026-03-09"), (-36_000, "2026-03-08"), (53_999, "2026-03-09"), (54_000, "2026-03-10")],
)
def test_the_date_of_a_lesson_is_that_of_its_classroom(records, invented, offset_s, day):
    teach(records, invented, offset_s=offset_s)  # begins at 9:00 UTC
    assert read_days(records).days[0].date == day
    assert not erasable(records, DateSpan("2026-01-01", "2026-03-07"), NOW).lessons
    assert not erasable(records, DateSpan("2026-03-11", "2026-12-31"), NOW).lessons
    assert len(erasable(records, DateSpan(day, day), NOW).lessons) == 1
    erase(records, DateSpan(day, day), NOW)
    assert records.runs() == []


def test_a_school_year_ends_with_july(records, invented):
    july, august = (round((date(2026, m, d) - date(2026, 3, 9)).days) for m, d in ((7, 31), (8, 1)))
    runs = [teach(records, invented, day) for day in (0, july, august)]
    year, following = school_year(date(2026, 3, 9)), school_year(date(2026, 8, 1))
    assert school_years(records) == [following, year] == [
        DateSpan("2026-08-01", "2027-07-31"), DateSpan("2025-08-01", "2026-07-31")
    ]  # fmt: skip
    erase(records, year, NOW + 400 * DAY_MS)
    assert [run.id for run in records.runs()] == runs[2:]


def test_imported_endings_of_the_dates_go_and_an_emptied_file_may_be_imported_again(records, folder):
    secret = ImportedEnding("2025-09-01", SECRET, "review", 180.0, 200.0, "done")
    later = ImportedEnding("2025-09-02", "review", "review", 180.0, 200.0, "done")
    records.imported().add([secret], "september.csv", "aa" * 32, NOW)
    records.imported().add([secret, later], "longer.csv", "bb" * 32, NOW)
    found = erasable(records, one_day(date(2025, 9, 1)), NOW)
    assert (found.lessons, found.imported, found.is_empty) == ((), 1, False)
    assert erase(records, found.span, NOW).imported == 1
    assert [row for _batch, row in records.imported().all()] == [later]
    assert SECRET.encode() not in bytes_of(folder)
    assert b"september.csv" not in bytes_of(folder)
    assert records.imported().add([secret], "september.csv", "aa" * 32, NOW).added == 1


def test_a_lesson_that_is_running_is_never_deleted(records, invented):
    done = teach(records, invented, 0)
    running = teach(records, invented, 0, ended=False, at_ms=3_600_000)
    events = records.events(running)
    last_press = events[-1].utc_ms
    for now in (last_press, last_press + RUNNING_MS - 1, last_press - 5 * DAY_MS):
        found = erasable(records, MONDAY, now)
        assert [lesson.run for lesson in found.lessons] == [done]
        assert found.running == 1
    assert erase(records, MONDAY, last_press + 60_000).lessons == 1
    assert [run.id for run in records.unfinished()] == [running]
    assert records.events(running) == events
    # One that was cut off days ago and never gone on with is over.
    assert erase(records, MONDAY, last_press + RUNNING_MS).lessons == 1
    assert records.runs() == []


def test_a_damaged_lesson_can_be_deleted_as_well(records, invented):
    teach(records, invented)
    records.connection.execute("UPDATE event SET body = x'ff' WHERE seq = 1")
    records.connection.execute("UPDATE run SET mode = 'nobody knows'")
    assert records.runs() == []
    assert erase(records, MONDAY, NOW).lessons == 1
    assert rows(records, "event") == set()


def test_an_older_copy_without_the_later_tables_is_cleaned_and_one_that_cannot_be_is_named(
    records, folder, invented
):
    teach(records, invented.model_copy(update={"title": SECRET}))
    old = back_up(records.connection, records.path, 1)
    with sqlite3.connect(old) as other:
        for table in ("after_event", "trash", "accepted_budget", "day_worked_out", "imported_ending"):
            other.execute(f"DROP TABLE {table}")
    other.close()
    broken = folder / "backups" / "day-records-20260101T000000Z-v1.sqlite3"
    broken.write_bytes(b"no database " * 50)
    half = folder / "backups" / "day-records-20260102T000000Z-v1.sqlite3.partial"
    half.write_bytes(SECRET.encode())
    aside = folder / "day-records-unreadable-20260101T000000Z.sqlite3"
    aside.write_bytes(b"?")
    erased = erase(records, MONDAY, NOW)
    assert erased.copies == 1
    assert SECRET.encode() not in bytes_of(folder)
    assert [str(broken) in erased.left[0], str(aside) in erased.left[1], len(erased.left)] == [True, True, 2]
    assert broken.exists()
    assert aside.exists()
    assert not half.exists()


def test_while_another_program_holds_the_file_nothing_is_deleted(records, invented, monkeypatch):
    monkeypatch.setattr(database, "OPENING_WAIT_MS", 50)
    teach(records, invented)
    events = records.events(1)
    with sqlite3.connect(records.path, isolation_level=None) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(LockedDatabase, match="Another program is using"):
            erase(records, MONDAY, NOW)
        other.execute("ROLLBACK")
    other.close()
    assert len(records.runs()) == 1
    assert records.events(1) == events


def test_while_another_program_reads_the_lessons_go_and_what_may_be_left_is_told(
    folder, invented, monkeypatch
):
    monkeypatch.setattr(database, "OPENING_WAIT_MS", 50)
    records = DayRecords.open(folder)
    teach(records, invented.model_copy(update={"title": SECRET}))
    with sqlite3.connect(records.path, isolation_level=None) as other:
        other.execute("BEGIN")
        other.execute("SELECT title FROM run").fetchall()
        erased = erase(records, MONDAY, NOW)
        assert erased.lessons == 1
        assert len(erased.left) == 1
        assert "may still be found" in erased.left[0]
        assert "then close Pacer" in erased.left[0]
        other.execute("ROLLBACK")
    other.close()
    assert records.runs() == []
    records.close()
    assert SECRET.encode() not in bytes_of(folder)


def test_when_the_file_cannot_be_written_anew_the_lessons_go_and_that_is_told(records, invented, monkeypatch):
    """A full disk: writing the file anew needs room for a second one."""
    teach(records, invented)
    real = records.connection

    class FullDisk:
        def __getattr__(self, name: str) -> object:
            return getattr(real, name)

        def execute(self, query: str, *values: object) -> sqlite3.Cursor:
            if query == "VACUUM":
                error = sqlite3.OperationalError("database or disk is full")
                error.sqlite_errorcode = sqlite3.SQLITE_FULL
                raise error
            return real.execute(query, *values)

    monkeypatch.setattr(records, "connection", FullDisk())
    erased = erase(records, MONDAY, NOW)
    assert erased.lessons == 1
    assert "until the next deletion. The disk is full" in erased.left[0]
    assert records.runs() == []


def test_records_that_were_moved_away_are_not_touched(records, folder, invented):
    teach(records, invented)
    records.path.rename(folder / "elsewhere.sqlite3")
    with pytest.raises(UnwritableFolder, match="were moved or deleted"):
        erase(records, MONDAY, NOW)
    assert rows(records, "run", "id") == {1}


# --- outlines


def outline_file(folder: Path, text: str, title: str, name: str) -> Path:
    path = folders(folder).outlines / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text.replace('"Thirds on a number line"', f'"{title}"'), encoding="utf-8")
    return path


def test_outlines_stay_unless_asked_and_then_go_with_versions_drafts_and_accepted_budgets(
    records, folder, invented, invented_text, tmp_path
):
    where = folders(folder)
    store = DraftStore(folder, ManualClock(NOW), tmp_path / "elsewhere")
    secret = outline_file(folder, invented_text, SECRET, "secret.toml")
    text = secret.read_text()
    secret.unlink()
    saved = store.save(secret, text, NEW)
    assert isinstance(saved, Saved)
    saved = store.save(secret, f"{text}\n# {SECRET} two\n", saved.stamp)
    assert isinstance(saved, Saved)
    assert len(store.versions(secret)) == 1
    store.journal(secret, f"{text}\n# {SECRET} three\n", saved.stamp)
    picture = secret.with_name("line.png")
    picture.write_bytes(b"png")
    also = outline_file(folder, invented_text, "Thirds on a number line", "also.toml")
    never = outline_file(folder, invented_text, "Never taught", "never.toml")
    broken = outline_file(folder, f"{SECRET} [", "", "broken.toml")
    log = AcceptedBudgets(records)
    figures = {"utc_ms": NOW, "phase": "p", "kind": "review", "old_s": 60, "new_s": 75, "lessons": 8}
    for target in ("secret.toml", "also.toml", "kinds"):
        log.add(target=target, cut_off=0, **figures)
    teach(records, invented.model_copy(update={"title": SECRET}))
    teach(records, invented, 0)
    teach(records, invented, 1)
    back_up(records.connection, records.path, 3)
    found = erasable(records, MONDAY, NOW)
    # Another lesson was taught by also.toml, and none by never.toml.
    going = outlines_of(records, where, found)
    assert going == (secret,)
    assert erase(records, MONDAY, NOW).lessons == 2
    assert all(path.exists() for path in (secret, also, never, broken, picture))
    assert len(store.versions(secret)) == 1
    assert len(log.all()) == 3
    assert erase_outlines(records, where, going) == ()
    assert not secret.exists()
    assert store.versions(secret) == []
    assert store.recoverable() == []
    assert list((folder / "history").iterdir()) == []
    assert [one.target for one in log.all()] == ["also.toml", "kinds"]
    assert all(path.exists() for path in (also, never, broken, picture))
    broken.unlink()
    assert SECRET.encode() not in bytes_of(folder)
    assert b"secret.toml" not in bytes_of(folder)


def test_an_outline_that_cannot_be_deleted_is_named(records, folder, invented, invented_text, monkeypatch):
    path = outline_file(folder, invented_text, invented.title, "own.toml")
    teach(records, invented)
    going = outlines_of(records, folders(folder), erasable(records, MONDAY, NOW))
    assert going == (path,)

    def refuse(_path: Path, missing_ok: bool = False) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "unlink", refuse)
    (left,) = erase_outlines(records, folders(folder), going)
    assert left == f"{path} can't be deleted: you may not write there. Delete it by hand."
    assert path.exists()


def test_versions_that_cannot_be_looked_through_are_named_by_their_folder(
    records, folder, invented, invented_text, monkeypatch
):
    path = outline_file(folder, invented_text, invented.title, "own.toml")
    text, store = path.read_text(), DraftStore(folder, ManualClock(NOW), folder / "elsewhere")
    assert isinstance(store.save(path, f"{text}\n", store.open(path).stamp), Saved)
    (version,) = store.versions(path)
    teach(records, invented)
    going = outlines_of(records, folders(folder), erasable(records, MONDAY, NOW))
    listed = os.scandir

    def refuse(place="."):
        if Path(place) == version.file.parent:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return listed(place)

    monkeypatch.setattr(os, "scandir", refuse)
    (left,) = erase_outlines(records, folders(folder), going)
    assert left == f"Earlier versions may still lie in {version.file.parent}. Delete that folder by hand."
    assert not path.exists()
    assert version.file.exists()


def test_an_outline_that_was_put_away_goes_with_its_lessons_too(records, folder, invented, invented_text):
    away = take_out(
        outline_file(folder, invented_text, invented.title, "own.toml"),
        put_away_folder(folders(folder).outlines),
    )[0].target
    teach(records, invented)
    going = outlines_of(records, folders(folder), erasable(records, MONDAY, NOW))
    assert going == (away,)
    assert erase_outlines(records, folders(folder), going) == ()
    assert not away.exists()


def test_without_a_folder_of_outlines_none_go(records, folder, invented):
    teach(records, invented)
    assert outlines_of(records, folders(folder), erasable(records, MONDAY, NOW)) == ()


def test_a_copy_with_a_trigger_of_somebody_else_is_named_and_the_trigger_never_runs(records, invented):
    teach(records, invented)
    copy = back_up(records.connection, records.path, 1)
    with sqlite3.connect(copy) as other:
        other.execute(
            "CREATE TRIGGER trap BEFORE DELETE ON run BEGIN SELECT (WITH RECURSIVE n(i) AS "
            "(SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT max(i) FROM n); END"
        )
    other.close()
    erased = erase(records, MONDAY, NOW)
    assert erased.lessons == 1
    assert str(copy) in erased.left[0]
