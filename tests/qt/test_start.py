"""A start always ends in a window: the program's, or a small one that says why there is none."""

import sys
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication

from pacer.log.database import FILE_NAME
from pacer.log.day_records import DayRecords
from pacer.qt import note_window, start
from pacer.qt.app import Program
from pacer.qt.note_window import NoteWindow
from pacer.settings.folders import folders
from tests.log.damage_factories import flip, wipe_page, write_records
from tests.qt.window_factories import settle, take_apart


class Seen:
    """Stands in for the application: notes what the visible windows say, then ends."""

    def __init__(self) -> None:
        self.notices: list[str] = []
        self.notes: list[str] = []
        self.program: Program | None = None

    def exec(self) -> int:
        settle()
        for window in QApplication.topLevelWidgets():
            if isinstance(window, NoteWindow) and window.isVisible():
                self.notes.append(window.words.text())
                window.close()
        if self.program is not None and self.program.window.isVisible():
            self.notices.append(self.program.today.notice.text())
        settle()
        return 7


@pytest.fixture
def opened(dressed, room_clock, monkeypatch):
    """Starts the program on a folder for one turn of its event loop."""
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)  # put back afterwards
    monkeypatch.setattr(note_window, "UNSEEN", ())
    seen = Seen()

    class Watched(Program):
        def __init__(self, *arguments, **options) -> None:
            super().__init__(*arguments, **options)
            seen.program = self

    monkeypatch.setattr(start, "Program", Watched)

    def run(data: Path) -> Seen:
        start._run(seen, folders(data), demo=False)
        return seen

    yield run
    if seen.program is not None:
        take_apart(seen.program.window, seen.program._room, seen.program)


def _name_that_is_no_text(path: Path) -> None:
    path.write_bytes(path.read_bytes().replace(b"tablerunrun", b"table\xff\xfenrun"))


def _folder_in_its_place(path: Path) -> None:
    path.unlink()
    path.mkdir()


@pytest.mark.every_case
@pytest.mark.parametrize(
    ("spoil", "lessons"),
    [
        (lambda path: flip(path, 3), 2),
        (lambda path: flip(path, 17), 2),
        (lambda path: flip(path, 18, 0x08), 2),
        (lambda path: flip(path, 59), 2),
        (lambda path: flip(path, 62), 2),
        (lambda path: flip(path, 103), 2),
        (_name_that_is_no_text, 2),
        (lambda path: wipe_page(path, 1), 2),
        (lambda path: path.write_bytes(b"\xff" * 9000), 0),
        (_folder_in_its_place, 0),
    ],
    ids=[
        "magic",
        "page-size",
        "journal",
        "encoding",
        "version",
        "cells",
        "no-text",
        "page",
        "garbage",
        "folder",
    ],
)
def test_damaged_records_open_a_window_that_works_and_says_what_was_saved(
    opened, tmp_path, invented, spoil, lessons
):
    path = write_records(tmp_path / "data", invented)
    spoil(path)
    seen = opened(tmp_path / "data")
    (notice,) = seen.notices
    assert seen.notes == []
    assert ("24 events of 3 lessons can be read." in notice) == (lessons > 0)
    assert "kept as day-records-unreadable-" in notice
    with DayRecords.open(tmp_path / "data") as records:
        assert len(records.runs()) == lessons
        assert records.can_write


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (RuntimeError("an invented fault"), "Pacer can't open: something went wrong inside it."),
        (PermissionError(13, "Permission denied", "outlines"), "outlines can't be used (Permission denied)"),
        (UnicodeDecodeError("utf-8", b"\xff", 0, 1, "invalid"), "something went wrong inside it."),
        (RecursionError(), "something went wrong inside it."),
    ],
)
def test_what_stops_the_window_is_told_in_a_small_one(opened, tmp_path, monkeypatch, fault, said):
    def fail(*_what: object, **_options: object) -> None:
        raise fault

    monkeypatch.setattr(start, "Program", fail)
    seen = opened(tmp_path / "data")
    (note,) = seen.notes
    assert said in note
    assert "pacer --data-dir FOLDER" in note
    assert f"fault {type(fault).__name__}" in (tmp_path / "data" / "pacer.log").read_text(encoding="utf-8")


def test_any_fault_while_the_records_are_opened_leaves_a_window_that_says_so(
    opened, tmp_path, invented, monkeypatch
):
    write_records(tmp_path / "data", invented)

    def fail(*_what: object) -> None:
        raise SystemError("an invented fault")

    monkeypatch.setattr("pacer.log.opening._open_for_writing", fail)
    seen = opened(tmp_path / "data")
    assert "can't be used (an invented fault)" in seen.notices[0]
    assert "not recorded" in seen.notices[0]
    assert (tmp_path / "data" / FILE_NAME).exists()
