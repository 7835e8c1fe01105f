"""One rule for every verb that writes: whole or not at all, over a file only by --force, devices straight."""

import errno
import os
import stat
import subprocess
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest

from pacer.frames import pictures
from pacer.log.day_records import DayRecords
from pacer.verbs.arguments import build_parser
from pacer.verbs.card import card_verb
from pacer.verbs.headless_demo import load_demo_outlines
from pacer.verbs.invented_days import write_invented_days
from pacer.verbs.picture import picture_verb
from pacer.verbs.report import report_verb
from tests.verbs.verb_factories import OUTLINE, Saved

OLD = b"another file"
needs_unix = pytest.mark.skipif(sys.platform == "win32", reason="devices, links and rights as on Unix")
is_root = hasattr(os, "geteuid") and os.geteuid() == 0


@pytest.fixture(scope="module")
def data(tmp_path_factory) -> Path:
    """A data folder with invented lessons."""
    folder = tmp_path_factory.mktemp("data")
    with DayRecords.open(folder) as records:
        until = round(datetime(2026, 3, 9, 17).timestamp() * 1000)
        write_invented_days(records, load_demo_outlines(), until_utc_ms=until, count=3)
    return folder


@pytest.fixture(autouse=True)
def _qt_could_run(monkeypatch):
    for verb in ("card", "picture", "report"):
        monkeypatch.setattr(f"pacer.verbs.{verb}.qt_complaint", lambda **_options: "")
    monkeypatch.setattr(pictures, "all_charts", lambda *_what: [])


VERBS: dict[str, Callable[[Path], list[object]]] = {
    "card": lambda path: ["card", OUTLINE, "--pdf", path],
    "squares": lambda path: ["card", "--squares", "--pdf", path],
    "wall": lambda path: ["picture", OUTLINE, "--at", "1:00", "--wall", path],
    "desk": lambda path: ["picture", OUTLINE, "--at", "1:00", "--desk", path],
    "table": lambda path: ["report", "--demo", "--csv", path],
    "page": lambda path: ["report", "--demo", "--pdf", path],
}


@pytest.fixture(params=VERBS)
def write(request, data):
    """One of the verbs, writing to a path; returns its exit code."""

    def run(path: Path, *more: str) -> int:
        words = [str(word) for word in (*VERBS[request.param](path), *more)]
        if words[0] == "report":
            words += ["--data-dir", str(data)]
        options = build_parser().parse_args(words)
        match words[0]:
            case "card":
                return card_verb(options, Saved(), datetime(2026, 3, 9, 17, 30))
            case "picture":
                return picture_verb(options, Saved())
            case _:
                return report_verb(options, Saved())

    return run


def is_alone(path: Path) -> bool:
    """Whether nothing half written lies beside a file."""
    return sorted(path.parent.iterdir()) in ([], [path])


def test_a_new_file_is_written_whole_for_its_owner_and_told(write, tmp_path, capsys):
    path = tmp_path / "new"
    assert write(path) == 0
    assert capsys.readouterr().out == f"{path}\n"
    assert path.stat().st_size > 0
    assert is_alone(path)
    assert sys.platform == "win32" or stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_file_that_is_there_is_left_alone_and_what_to_do_is_told(write, tmp_path, capsys):
    path = tmp_path / "taken"
    path.write_bytes(OLD)
    assert write(path) == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert (
        said.err == f"{path} is there already and is not written over. Choose another name, or add --force.\n"
    )
    assert path.read_bytes() == OLD


def test_with_force_it_is_written_over_and_its_rights_stay(write, tmp_path):
    path = tmp_path / "taken"
    path.write_bytes(OLD)
    path.chmod(0o640)
    assert write(path, "--force") == 0
    assert path.read_bytes() != OLD
    assert is_alone(path)
    assert sys.platform == "win32" or stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_file_that_comes_to_be_meanwhile_is_left_alone_too(write, tmp_path, monkeypatch, capsys):
    path, real = tmp_path / "new", os.fsync

    def meanwhile(number: int) -> None:
        real(number)
        path.write_bytes(OLD)

    monkeypatch.setattr(os, "fsync", meanwhile)
    assert write(path) == 1
    assert "is there already" in capsys.readouterr().err
    assert path.read_bytes() == OLD
    assert is_alone(path)


@pytest.mark.parametrize("more", [(), ("--force",)], ids=["", "force"])
def test_a_folder_in_its_place_stays(write, tmp_path, request, capsys, more):
    folder = tmp_path / "folder"
    folder.mkdir()
    (folder / "mine").write_bytes(OLD)
    if "table" in request.node.name:
        pytest.skip("every table goes into a folder that is named")
    assert write(folder, *more) == 1
    assert capsys.readouterr().err == f"{folder} is a folder. Name a file in it.\n"
    assert [path.name for path in folder.iterdir()] == ["mine"]


def test_a_folder_that_is_not_there_is_told(write, tmp_path, capsys):
    assert write(tmp_path / "gone" / "new") == 1
    assert capsys.readouterr().err.startswith(
        f"{tmp_path / 'gone' / 'new'} can't be written: its folder is gone. "
    )


@needs_unix
@pytest.mark.skipif(is_root, reason="root may write anywhere")
def test_a_folder_that_may_not_be_written_is_told(write, tmp_path, capsys):
    tmp_path.chmod(0o500)
    try:
        assert write(tmp_path / "new") == 1
    finally:
        tmp_path.chmod(0o700)
    assert "can't be written: you may not write there. " in capsys.readouterr().err


@needs_unix
def test_a_link_is_another_file_and_with_force_it_stays_a_link(write, tmp_path, capsys):
    there, link = tmp_path / "there", tmp_path / "link"
    link.symlink_to(there)
    for _time in range(2):  # one that leads nowhere, then one to a file
        assert write(link) == 1
        assert "is there already" in capsys.readouterr().err
        assert write(link, "--force") == 0
        assert link.is_symlink()
        assert there.stat().st_size > 0


@pytest.mark.slow
@pytest.mark.parametrize("force", [False, True])
@pytest.mark.parametrize("call", ["write", "fsync", "close", "replace"])
def test_a_disk_that_fills_up_at_any_moment_leaves_what_was_there(
    write, tmp_path, monkeypatch, capsys, call, force
):
    path = tmp_path / "file"
    if force:
        path.write_bytes(OLD)
    break_disk(monkeypatch, call)
    assert write(path, *(["--force"] if force else [])) == 1
    monkeypatch.undo()
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == f"{path} can't be written: the disk is full. Make room on it, then save again.\n"
    assert [(one.name, one.read_bytes()) for one in tmp_path.iterdir()] == ([("file", OLD)] if force else [])


def break_disk(monkeypatch, call: str) -> None:
    """Let one of the calls that put a file in place find no room."""
    full = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    def fail(*_what: object, **_how: object) -> None:
        raise full

    if call in ("fsync", "replace"):
        monkeypatch.setattr(os, call, fail)
        return

    class FullFile:
        """A file on a disk without room: told at its writing, or only when it is closed."""

        def __init__(self, real) -> None:
            self.real = real

        def __enter__(self):
            return self

        def __exit__(self, *_error: object) -> None:
            self.real.close()
            if call == "close":
                raise full

        def write(self, data: bytes) -> None:
            self.real.write(data[:3])
            if call == "write":
                raise full

        def __getattr__(self, name: str):
            return getattr(self.real, name)

    from pacer import owner_only
    from pacer.settings import whole_file

    monkeypatch.setattr(whole_file, "open_new", lambda path: FullFile(owner_only.open_new(path)))


@needs_unix
def test_a_full_device_fails_and_stays_a_device(write, capsys):
    assert write(Path("/dev/full")) == 1
    assert capsys.readouterr().err.startswith("/dev/full can't be written: the disk is full. ")
    assert stat.S_ISCHR(Path("/dev/full").stat().st_mode)


@needs_unix
def test_a_device_or_pipe_takes_all_of_it_and_no_name_goes_in_between(write, tmp_path, capsys):
    assert write(Path("/dev/null")) == 0
    told = capsys.readouterr()
    assert (told.out, told.err) == ("", "/dev/null\n")
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = subprocess.Popen(["cat", str(pipe)], stdout=subprocess.PIPE)
    assert write(pipe) == 0
    piped = reader.communicate()[0]
    assert write(tmp_path / "file") == 0
    assert piped == (tmp_path / "file").read_bytes()


@pytest.mark.slow
@needs_unix
def test_what_the_shell_sends_into_a_file_gets_the_page_and_nothing_else(tmp_path, data):
    target = tmp_path / "phases.csv"
    command = [
        sys.executable,
        "-m",
        "pacer",
        "report",
        "--demo",
        "--csv",
        "/dev/stdout",
        "--data-dir",
        str(data),
    ]
    with target.open("wb") as out:
        done = subprocess.run(command, stdout=out, stderr=subprocess.PIPE, check=False, timeout=600)
    assert done.returncode == 0, done.stderr
    text = target.read_text()
    assert text.startswith("run,date,")
    assert "/dev/stdout" not in text


def tables_into(folder: Path, data: Path, *more: str) -> int:
    words = ["report", "--demo", "--csv", f"{folder}/", "--data-dir", str(data), *more]
    return report_verb(build_parser().parse_args(words), Saved())


def test_tables_are_written_over_with_force_all_or_none(tmp_path, data, capsys, monkeypatch):
    folder = tmp_path / "tables"
    assert tables_into(folder, data) == 0
    table = folder / "phases.csv"
    whole = table.read_bytes()
    for path in folder.iterdir():
        path.write_bytes(OLD)
    (folder / "mine.txt").write_bytes(OLD)
    capsys.readouterr()
    assert tables_into(folder, data) == 1
    assert "phases.csv, " in capsys.readouterr().err
    break_disk(monkeypatch, "fsync")
    assert tables_into(folder, data, "--force") == 1
    monkeypatch.undo()
    assert {path.read_bytes() for path in folder.iterdir()} == {OLD}
    assert tables_into(folder, data, "--force") == 0
    assert table.read_bytes() == whole
    assert (folder / "mine.txt").read_bytes() == OLD
    assert not [path for path in folder.iterdir() if path.name.startswith(".")]


@needs_unix
@pytest.mark.parametrize(
    ("options", "said"), [("size=4k", "the disk is full"), ("size=4k,ro", "the disk is read-only")]
)
def test_a_real_disk_that_takes_nothing_has_nothing_left_behind_on_it(write, tmp_path, capsys, options, said):
    """Needs a small disk of its own, which only root can make."""
    disk = tmp_path / "disk"
    disk.mkdir()
    command = ["mount", "-t", "tmpfs", "-o", options, "none", str(disk)]
    made = subprocess.run(command, capture_output=True, check=False)
    if made.returncode:
        pytest.skip("no disk can be mounted here")
    try:
        is_read_only = options.endswith("ro")
        if not is_read_only:
            (disk / "filler").write_bytes(b"x" * 4096)
        assert write(disk / "new") == 1
        assert capsys.readouterr().err.startswith(f"{disk / 'new'} can't be written: {said}. ")
        assert [path.name for path in disk.iterdir()] == ([] if is_read_only else ["filler"])
    finally:
        subprocess.run(["umount", str(disk)], check=True)
