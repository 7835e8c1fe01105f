"""Pacer was never used where there is nothing of hers: no choice, no outline, nothing typed, no lesson."""

from pathlib import Path

import pytest

from pacer.editing.first_start import is_first_start
from pacer.editing.kept_lessons import KeptLessons
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from pacer.settings.folders import Folders, folders
from pacer.settings.model import Settings


@pytest.fixture
def where(tmp_path: Path) -> Folders:
    return folders(tmp_path / "data")


def is_first(where: Folders, settings: Settings | None = None) -> bool:
    kept = KeptLessons(where, ManualClock(), ("live",), print)
    try:
        return is_first_start(where, settings or Settings(), kept)
    finally:
        kept.close()


def test_an_empty_folder_is_a_first_start_until_a_choice_is_made(where: Folders) -> None:
    assert is_first(where)
    assert is_first(where), "the look itself changes nothing"
    assert not is_first(where, Settings(begun=True))


@pytest.mark.parametrize("file", ["outlines/mine.toml", "drafts/typed.json", "split.json"])
def test_whatever_she_wrote_says_that_she_has_begun(where: Folders, file: str) -> None:
    path = where.data / file
    path.parent.mkdir(parents=True)
    path.write_text("nonsense", encoding="utf-8")
    assert not is_first(where)


@pytest.mark.parametrize("into_trash", [False, True])
def test_a_lesson_says_so_even_from_the_trash(where: Folders, invented, into_trash: bool) -> None:
    kept = KeptLessons(where, ManualClock(), ("live",), print)
    session = Session(ManualClock(), kept.journal())
    session.start(invented)
    session.do("bell-now")
    if into_trash:
        assert kept.records is not None
        kept.records.trash().put([run.id for run in kept.records.runs()], 0)
    kept.close()
    assert not is_first(where)


def test_records_that_are_broken_are_told_first(where: Folders) -> None:
    where.data.mkdir()
    (where.data / "day-records.sqlite3").write_bytes(b"no database" * 100)
    assert not is_first(where)
