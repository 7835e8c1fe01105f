"""Where things are kept: the platform's folders, or all in the one that is named."""

from pathlib import Path

from platformdirs import user_config_path, user_data_path

from pacer.settings.folders import folders


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
