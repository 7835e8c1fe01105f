"""The verb report with input that nobody meant: names that are none, files half written, damaged lists."""

import sqlite3
from pathlib import Path

import pytest

from pacer.log.database import FILE_NAME
from pacer.log.day_records import DayRecords
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from pacer.verbs.arguments import build_parser
from pacer.verbs.report import report_verb
from tests.verbs.verb_factories import Saved

MONDAY_UTC_MS = 1_773_046_800_000  # 9 March 2026, 9:00 UTC
DAY_MS = 86_400_000


@pytest.fixture
def data(tmp_path, invented) -> Path:
    """Three lessons on three days."""
    folder = tmp_path / "data"
    with DayRecords.open(folder) as records:
        for day in range(3):
            clock = ManualClock(MONDAY_UTC_MS + day * DAY_MS)
            session = Session(clock, records.journal())
            session.start(invented)
            clock.advance(150_000)
            session.do("bell-now")
    return folder


@pytest.fixture(autouse=True)
def _can_paint(monkeypatch):
    monkeypatch.setattr("pacer.verbs.report.qt_complaint", lambda **_options: "")


def report(data: Path, *arguments: object, save: Saved | None = None) -> int:
    words = ["report", "--data-dir", str(data), *(str(argument) for argument in arguments)]
    return report_verb(build_parser().parse_args(words), save or Saved())


def test_a_pdf_without_a_name_is_asked_for_its_name(data, capsys):
    save = Saved()
    assert report(data, "--pdf", "", save=save) == 1
    assert capsys.readouterr().err == "--pdf needs the name of a file.\n"
    assert save.calls == []


@pytest.mark.parametrize("written", ["", " "])
def test_an_empty_date_is_shown_as_empty(data, capsys, written):
    assert report(data, f"--from={written}") == 1
    assert capsys.readouterr().err.startswith('--from "" is no date; ')


def test_a_table_that_was_written_before_the_page_failed_is_told(data, tmp_path, capsys):
    table = tmp_path / "phases.csv"
    page = tmp_path / "gone" / "p.pdf"
    assert report(data, "--csv", table, "--pdf", page) == 1
    told = capsys.readouterr()
    assert told.out == f"{table}\n"
    assert told.err.startswith(f"{page} can't be written: its folder is gone. ")
    assert table.stat().st_size > 0


def test_a_file_named_like_a_folder_is_in_the_way_and_stays(data, tmp_path, capsys):
    taken = tmp_path / "notes.csv"
    taken.write_text("mine")
    assert report(data, "--csv", f"{taken}/") == 1
    assert capsys.readouterr().err.startswith(f"{taken} is there already and is not written over. ")
    assert taken.read_text() == "mine"


@pytest.mark.parametrize(
    "damage",
    ["mode = 'of a newer Pacer'", "title = x'ff'", "started_utc_ms = -1", "utc_offset_s = 999999"],
)
def test_a_lesson_that_the_list_leaves_out_is_counted_among_those_that_cannot_be_read(data, capsys, damage):
    connection = sqlite3.connect(data / FILE_NAME)
    with connection:
        connection.execute(f"UPDATE run SET {damage} WHERE id = 2")
    connection.close()
    assert report(data) == 0
    told = capsys.readouterr()
    assert told.err == "1 day record can't be read and is left out.\n"
    assert told.out.startswith("2 lessons · live\n")
