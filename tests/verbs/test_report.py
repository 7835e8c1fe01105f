"""The verb report: the numbers of Look back as words, JSON, CSV and PDF, its refusals and exit codes."""

import csv
import json
import os
import shutil
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pandas as pd
import pytest

from pacer.__main__ import main
from pacer.frames import pictures
from pacer.frames.pictures.chart import Axis, Chart, Table
from pacer.log.database import FILE_NAME
from pacer.log.day_records import DayRecords
from pacer.log.export.tables import TABLE_NAMES
from pacer.review.choice import LessonChoice
from pacer.run.clock import ManualClock
from pacer.run.corrections import DayFlagged
from pacer.run.session import Session
from pacer.verbs.arguments import build_parser
from pacer.verbs.headless_demo import load_demo_outlines
from pacer.verbs.invented_days import write_invented_days
from pacer.verbs.report import PDF_PICTURES, report_verb
from tests.terms import TERM_DAYS
from tests.verbs.verb_factories import PAINTED, Saved, needs_qt

MONDAY_UTC_MS = 1_773_046_800_000  # 9 March 2026, 9:00 UTC
DAY_MS = 86_400_000
pictures_are_there = pytest.mark.skipif(
    any(find_spec(f"pacer.frames.pictures.{name}") is None for name in pictures.QUESTIONS),
    reason="not all of the ten pictures are there",
)


def draw(name: str, days, choice: LessonChoice) -> Chart:
    """A picture of our own: how many lessons there are, day by day."""
    shown = choice.days(days)
    rows = tuple((day.date, str(len(day.phases))) for day in shown)
    return Chart(
        name, f"What about {name}?", len(shown), f"There are {len(shown)}.", Axis("day", 0, 1),
        Axis("n", 0, 1),
        table=Table(("date", "phases"), rows, right=(1,)), choice=f"of {len(shown)}",
    )  # fmt: skip


@pytest.fixture(autouse=True)
def _own_pictures(request, monkeypatch):
    """The pictures have tests of their own; here it counts what becomes of them."""
    monkeypatch.setattr("pacer.verbs.report.qt_complaint", lambda **_options: "")
    if "real_pictures" not in request.fixturenames:
        monkeypatch.setattr(
            pictures, "all_charts", lambda days, choice: [draw(n, days, choice) for n in pictures.QUESTIONS]
        )


@pytest.fixture
def real_pictures() -> None:
    """Leaves the pictures as they are."""


@pytest.fixture
def data(tmp_path, invented) -> Path:
    """Lessons on Monday, Tuesday and Wednesday, a rehearsal on Thursday, a flagged lesson on Friday."""
    folder = tmp_path / "data"
    with DayRecords.open(folder) as records:
        for day, mode in enumerate(("live", "live", "live", "rehearsal", "live")):
            clock = ManualClock(MONDAY_UTC_MS + day * DAY_MS)
            session = Session(clock, records.journal())
            session.start(invented, mode=mode)
            clock.advance(150_000)
            session.do("next", "done")
            clock.advance(180_000)
            session.do("bell-now")
        records.after().say(5, DayFlagged(flagged=True), MONDAY_UTC_MS + 5 * DAY_MS)
    return folder


def report(data: Path, save: Saved, *arguments: object) -> int:
    words = ["report", "--data-dir", str(data), *(str(argument) for argument in arguments)]
    return report_verb(build_parser().parse_args(words), save)


def objects(capsys) -> list[dict]:
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def test_every_picture_is_told_with_its_summary_and_its_table(data, capsys):
    assert main(["report", "--data-dir", str(data)]) == 0
    told = capsys.readouterr()
    lines = told.out.splitlines()
    assert lines[0] == "3 lessons · live"
    for name in pictures.QUESTIONS:
        at = lines.index(f"What about {name}?")
        # The invented plan has six phases.
        assert lines[at + 1 : at + 7] == [
            "There are 3.", "", "date        phases", *(f"2026-03-{day:02d}       6" for day in (9, 10, 11))
        ]  # fmt: skip
    assert told.err.splitlines() == [
        "1 lesson of another kind (rehearsal, baseline, invented) is kept apart.",
        "1 flagged lesson is left out.",
    ]


@pytest.mark.parametrize(
    ("dates", "days"),
    [
        ((), [9, 10, 11]),
        (("--from", "2026-03-10"), [10, 11]),
        (("--to", "2026-03-10"), [9, 10]),
        (("--from", "2026-03-10", "--to", "2026-03-10"), [10]),
    ],
)
def test_both_dates_are_included_and_each_may_be_left_out(data, capsys, dates, days):
    assert report(data, Saved(), "--json", *dates) == 0
    found = objects(capsys)
    wanted = [f"2026-03-{day:02d}" for day in days]
    assert [one["day"]["date"] for one in found if "day" in one] == wanted
    assert found[0]["report"]["lessons"] == len(days)
    drawn = [one["picture"] for one in found if "picture" in one]
    assert [one["name"] for one in drawn] == list(pictures.QUESTIONS)
    assert all(one["rows"] == [[day, "6"] for day in wanted] for one in drawn)


def test_json_gives_every_figure_of_a_lesson_by_its_name(data, capsys):
    assert report(data, Saved(), "--json", "--to", "2026-03-09") == 0
    found = objects(capsys)
    assert found[0] == {
        "report": {"from": None, "to": "2026-03-09", "modes": ["live"], "lessons": 1, "flagged_left_out": 0,
                   "repaired_not_learned_from": 0, "damaged": 0}
    }  # fmt: skip
    (day,) = [one["day"] for one in found if "day" in one]
    # Worked by hand from the two presses.
    assert [(p["title"], p["planned_s"], p["actual_s"], p["ending"]) for p in day["phases"][:2]] == [
        ("Skip count", 120, 150, "done"), ("Review", 180, 180, "bell")
    ]  # fmt: skip
    assert day["talk"]["total_ms"] == 330_000


@pytest.mark.parametrize("dates", [("--from", "2027-01-01"), ("--from", "2026-03-14", "--to", "2026-03-14")])
def test_dates_without_lessons_say_so_and_are_no_fault(data, tmp_path, capsys, dates):
    save = Saved()
    files = ("--pdf", tmp_path / "r.pdf", "--csv", tmp_path / "r.csv")
    assert report(data, save, *dates, *files) == 0
    assert capsys.readouterr().out in (
        "No lessons from 1 Jan 2027.\n", "No lessons on 14 Mar 2026.\n"
    )  # fmt: skip
    assert save.calls == []
    assert not (tmp_path / "r.csv").exists()


def test_without_day_records_it_says_so_and_makes_nothing(tmp_path, capsys):
    assert report(tmp_path / "none", Saved(), "--json") == 0
    told = capsys.readouterr()
    assert json.loads(told.out)["report"]["lessons"] == 0
    assert "There are no day records yet" in told.err
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize("written", ["2026-3-9", "20260309", "2026-02-30", "9 March", "", "2026-W10-1"])
@pytest.mark.parametrize("option", ["--from", "--to"])
def test_a_date_that_is_none_is_refused(data, capsys, option, written):
    assert report(data, Saved(), option, written) == 1
    assert "write year-month-day, such as 2026-03-09" in capsys.readouterr().err


def test_dates_the_wrong_way_round_are_refused_in_plain_words(data, capsys):
    assert report(data, Saved(), "--from", "2026-03-10", "--to", "2026-03-09") == 1
    assert capsys.readouterr().err.strip() == (
        "--from 2026-03-10 is later than --to 2026-03-09. Write the earlier day first."
    )


def test_the_phases_go_into_one_csv_file_that_is_never_written_over(data, tmp_path, capsys):
    target = tmp_path / "phases.csv"
    assert report(data, Saved(), "--csv", target, "--from", "2026-03-10") == 0
    assert capsys.readouterr().out.strip() == str(target)
    found = pd.read_csv(target)
    assert found["date"].unique().tolist() == ["2026-03-10", "2026-03-11"]
    assert found.groupby("run").size().tolist() == [6, 6]
    assert found.loc[found["title"] == "Skip count", "actual_s"].tolist() == [150, 150]
    before = target.read_bytes()
    assert report(data, Saved(), "--csv", target) == 1
    assert "not written over" in capsys.readouterr().err
    assert target.read_bytes() == before


@pytest.mark.parametrize("is_there", [False, True])
def test_a_folder_gets_every_table_of_the_dates_whatever_kind_the_lesson_was(
    data, tmp_path, capsys, is_there
):
    folder = tmp_path / "tables"
    if is_there:
        folder.mkdir()
    written = str(folder) if is_there else f"{folder}/"
    assert report(data, Saved(), "--csv", written, "--from", "2026-03-11") == 0
    assert sorted(capsys.readouterr().out.split()) == sorted(str(folder / f"{n}.csv") for n in TABLE_NAMES)
    with (folder / "lessons.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [(row["date"], row["mode"]) for row in rows] == [
        ("2026-03-11", "live"), ("2026-03-12", "rehearsal"), ("2026-03-13", "live")
    ]  # fmt: skip
    assert report(data, Saved(), "--csv", written) == 1
    assert "is there already" in capsys.readouterr().err


def test_the_coach_copy_gets_four_pictures_and_no_notes(data, tmp_path, capsys):
    save, target = Saved(), tmp_path / "coach.pdf"
    assert report(data, save, "--pdf", target, "--paper", "Letter", "--to", "2026-03-10") == 0
    ((paper, days, choice, charts, lines),) = save.calls
    assert (target.read_bytes(), paper) == (PAINTED, "Letter")
    assert [day.date for day in days] == ["2026-03-09", "2026-03-10"]
    assert choice == LessonChoice(until="2026-03-10")
    assert tuple(chart.name for chart in charts) == PDF_PICTURES
    assert lines[0] == "2 lessons, 9 Mar 2026 to 10 Mar 2026"
    assert not any("tomorrow" in line or "Reasons" in line for line in lines)
    assert capsys.readouterr().out.strip() == str(target)


def test_a_page_that_does_not_fit_is_two_and_a_place_that_cannot_be_written_is_one(data, tmp_path, capsys):
    def too_full(*_what: object) -> None:
        raise ValueError("Choose fewer lines.")

    assert report(data, too_full, "--pdf", tmp_path / "r.pdf", "--csv", tmp_path / "r.csv") == 2
    assert "Choose fewer lines." in capsys.readouterr().err
    assert not (tmp_path / "r.csv").exists(), "the page is drawn before anything is written"
    for option, name in (("--csv", "r.csv"), ("--pdf", "r.pdf"), ("--csv", "tables/")):
        assert report(data, Saved(), option, f"{tmp_path}/no/{name}") == 1
        assert "its folder is gone" in capsys.readouterr().err


def test_without_qts_libraries_the_page_says_what_to_install_and_the_text_needs_none(
    data, tmp_path, capsys, monkeypatch
):
    monkeypatch.setattr("pacer.verbs.report.qt_complaint", lambda **_options: "Install something")
    assert report(data, Saved(), "--pdf", tmp_path / "r.pdf") == 2
    assert capsys.readouterr().err.strip() == "Install something"
    assert report(data, Saved()) == 0


def test_a_file_named_twice_or_there_already_is_refused(data, tmp_path, capsys):
    target = tmp_path / "r.pdf"
    assert report(data, Saved(), "--pdf", target, "--csv", target) == 1
    assert "name the same file" in capsys.readouterr().err
    target.write_text("mine")
    assert report(data, Saved(), "--pdf", target) == 1
    assert "is there already" in capsys.readouterr().err
    assert target.read_text() == "mine"
    assert report(data, Saved(), "--csv", "") == 1


def test_records_that_cannot_be_read_are_two(tmp_path, capsys):
    (tmp_path / FILE_NAME).write_bytes(b"")
    with DayRecords.open(tmp_path) as records:
        records.connection.execute("CREATE TABLE of_tomorrow (x)")
        records.connection.execute("PRAGMA user_version = 99")
    assert report(tmp_path, Saved()) == 2
    assert "newer Pacer" in capsys.readouterr().err


def test_a_damaged_day_record_is_left_out_and_counted(data, capsys):
    with DayRecords.open(data) as records:
        records.connection.execute("UPDATE event SET body = '{' WHERE run_id = 2 AND seq = 1")
    assert report(data, Saved(), "--json") == 0
    told = capsys.readouterr()
    assert json.loads(told.out.splitlines()[0])["report"]["lessons"] == 2
    assert "1 day record can't be read" in told.err


def test_invented_lessons_are_told_only_when_asked_for(tmp_path, capsys):
    with DayRecords.open(tmp_path) as records:
        write_invented_days(records, load_demo_outlines(), 3, until_utc_ms=MONDAY_UTC_MS)
    assert report(tmp_path, Saved(), "--json") == 0
    assert objects(capsys)[0]["report"]["lessons"] == 0
    for words in (["--demo", "report"], ["report", "--demo"]):
        assert main([*words, "--data-dir", str(tmp_path), "--json"]) == 0
        assert objects(capsys)[0]["report"]["lessons"] == 3


@pytest.mark.slow
@pictures_are_there
def test_the_real_pictures_are_told_of_every_day_and_the_same_without_qt(
    tmp_path, term_folder, real_pictures
):
    shutil.copytree(term_folder, tmp_path, dirs_exist_ok=True)
    command = [sys.executable, "-m", "pacer", "report", "--demo", "--data-dir", str(tmp_path), "--json"]
    watched = [
        sys.executable, "-c",
        "import sys; from pacer.__main__ import main; code = main(sys.argv[1:]);"
        "sys.exit(code or 3 * any(name.startswith('PySide6') for name in sys.modules))",
        *command[3:],
    ]  # fmt: skip
    done = subprocess.run(watched, capture_output=True, text=True, timeout=6000, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    found = [json.loads(line) for line in done.stdout.splitlines()]
    drawn = [one["picture"] for one in found if "picture" in one]
    assert [one["name"] for one in drawn] == list(pictures.QUESTIONS)
    assert all(one["summary"] and one["rows"] for one in drawn)
    assert sum("day" in one for one in found) == TERM_DAYS


@pytest.mark.slow
@needs_qt
@pictures_are_there
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_page_is_written_without_a_screen(tmp_path, paper, real_pictures):
    with DayRecords.open(tmp_path) as records:
        write_invented_days(records, load_demo_outlines(), 8, until_utc_ms=MONDAY_UTC_MS, foreseen=True)
    hidden = {"DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"}
    environment = {name: value for name, value in os.environ.items() if name not in hidden}
    target = tmp_path / "coach.pdf"
    command = [sys.executable, "-m", "pacer", "report", "--demo", "--data-dir", str(tmp_path), "--pdf",
               str(target), "--paper", paper]  # fmt: skip
    done = subprocess.run(command, env=environment, capture_output=True, text=True, timeout=6000, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert target.read_bytes().startswith(b"%PDF")
    assert target.read_bytes().count(b"/Type /Page\n") == 1
