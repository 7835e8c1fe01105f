"""Files and folders of the owner's alone: whatever the umask, and also what was open to others before."""

import os
import stat
import sys
from pathlib import Path

import pytest

from pacer import owner_only
from pacer.owner_only import (
    begin_file,
    close_off,
    close_off_all,
    closed_umask,
    is_own_file,
    is_own_folder,
    make_folder,
    open_new,
    open_stream,
    open_text,
)

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="rights as on Unix")


@pytest.fixture(params=[0o000, 0o022, 0o277], ids=oct)
def umask(request):
    """The mildest, the usual and one that takes even the owner's rights."""
    before = os.umask(request.param)
    yield request.param
    os.umask(before)


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def opened_for_all(path: Path, rights: int) -> Path:
    """Something that was there before, open to others."""
    path.mkdir(parents=True) if rights & 0o111 else path.write_text("mine")
    path.chmod(rights)
    return path


@pytest.mark.parametrize(
    "make",
    [
        lambda path: open_new(path).close(),
        begin_file,
        lambda path: open_text(path, "w").close(),
        lambda path: open_text(path, "a").close(),
    ],
    ids=["new", "begun", "written", "added to"],
)
def test_a_new_file_is_its_owners_alone_whatever_the_umask(tmp_path, umask, make):
    make(tmp_path / "file")
    assert mode(tmp_path / "file") == 0o600


def test_new_folders_are_their_owners_alone_and_one_that_is_there_stays(tmp_path, umask):
    there = opened_for_all(tmp_path / "there", 0o755)
    make_folder(there / "one" / "two")
    assert [mode(path) for path in (there, there / "one", there / "one" / "two")] == [0o755, 0o700, 0o700]
    make_folder(there)
    assert mode(there) == 0o755


def test_a_file_is_never_open_to_others_not_even_before_its_first_byte(tmp_path, monkeypatch):
    seen = []
    real = os.fchmod

    def noting(number: int, to: int) -> None:
        seen.append(os.fstat(number).st_mode)
        real(number, to)

    monkeypatch.setattr(os, "fchmod", noting)
    before = os.umask(0)
    try:
        begin_file(tmp_path / "file")
    finally:
        os.umask(before)
    assert [stat.S_IMODE(found) for found in seen] == [0o600], "as it was made, before it was put right"


def test_where_no_folder_can_be_made_it_is_told(tmp_path):
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(OSError, match=r"exists|Not a directory"):
        make_folder(tmp_path / "file")
    with pytest.raises(OSError, match="Not a directory"):
        make_folder(tmp_path / "file" / "below")
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    with pytest.raises(FileExistsError):
        make_folder(tmp_path / "link")


def test_a_text_file_that_was_open_is_closed_before_a_word_is_in_it(tmp_path):
    path = opened_for_all(tmp_path / "log", 0o644)
    with open_text(path, "a") as file:
        assert mode(path) == 0o600
        file.write(" and more")
    assert path.read_text() == "mine and more"
    with open_text(path, "w"):
        assert path.read_text() == ""


def test_a_log_is_never_written_through_a_link(tmp_path):
    other = opened_for_all(tmp_path / "other", 0o644)
    (tmp_path / "log").symlink_to(other)
    with pytest.raises(OSError, match="symbolic links"):
        open_text(tmp_path / "log", "a")
    assert (other.read_text(), mode(other)) == ("mine", 0o644)


def test_a_file_that_is_there_keeps_what_is_in_it_when_it_is_begun(tmp_path):
    path = opened_for_all(tmp_path / "records", 0o664)
    begin_file(path)
    assert (path.read_text(), mode(path)) == ("mine", 0o600)
    begin_file(tmp_path / "no" / "folder")
    assert not (tmp_path / "no").exists()


def test_rights_are_only_ever_taken_and_only_others(tmp_path):
    for rights, left in ((0o644, 0o600), (0o444, 0o400), (0o640, 0o600), (0o600, 0o600), (0o755, 0o700)):
        path = opened_for_all(tmp_path / oct(rights), rights)
        close_off(path)
        assert mode(path) == left
    close_off(tmp_path / "missing")


def test_all_that_lies_in_a_folder_is_closed_but_nothing_behind_a_link(tmp_path):
    folder, other = opened_for_all(tmp_path / "data", 0o777), opened_for_all(tmp_path / "other", 0o755)
    opened_for_all(other / "theirs", 0o644)
    opened_for_all(folder / "below", 0o755)
    opened_for_all(folder / "below" / "file", 0o666)
    (folder / "link").symlink_to(other)
    close_off_all(folder)
    assert [mode(folder / name) for name in (".", "below", "below/file")] == [0o700, 0o700, 0o600]
    close_off_all(folder / "link")
    assert (mode(other), mode(other / "theirs")) == (0o755, 0o644)


def test_what_belongs_to_somebody_else_is_left_alone_and_is_not_her_own(tmp_path, monkeypatch):
    folder = tmp_path / "hers"
    folder.mkdir(0o700)
    path = opened_for_all(folder / "file", 0o600)
    assert is_own_file(path)
    monkeypatch.setattr(owner_only.os, "getuid", lambda: os.geteuid() + 1)
    assert not is_own_file(path)
    assert not is_own_folder(folder)
    path.chmod(0o644)
    close_off(path)
    assert mode(path) == 0o644


def test_her_own_is_no_link_no_folder_and_lies_where_only_she_can_put_it(tmp_path):
    folder = tmp_path / "hers"
    folder.mkdir(0o700)
    path = opened_for_all(folder / "file", 0o600)
    (folder / "link").symlink_to(path)
    (tmp_path / "way").symlink_to(folder)
    assert not is_own_file(folder / "link")
    assert not is_own_file(tmp_path / "way" / "file")
    assert not is_own_file(folder)
    assert not is_own_file(folder / "missing")
    for rights in (0o755, 0o770, 0o702, 0o777):
        folder.chmod(rights)
        assert not is_own_file(path)


def test_what_a_library_makes_meanwhile_is_closed_and_the_umask_comes_back(tmp_path):
    before = os.umask(0o002)
    try:
        with closed_umask():
            (tmp_path / "lock").write_text("1")
        assert mode(tmp_path / "lock") == 0o600
        assert os.umask(0o002) == 0o002
    finally:
        os.umask(before)


def test_a_stream_is_written_behind_what_is_there(tmp_path):
    path = opened_for_all(tmp_path / "redirected", 0o644)
    with open_stream(path) as stream:
        stream.write(b" and more")
    assert path.read_text() == "mine and more"
    with pytest.raises(OSError, match="No space"), open_stream(Path("/dev/full")) as stream:
        stream.write(b"x")


@pytest.mark.skipif(os.name != "posix", reason="folders are held on POSIX")
def test_a_folder_is_held_by_one_at_a_time_and_nobody_waits_for_ever(tmp_path, monkeypatch):
    waited: list[float] = []
    monkeypatch.setattr(owner_only.time, "sleep", waited.append)
    with owner_only.one_at_a_time(tmp_path):
        pass
    assert waited == []
    with owner_only.one_at_a_time(tmp_path), owner_only.one_at_a_time(tmp_path):
        assert len(waited) == 50, "the second one goes on in the end"
    with owner_only.one_at_a_time(tmp_path / "gone"):
        pass
