"""The verb restore, and what verbs that read do with damaged records."""

from datetime import date

import pytest

from pacer.__main__ import main
from pacer.log.backups import copy_today
from pacer.log.day_records import DayRecords
from tests.log.damage_factories import teach, wipe_page, write_records

DAY = date(2026, 3, 20)


@pytest.fixture
def path(tmp_path, invented):
    return write_records(tmp_path, invented)


def test_copies_are_listed_with_what_they_hold(path, capsys):
    copy_today(path, DAY)
    for arguments in ([], ["--list"], ["2026-03-20", "--list"]):
        assert main(["restore", *arguments, "--data-dir", str(path.parent)]) == 0
        out = capsys.readouterr().out.splitlines()
        assert out[1].split() == ["2026-03-20", "3", "2026-03-11"]
        assert out[-1].startswith("To bring one back: pacer restore NAME.")


def test_a_copy_is_brought_back_and_what_changed_is_told(path, capsys, invented):
    copy_today(path, DAY)
    with DayRecords.open(path.parent) as records:
        teach(records, invented, 20)
    assert main(["--data-dir", str(path.parent), "restore", "2026-03-20"]) == 0
    out = capsys.readouterr().out
    assert "Brought back: 2026-03-20. What was there before is kept as " in out
    assert "Goes: 1 lesson (“Thirds on a number line”, 29 Mar 2026)." in out
    with DayRecords.read(path.parent) as records:
        assert len(records.runs()) == 2
    assert main(["--data-dir", str(path.parent), "restore"]) == 0
    (back,) = [line.split()[0] for line in capsys.readouterr().out.splitlines() if line.startswith("before-")]
    assert main(["--data-dir", str(path.parent), "restore", back]) == 0
    assert "Comes back: 1 lesson" in capsys.readouterr().out


def test_damaged_records_are_saved_first_and_kept(path, capsys):
    copy_today(path, DAY)
    wipe_page(path, 1)
    assert main(["--data-dir", str(path.parent), "restore", "2026-03-20"]) == 0
    assert "are damaged" in capsys.readouterr().err
    assert len(list(path.parent.glob("*-unreadable-*.sqlite3"))) == 1


@pytest.mark.parametrize("which", ["2020-01-01", "../day-records", ""])
def test_a_name_that_is_no_copy_is_told(path, capsys, which):
    copy_today(path, DAY)
    assert main(["--data-dir", str(path.parent), "restore", which]) == 1
    assert "pacer restore --list" in capsys.readouterr().err


def test_without_copies_it_says_so_and_makes_nothing(tmp_path, capsys):
    assert main(["restore", "--data-dir", str(tmp_path / "none")]) == 1
    assert "There are no copies" in capsys.readouterr().err
    assert not (tmp_path / "none").exists()


def test_while_the_window_has_the_records_it_refuses(path, capsys):
    copy_today(path, DAY)
    with DayRecords.open(path.parent):
        assert main(["--data-dir", str(path.parent), "restore", "2026-03-20"]) == 2
    assert "Close it, then try again" in capsys.readouterr().err


# Verbs that only read.

READING = (
    ["log"],
    ["log", "--json"],
    ["log", "1"],
    ["report"],
    ["report", "--json"],
    ["budgets"],
    ["backtest"],
)


@pytest.mark.parametrize("arguments", READING, ids=" ".join)
def test_who_reads_damaged_records_shows_the_rest_says_so_and_changes_nothing(path, capsys, arguments):
    wipe_page(path, 1)
    before = {file.name: file.read_bytes() for file in path.parent.iterdir()}
    assert main(["--data-dir", str(path.parent), *arguments]) == 1
    captured = capsys.readouterr()
    assert "24 events of 3 lessons can be read." in captured.err
    assert len(captured.err.strip().splitlines()) <= 2
    assert captured.out.strip()
    assert "There are no day records yet" not in captured.out
    assert {file.name: file.read_bytes() for file in path.parent.iterdir()} == before


@pytest.mark.slow
@pytest.mark.parametrize("arguments", READING, ids=" ".join)
def test_who_reads_what_is_no_records_at_all_says_so(path, capsys, arguments):
    path.write_bytes(b"These are no records. " * 500)
    assert main(["--data-dir", str(path.parent), *arguments]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert "can't be read" in captured.err
    assert [file.name for file in path.parent.iterdir()] == [path.name]
