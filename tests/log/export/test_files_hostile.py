"""Exports to a disk that is full: what is told is a name that the teacher knows."""

import errno

import pytest

from pacer.log.export.files import ExportError, write_folder
from pacer.log.export.tables import ExportTable
from pacer.settings import whole_file


@pytest.mark.parametrize("is_there", [False, True])
def test_a_full_disk_is_told_with_the_name_that_was_asked_for(tmp_path, monkeypatch, is_there):
    folder = tmp_path / "tables"
    if is_there:
        folder.mkdir()

    def full(*_what: object) -> bool:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(whole_file, "write_whole", full)
    with pytest.raises(ExportError) as told:
        write_folder(folder, [ExportTable("days", ("run",), ((1,),))])
    # A new folder is filled under another name, which nobody ever sees.
    assert str(told.value).startswith(f"{folder / 'days.csv'} can't be written: the disk is full.")
    assert sorted(path.name for path in tmp_path.rglob("*")) == (["tables"] if is_there else [])
