"""A name that a file was given is flushed with its folder: it outlasts a power cut."""

import os
import stat
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from pacer.log.backups import copies, copy_today, restore
from pacer.log.database import FILE_NAME
from pacer.log.day_records import DayRecords
from pacer.log.export.files import write_folder
from pacer.log.export.tables import tables
from pacer.owner_only import keep_names
from pacer.settings.whole_file import set_aside, write_whole
from tests.log.damage_factories import write_records

TODAY = date(2026, 3, 20)


@pytest.fixture
def flushed(monkeypatch) -> dict[int, set[str]]:
    """The names in each folder, by its number on the disk, when it was flushed last."""
    seen: dict[int, set[str]] = {}
    fsync = os.fsync

    def watched(number: int) -> None:
        found = os.fstat(number)
        if stat.S_ISDIR(found.st_mode):
            seen[found.st_ino] = set(os.listdir(number))
        fsync(number)

    monkeypatch.setattr(os, "fsync", watched)
    return seen


def is_kept(flushed: dict[int, set[str]], path: Path) -> bool:
    """Whether a name was there when its folder was flushed last."""
    return path.exists() and path.name in flushed.get(path.parent.stat().st_ino, set())


def test_of_a_file_written_whole_and_of_one_set_aside(tmp_path, flushed):
    path = tmp_path / "settings.json"
    write_whole(path, b"{}")
    assert is_kept(flushed, path)
    assert is_kept(flushed, set_aside(path, datetime(2026, 3, 20, 12, tzinfo=UTC)))


def test_of_exported_tables_in_a_new_folder_and_over_old_ones(tmp_path, invented, flushed):
    write_records(tmp_path, invented)
    with DayRecords.read(tmp_path) as records:
        made = tables(records)
    folder = tmp_path / "tables"
    paths = write_folder(folder, made)
    assert is_kept(flushed, folder)
    assert all(is_kept(flushed, path) for path in paths)
    paths[0].unlink()
    keep_names(folder)
    assert all(is_kept(flushed, path) for path in write_folder(folder, made, over=True))
    assert {path.name for path in folder.iterdir()} == flushed[folder.stat().st_ino]


def test_of_a_days_copy_and_of_what_is_kept_when_one_is_brought_back(tmp_path, invented, flushed):
    path = write_records(tmp_path, invented)
    copy_today(path, TODAY)
    (copy,) = copies(path)
    assert is_kept(flushed, copy.path)
    with DayRecords.open(tmp_path) as records:
        assert is_kept(flushed, restore(records, copy.path, TODAY))


def test_of_what_was_saved_of_damaged_records_and_of_the_damaged_file(tmp_path, invented, flushed):
    path = write_records(tmp_path, invented)
    damaged = bytearray(path.read_bytes())
    damaged[18] ^= 0xFF  # in the header: SQLite opens such a file no more
    path.write_bytes(damaged)
    with DayRecords.open(tmp_path) as records:
        assert records.notice
    assert is_kept(flushed, tmp_path / FILE_NAME)
    (aside,) = tmp_path.glob("*unreadable*")
    assert is_kept(flushed, aside)
