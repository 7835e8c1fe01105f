"""The system's trash takes a file and says where it lies, so that it can be taken back."""

import sys

import pytest

from pacer.editing.library.shelf import Library
from pacer.qt.library.trash import to_trash
from pacer.run.clock import ManualClock
from pacer.settings.draft_store import DraftStore


@pytest.fixture
def own(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "home"))
    (tmp_path / "home").mkdir()
    folder = tmp_path / "outlines"
    folder.mkdir()
    return folder


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere it would be a person's own trash")
def test_an_outline_goes_into_the_systems_trash_and_comes_back_without_a_trace(own, tmp_path):
    path = own / "halves.toml"
    path.write_text('format = 1\ntitle = "Halves"\n[[phase]]\ntitle = "Go"\nbudget = "3"\n')
    before = path.read_bytes()
    store = DraftStore(tmp_path, ManualClock(1_000_000_000_000), tmp_path / "elsewhere")
    library = Library(own, store, to_trash)
    assert library.delete(path).done
    assert not path.exists()
    trash = tmp_path / "home" / "Trash"
    assert [file.read_bytes() for file in (trash / "files").iterdir()] == [before]
    assert library.undo().done
    assert path.read_bytes() == before
    assert list((trash / "files").iterdir()) == []
    assert list((trash / "info").iterdir()) == []


def test_what_the_trash_does_not_take_is_an_error(own):
    with pytest.raises(OSError, match="there is none"):
        to_trash(own / "no such file.toml")
