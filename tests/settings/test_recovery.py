"""What is offered after a crash: only what the teacher herself typed, from folders that are hers alone."""

import os
import stat
import sys
from pathlib import Path

import pytest

from pacer import owner_only
from pacer.settings.draft_store import NEW
from pacer.settings.folders import own_elsewhere
from pacer.settings.recovery import Recovery

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="rights as on Unix")


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "drafts"


@pytest.fixture
def recovery(folder, tmp_path):
    return Recovery(folder, tmp_path / "elsewhere")


@pytest.fixture
def draft(recovery, tmp_path) -> Path:
    kept = recovery.keep(tmp_path / "lesson.toml", "typed", NEW, 1).file
    assert kept is not None
    assert [found.text for found in recovery.all()] == ["typed"]
    return kept


def test_drafts_are_kept_for_her_alone(draft, folder):
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert stat.S_IMODE(draft.stat().st_mode) == 0o600


def test_a_draft_that_somebody_else_planted_is_neither_offered_nor_removed(draft, recovery, monkeypatch):
    real = os.lstat

    def of_somebody_else(path, **how):
        found = real(path, **how)
        return os.stat_result((*found[:4], found.st_uid + 1, *found[5:])) if path == draft else found

    monkeypatch.setattr(Path, "lstat", of_somebody_else)
    assert recovery.all() == []
    recovery.drop(Path("lesson.toml"))
    assert os.path.lexists(draft)


def test_a_link_to_a_draft_elsewhere_is_not_offered(draft, recovery, tmp_path):
    draft.rename(tmp_path / "planted.json")
    draft.symlink_to(tmp_path / "planted.json")
    assert recovery.all() == []


def test_a_folder_of_drafts_that_is_a_link_or_somebody_elses_offers_nothing(
    draft, recovery, folder, tmp_path, monkeypatch
):
    folder.rename(tmp_path / "moved")
    folder.symlink_to(tmp_path / "moved")
    assert recovery.all() == []
    folder.unlink()
    (tmp_path / "moved").rename(folder)
    assert len(recovery.all()) == 1
    monkeypatch.setattr(owner_only.os, "getuid", lambda: os.geteuid() + 1)
    assert recovery.all() == []


def test_a_folder_of_an_older_pacer_is_closed_and_its_drafts_are_offered_still(draft, recovery, folder):
    folder.chmod(0o755)
    draft.chmod(0o644)
    assert [found.text for found in recovery.all()] == ["typed"]
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_nothing_is_kept_in_a_folder_that_is_not_hers_alone(recovery, tmp_path, folder, monkeypatch):
    folder.mkdir()
    monkeypatch.setattr(owner_only.os, "getuid", lambda: os.geteuid() + 1)
    kept = recovery.keep(tmp_path / "lesson.toml", "typed", NEW, 1)
    assert kept.file is None
    assert "it is not yours alone" in kept.notice
    assert list(folder.iterdir()) == []


def test_the_second_place_is_never_the_shared_temporary_folder(monkeypatch, tmp_path):
    monkeypatch.delenv("XDG_RUNTIME_DIR", raising=False)
    monkeypatch.setattr("pacer.settings.folders.tempfile.gettempdir", lambda: str(tmp_path / "shared"))
    assert not own_elsewhere().is_relative_to(tmp_path)
    monkeypatch.setenv("XDG_RUNTIME_DIR", str(tmp_path / "run"))
    assert own_elsewhere() == tmp_path / "run" / "pacer"
    for no_place in ("run", str(tmp_path / "shared" / "runtime-7")):
        monkeypatch.setenv("XDG_RUNTIME_DIR", no_place)
        assert not own_elsewhere().is_relative_to(tmp_path)
