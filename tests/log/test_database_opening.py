"""Opening day records in bad places: a clear error or a sound result, and nothing lost."""

import os
import sqlite3
import tempfile
from contextlib import contextmanager
from pathlib import Path

import pytest

from pacer.log import database
from pacer.log.database import LockedDatabase, LogError, NewerDatabase, UnwritableFolder
from pacer.log.day_records import DayRecords
from pacer.log.migrations import STEPS
from pacer.run.clock import ManualClock
from pacer.run.session import Session

NOBODY = 65534
NAME = "day-records.sqlite3"


def teach(folder: Path, outline, presses: int = 30) -> list:
    with DayRecords.open(folder) as records:
        assert records.can_write
        session = Session(ManualClock(1_773_046_800_000), records.journal())
        session.start(outline)
        for _press in range(presses):
            session.do("voice")
        assert session.unsaved == 0
        return list(session.events)


def kept_files(folder: Path) -> list[Path]:
    """The files set aside, without the companions that SQLite makes on opening."""
    return sorted(folder.glob("day-records-unreadable-*.sqlite3"))


def assert_begun_afresh(folder: Path, outline) -> str:
    """Opens, is told what was set aside, and a lesson can be written. Returns the notice."""
    with DayRecords.open(folder) as records:
        notice = records.notice
        assert records.can_write
        assert records.runs() == []
    teach(folder, outline)
    with DayRecords.open(folder) as records:
        assert len(records.runs()) == 1
        assert records.notice == ""
    return notice


@contextmanager
def nothing_writable(folder: Path):
    """Makes a folder read-only for this process. Root may write anywhere, so it becomes nobody meanwhile."""
    files = [folder, *folder.iterdir()]
    modes = [path.stat().st_mode for path in files]
    for path in files:
        path.chmod(0o555 if path.is_dir() else 0o444)
    was_root = os.geteuid() == 0
    if was_root:
        os.seteuid(NOBODY)
    try:
        assert not os.access(folder, os.W_OK, effective_ids=os.access in os.supports_effective_ids)
        yield
    finally:
        if was_root:
            os.seteuid(0)
        for path, mode in zip(files, modes, strict=True):
            path.chmod(mode)


@pytest.fixture
def open_folder():
    """A folder that nobody, too, can walk into: pytest's own are closed to all but their owner."""
    with tempfile.TemporaryDirectory() as made:
        Path(made).chmod(0o755)
        folder = Path(made) / "data"
        folder.mkdir()
        yield folder


needs_posix = pytest.mark.skipif(not hasattr(os, "seteuid"), reason="rights are set in the POSIX way")


def test_a_missing_folder_is_made(tmp_path, invented):
    teach(tmp_path / "a" / "b" / "c", invented)
    assert (tmp_path / "a" / "b" / "c" / NAME).is_file()


def test_a_file_where_the_folder_should_be_is_named(tmp_path):
    (tmp_path / "data").write_text("mine")
    with pytest.raises(UnwritableFolder, match="a file has that name") as caught:
        DayRecords.open(tmp_path / "data")
    assert str(tmp_path / "data") in str(caught.value)
    assert (tmp_path / "data").read_text() == "mine"


def test_a_folder_that_cannot_be_made_is_named():
    with pytest.raises(UnwritableFolder, match="can't be made"):
        DayRecords.open(Path(os.devnull) / "data")


def test_a_name_with_signs_that_mean_something_in_addresses_is_just_a_name(tmp_path, invented):
    folder = tmp_path / "a?mode=ro #1 100%25 é"
    events = teach(folder, invented)
    with DayRecords.open(folder) as records:
        assert records.events(1) == events


@pytest.mark.parametrize(
    "garbage", [b"x", b"These are not records. " * 500, b"\0" * 8192, b"SQLite format 3\0" * 9]
)
def test_a_file_that_is_no_database_is_kept_aside_and_a_fresh_one_begun(tmp_path, invented, garbage):
    (tmp_path / NAME).write_bytes(garbage)
    notice = assert_begun_afresh(tmp_path, invented)
    (kept,) = kept_files(tmp_path)
    assert kept.read_bytes() == garbage
    assert kept.name in notice
    assert str(tmp_path / NAME) in notice


def test_companions_of_a_garbage_file_are_kept_with_it(tmp_path, invented):
    for name, content in ((NAME, b"garbage" * 999), (f"{NAME}-wal", b"not a log" * 99)):
        (tmp_path / name).write_bytes(content)
    assert_begun_afresh(tmp_path, invented)
    (kept,) = kept_files(tmp_path)
    assert kept.read_bytes() == b"garbage" * 999
    assert Path(f"{kept}-wal").read_bytes() == b"not a log" * 99


def test_a_second_unreadable_file_never_overwrites_the_first(tmp_path):
    for content in (b"first" * 400, b"second" * 400, b"third" * 400):
        (tmp_path / NAME).write_bytes(content)
        DayRecords.open(tmp_path).close()
        (tmp_path / NAME).unlink()
    assert {path.read_bytes()[:5] for path in kept_files(tmp_path)} == {b"first", b"secon", b"third"}


def test_an_empty_file_is_simply_filled(tmp_path, invented):
    (tmp_path / NAME).touch()
    assert assert_begun_afresh(tmp_path, invented) == ""
    assert kept_files(tmp_path) == []


@pytest.mark.parametrize("is_empty", [True, False])
def test_a_log_whose_file_was_lost_is_kept_aside_before_sqlite_deletes_it(tmp_path, invented, is_empty):
    (tmp_path / f"{NAME}-wal").write_bytes(b"events not yet in the file")
    if is_empty:
        (tmp_path / NAME).touch()
    assert "could not be read" in assert_begun_afresh(tmp_path, invented)
    (kept,) = tmp_path.glob("day-records-unreadable-*-wal")
    assert kept.read_bytes() == b"events not yet in the file"


def test_a_folder_in_place_of_the_file_is_kept_aside(tmp_path, invented):
    (tmp_path / NAME).mkdir()
    (tmp_path / NAME / "letter.txt").write_text("mine")
    assert "could not be read" in assert_begun_afresh(tmp_path, invented)
    assert (kept_files(tmp_path)[0] / "letter.txt").read_text() == "mine"


def test_the_database_of_another_program_is_kept_aside_untouched(tmp_path, invented):
    theirs = sqlite3.connect(tmp_path / NAME)
    theirs.execute("CREATE TABLE recipe (name TEXT)")
    theirs.execute("INSERT INTO recipe VALUES ('soup')")
    theirs.commit()
    theirs.close()
    before = (tmp_path / NAME).read_bytes()
    assert "could not be read" in assert_begun_afresh(tmp_path, invented)
    assert kept_files(tmp_path)[0].read_bytes() == before


def test_a_newer_database_is_refused_and_left_as_it_is(tmp_path, invented):
    teach(tmp_path, invented)
    newer = sqlite3.connect(tmp_path / NAME)
    newer.execute("INSERT INTO migration VALUES ('a step of tomorrow', '2030-01-01T00:00:00+00:00')")
    newer.execute(f"PRAGMA user_version = {len(STEPS) + 1}")
    newer.commit()
    newer.close()
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    with pytest.raises(NewerDatabase, match="written by a newer Pacer") as caught:
        DayRecords.open(tmp_path)
    assert str(tmp_path / NAME) in str(caught.value)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_a_file_that_another_program_keeps_for_itself_is_said_to_be_locked(tmp_path, invented, monkeypatch):
    teach(tmp_path, invented)
    monkeypatch.setattr(database, "OPENING_WAIT_MS", 50)
    other = sqlite3.connect(tmp_path / NAME, isolation_level=None)
    other.execute("PRAGMA locking_mode = EXCLUSIVE")
    other.execute("BEGIN EXCLUSIVE")
    with pytest.raises(LockedDatabase, match="Close it, then try again"):
        DayRecords.open(tmp_path)
    other.execute("ROLLBACK")
    other.close()
    assert kept_files(tmp_path) == []
    with DayRecords.open(tmp_path) as records:
        assert len(records.runs()) == 1


def test_a_file_that_is_only_being_written_elsewhere_opens(tmp_path, invented, monkeypatch):
    teach(tmp_path, invented)
    monkeypatch.setattr(database, "OPENING_WAIT_MS", 50)
    other = sqlite3.connect(tmp_path / NAME, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with DayRecords.open(tmp_path) as records:
        assert records.can_write
        assert len(records.runs()) == 1
    other.execute("ROLLBACK")
    other.close()


@needs_posix
def test_records_in_a_read_only_folder_can_be_read(open_folder, invented):
    events = teach(open_folder, invented)
    with nothing_writable(open_folder), DayRecords.open(open_folder) as records:
        assert not records.can_write
        assert "Nothing can be written to" in records.notice
        assert records.events(1) == events
        assert len(records.unfinished()) == 1
        session = Session(ManualClock(), records.journal())
        session.start(invented)
        assert session.unsaved == 1
        assert session.trouble == records.notice


@needs_posix
def test_a_log_left_by_a_kill_is_read_in_a_read_only_folder_too(open_folder, invented):
    """The writer's files are copied while it is open, as a kill leaves them."""
    living = open_folder.parent / "living"
    with DayRecords.open(living) as records:
        session = Session(ManualClock(1_773_046_800_000), records.journal())
        session.start(invented)
        session.do("voice")
        for path in living.iterdir():
            (open_folder / path.name).write_bytes(path.read_bytes())
        assert (open_folder / f"{NAME}-wal").stat().st_size > 0
    with nothing_writable(open_folder), DayRecords.open(open_folder) as records:
        assert records.events(1) == list(session.events)


@needs_posix
def test_a_read_only_folder_without_records_is_an_error_that_names_it(open_folder):
    with nothing_writable(open_folder), pytest.raises(UnwritableFolder) as caught:
        DayRecords.open(open_folder)
    assert str(open_folder / NAME) in str(caught.value)
    assert "--data-dir" in str(caught.value)
    assert list(open_folder.iterdir()) == []


@needs_posix
def test_garbage_in_a_read_only_folder_is_an_error_and_stays(open_folder):
    (open_folder / NAME).write_bytes(b"garbage" * 999)
    with nothing_writable(open_folder), pytest.raises(LogError, match="can't be read or set aside"):
        DayRecords.open(open_folder)
    assert (open_folder / NAME).read_bytes() == b"garbage" * 999
    assert len(list(open_folder.iterdir())) == 1
