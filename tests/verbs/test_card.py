"""The verb card: one page as PDF, its refusals and exit codes."""

import os
import subprocess
import sys
from datetime import datetime

import pytest

from pacer.__main__ import main
from pacer.frames.paper_card import PaperCard
from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes
from pacer.settings.model import Settings
from pacer.verbs.arguments import build_parser
from pacer.verbs.card import card_verb
from tests.verbs.verb_factories import OUTLINE, PAINTED, Saved, needs_qt

DAY = datetime(2026, 3, 9, 17, 30)


@pytest.fixture(autouse=True)
def _qt_could_run(monkeypatch):
    monkeypatch.setattr("pacer.verbs.card.qt_complaint", lambda **_options: "")


def card(save: Saved, *arguments: object) -> int:
    options = build_parser().parse_args(["card", *(str(argument) for argument in arguments)])
    return card_verb(options, save, DAY)


def test_the_card_of_an_outline_starts_when_the_block_does(tmp_path, capsys):
    save, target = Saved(), tmp_path / "card.pdf"
    assert card(save, OUTLINE, "--start", "8:45", "--paper", "Letter", "--pdf", target) == 0
    ((made, paper),) = save.calls
    assert isinstance(made, PaperCard)
    assert made.times == "8:45 to 10:00, mini lesson 25"
    assert made.rows[0].start == "8:45"
    assert (target.read_bytes(), paper) == (PAINTED, "Letter")
    assert capsys.readouterr().out.strip() == str(target)


def test_nine_and_a4_are_what_is_not_said(tmp_path):
    save = Saved()
    assert card(save, OUTLINE, "--pdf", tmp_path / "card.pdf") == 0
    assert (save.calls[0][0].rows[0].start, save.calls[0][1]) == ("9:00", "A4")


def test_the_page_about_the_squares_needs_no_outline(tmp_path):
    save = Saved()
    assert card(save, "--squares", "--pdf", tmp_path / "squares.pdf") == 0
    assert save.calls[0][0] is None


@pytest.mark.parametrize("arguments", [(), (OUTLINE, "--squares")])
def test_it_is_one_outline_or_the_squares(tmp_path, capsys, arguments):
    assert card(Saved(), *arguments, "--pdf", tmp_path / "card.pdf") == 1
    assert "Name one outline" in capsys.readouterr().err


def test_the_card_of_a_date_is_in_its_day_shape(tmp_path):
    shapes = DayShapes(shapes=STARTING_SHAPES, days={"2026-03-10": "Assembly"})
    (tmp_path / "settings.json").write_text(Settings(day_shapes=shapes).model_dump_json(), encoding="utf-8")
    save = Saved()
    where = "--data-dir", tmp_path, "--pdf", tmp_path / "card.pdf"
    assert card(save, OUTLINE, "--date", "2026-03-10", *where) == 0
    made = save.calls[0][0]
    assert (made.day, made.shape, made.rows[0].start) == ("Tuesday 10 March 2026", "Assembly", "9:30")
    assert made.times.startswith("9:30 to 10:30")


def test_without_a_date_it_is_todays_as_written(tmp_path):
    save = Saved()
    assert card(save, OUTLINE, "--pdf", tmp_path / "card.pdf") == 0
    assert (save.calls[0][0].day, save.calls[0][0].shape) == ("Monday 9 March 2026", "")


@pytest.mark.parametrize("day", ["tomorrow", "2026-02-30", ""])
def test_a_date_that_is_none_is_refused(tmp_path, capsys, day):
    assert card(Saved(), OUTLINE, "--date", day, "--pdf", tmp_path / "card.pdf") == 1
    assert "write a day such as 2026-03-09" in capsys.readouterr().err


@pytest.mark.parametrize("start", ["25:00", "9", "9:60", "nine", ""])
def test_a_start_that_is_no_clock_time_is_refused(tmp_path, capsys, start):
    assert card(Saved(), OUTLINE, "--start", start, "--pdf", tmp_path / "card.pdf") == 1
    assert "write a clock time" in capsys.readouterr().err


def test_an_outline_with_problems_is_told_as_check_tells_it(tmp_path, capsys):
    bad = tmp_path / "bad.toml"
    bad.write_text("format = 1\ntitle = \n", encoding="utf-8")
    assert main(["check", str(bad)]) == 1
    told = capsys.readouterr().out
    save = Saved()
    assert card(save, bad, "--pdf", tmp_path / "card.pdf") == 1
    assert capsys.readouterr().err == told
    assert save.calls == []


def test_the_outline_is_never_overwritten(tmp_path, capsys):
    own = tmp_path / "own.toml"
    own.write_bytes(OUTLINE.read_bytes())
    assert card(Saved(), own, "--pdf", own) == 1
    assert "overwrite" in capsys.readouterr().err
    assert own.read_bytes() == OUTLINE.read_bytes()


def test_without_qts_libraries_it_says_what_to_install(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr("pacer.verbs.card.qt_complaint", lambda **_options: "Install something")
    assert card(Saved(), OUTLINE, "--pdf", tmp_path / "card.pdf") == 2
    assert capsys.readouterr().err.strip() == "Install something"


@pytest.mark.slow
@needs_qt
def test_both_pages_are_written_without_a_screen(tmp_path):
    hidden = {"DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"}
    environment = {name: value for name, value in os.environ.items() if name not in hidden}
    for what in ([str(OUTLINE)], ["--squares"]):
        target = tmp_path / f"{len(what[0])}.pdf"
        command = [sys.executable, "-m", "pacer", "card", *what, "--pdf", str(target)]
        done = subprocess.run(
            command, env=environment, capture_output=True, text=True, timeout=6000, check=False
        )
        assert (done.returncode, done.stderr) == (0, "")
        assert target.read_bytes().startswith(b"%PDF")
        assert target.read_bytes().count(b"/Type /Page\n") == 1


@needs_qt
def test_a_folder_that_is_not_there_is_told_with_the_next_step(tmp_path, capsys):
    target = tmp_path / "gone" / "card.pdf"
    assert main(["card", str(OUTLINE), "--pdf", str(target)]) == 1
    assert capsys.readouterr().err.startswith(f"{target} can't be written: ")
