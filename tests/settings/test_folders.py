"""Where things are kept: the platform's folders, or all in the one that is named."""

import sys
from pathlib import Path

import pytest
from platformdirs import user_config_path, user_data_path

from pacer.settings.folders import close_to_others, folders


def test_a_named_folder_holds_everything(tmp_path):
    where = folders(tmp_path)
    assert where.data == tmp_path
    assert where.settings_file == tmp_path / "settings.json"
    assert where.outlines == tmp_path / "outlines"


def test_without_one_the_platforms_own_folders_are_used():
    where = folders()
    assert where.data == user_data_path("pacer", appauthor=False)
    assert where.settings_file == user_config_path("pacer", appauthor=False) / "settings.json"
    assert where.outlines.parent == where.data


def test_on_linux_the_xdg_variables_move_them(tmp_path, monkeypatch):
    monkeypatch.setattr("pacer.settings.folders.user_data_path", _unix("data"))
    monkeypatch.setattr("pacer.settings.folders.user_config_path", _unix("config"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    where = folders()
    assert where.data == tmp_path / "data" / "pacer"
    assert where.settings_file == tmp_path / "config" / "pacer" / "settings.json"


def test_naming_folders_makes_none(tmp_path):
    folders(tmp_path / "later")
    assert not (tmp_path / "later").exists()


def _unix(kind: str):
    """The Unix rule of platformdirs, whatever this machine is."""
    from platformdirs.unix import Unix

    def path(name: str, *, appauthor: bool) -> Path:
        return getattr(Unix(name, appauthor), f"user_{kind}_path")

    return path


# Others on the same computer.


def opened(path: Path, *, folder: bool = False) -> Path:
    """Something that an older Pacer left open to others."""
    if folder:
        path.mkdir(parents=True, exist_ok=True)
    else:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("x")
    path.chmod(0o755 if folder else 0o644)
    return path


def is_closed(path: Path) -> bool:
    return not path.lstat().st_mode & 0o077


OLD = (
    "day-records.sqlite3", "day-records.sqlite3-wal", "day-records.sqlite3-shm", "pacer.log", "pacer.log.1",
    "day-records-unreadable-1.sqlite3", "settings.json", "settings-unreadable-1.json", "split.json",
    "backups/day-records-1.sqlite3", "pacer-crash.txt", "pacer.lock", "outlines/lesson.toml",
    "outlines/pages/strip.png", "drafts/1.json", "history/lesson-1/2026.toml",
)  # fmt: skip


@pytest.mark.skipif(sys.platform == "win32", reason="rights as on Unix")
def test_what_an_older_pacer_left_open_is_closed_with_the_folder(tmp_path):
    opened(tmp_path / "data", folder=True)
    files = [opened(tmp_path / "data" / name) for name in OLD]
    close_to_others(folders(tmp_path / "data"))
    assert [path for path in (tmp_path / "data", *files) if not is_closed(path)] == []
    assert all(is_closed(path.parent) for path in files)


@pytest.mark.skipif(sys.platform == "win32", reason="rights as on Unix")
def test_in_a_folder_with_other_things_only_what_is_pacers_is_closed(tmp_path):
    data = opened(tmp_path / "school", folder=True)
    files = [opened(data / name) for name in OLD]
    other = opened(data / "menu.txt")
    close_to_others(folders(data))
    assert [path for path in files if not is_closed(path)] == []
    assert not is_closed(data)
    assert not is_closed(other)


@pytest.mark.skipif(sys.platform == "win32", reason="rights as on Unix")
def test_pacers_own_folders_are_closed_whatever_lies_there(tmp_path, monkeypatch):
    data, config = tmp_path / "data", tmp_path / "config"
    monkeypatch.setattr("pacer.settings.folders.user_data_path", lambda *_a, **_o: data)
    monkeypatch.setattr("pacer.settings.folders.user_config_path", lambda *_a, **_o: config)
    close_to_others(folders())  # nothing is there yet
    opened(data, folder=True), opened(config, folder=True)
    opened(data / "note.txt"), opened(config / "settings.json")
    close_to_others(folders())
    assert [is_closed(path) for path in (data, config, config / "settings.json")] == [True] * 3
