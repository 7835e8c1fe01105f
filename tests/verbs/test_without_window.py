"""The verbs check, schema and log."""

import json
import sqlite3
import time
from contextlib import closing

import pytest

from pacer.__main__ import main
from pacer.log.database import FILE_NAME
from pacer.log.day_records import DayRecords
from pacer.paths import template_folder
from pacer.plan.file.reader import read_outline
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from tests.verbs.verb_factories import needs_qt


@pytest.mark.slow
def test_check_passes_every_template_and_says_so(capsys):
    files = sorted(str(path) for path in template_folder().glob("*.toml"))
    assert main(["check", *files]) == 0
    said = capsys.readouterr().out.splitlines()
    assert sum(": fine (" in line for line in said) == len(files) >= 7
    assert all(": fine (" in line or ": Note: " in line for line in said)


@needs_qt
def test_check_says_which_line_the_back_row_cant_read_by_the_settings_of_the_room(tmp_path, capsys):
    line = " ".join(["Look at the number line and tell your partner which is nearer to one half."] * 3)
    line += " Then write it down, and show it to all of us on your board."
    plan = tmp_path / "long.toml"
    plan.write_text(
        f'format = 1\ntitle = "Long"\n[[phase]]\ntitle = "Review"\nbudget = "5"\nclass_line = "{line}"\n'
    )
    (tmp_path / "settings.json").write_text('{"picture_height_mm": 600}')
    assert main(["--data-dir", str(tmp_path), "check", str(plan)]) == 0
    said = [one for one in capsys.readouterr().out.splitlines() if "back row" in one]
    assert len(said) == 1
    assert said[0].startswith(
        f"{plan}:6: Note: The line for the class of “Review” is too small for the back row"
    )
    (tmp_path / "settings.json").write_text('{"picture_height_mm": 3000}')
    assert main(["--data-dir", str(tmp_path), "check", str(plan)]) == 0
    assert main(["--data-dir", str(tmp_path / "none"), "check", str(plan)]) == 0
    assert "back row" not in capsys.readouterr().out
    assert not (tmp_path / "none").exists()


def test_check_names_file_and_line_and_goes_on_to_the_next_file(tmp_path, capsys):
    bad = tmp_path / "bad.toml"
    bad.write_text('format = 1\ntitle = "x"\n[[phase]]\ntitle = "y"\nbuget = "3"\n')
    good = next(iter(template_folder().glob("*.toml")))
    assert main(["check", str(bad), str(good)]) == 1
    out = capsys.readouterr().out
    assert f'{bad}:5: There is no key "buget" here. Did you mean "budget"?' in out
    assert f"{good}: fine" in out


def test_check_of_a_missing_file_and_of_a_folder_is_a_problem_not_a_traceback(tmp_path, capsys):
    assert main(["check", str(tmp_path), str(tmp_path / "none.toml")]) == 1
    assert len(capsys.readouterr().out.splitlines()) == 2


def test_lessons_of_a_mode_that_is_not_known_are_told_and_not_called_none(one_record, capsys):
    database = sqlite3.connect(one_record / FILE_NAME)
    with closing(database), database:
        database.execute("UPDATE run SET mode = 'outdoors'")
    for arguments in (["log"], ["log", "--json"]):
        assert main([*arguments, "--data-dir", str(one_record)]) == 1
        out, err = capsys.readouterr()
        assert out == ""
        assert err.startswith(f"1 day record in {one_record / FILE_NAME} is damaged or from a newer Pacer")


def test_a_day_record_that_is_not_there_is_told_with_its_file(one_record, capsys):
    for number in ("7", "x", "9" * 400):
        assert main(["log", number, "--data-dir", str(one_record)]) == 1
        assert str(one_record / FILE_NAME) in capsys.readouterr().err


def test_schema_prints_json_with_every_key_of_a_phase(capsys):
    assert main(["schema"]) == 0
    schema = json.loads(capsys.readouterr().out)
    assert {"budget", "floor", "cap", "movable", "burst"} <= set(schema["$defs"]["PhaseTable"]["properties"])


@pytest.fixture
def one_record(tmp_path):
    """A data folder with one lesson in it: 2:10 of a phase planned for 2:00, then ended."""
    outline = read_outline(template_folder() / "number-line-75.toml")
    with DayRecords.open(tmp_path) as records:
        clock = ManualClock(time.time_ns() // 1_000_000)
        session = Session(clock, records.journal())
        session.start(outline)
        clock.advance(130_000)
        session.do("next", "done")
        session.do("end")
    return tmp_path


def test_log_lists_the_records_and_shows_one(one_record, capsys):
    assert main(["log", "--data-dir", str(one_record)]) == 0
    assert "Fractions on a number line" in capsys.readouterr().out
    assert main(["--data-dir", str(one_record), "log", "1", "--json"]) == 0
    record = json.loads(capsys.readouterr().out)["record"]
    assert record["phases"][0] | {"visits": 0} == {
        "phase": "skip-count", "title": "Skip count", "kind": "warm-up",
        "planned": 120, "actual": 130, "ending": "done", "visits": 0, "cut_off": False,
    }  # fmt: skip
    assert main(["log", "1", "--data-dir", str(one_record)]) == 0
    assert "+0:10" in capsys.readouterr().out


@pytest.fixture
def marked_record(tmp_path):
    """A lesson of one minute with marks, then the bell."""
    with DayRecords.open(tmp_path) as records:
        clock = ManualClock(time.time_ns() // 1_000_000)
        session = Session(clock, records.journal())
        session.start(read_outline(template_folder() / "number-line-75.toml"))
        for command, argument in (("voice", ""), ("tally", "3"), ("voice", ""), ("tally", "1"),
                                  ("table-mark", ""), ("bell-now", "")):  # fmt: skip
            clock.advance(10_000)
            session.do(command, argument)
    return tmp_path


def test_log_shows_what_was_pressed_beside_the_phases(marked_record, capsys):
    """And a phase cut off before its time has no time over or under."""
    assert main(["log", "1", "--data-dir", str(marked_record)]) == 0
    shown = capsys.readouterr().out.splitlines()
    marks = ["1 mark for the table", "stuck on problem 1 (1), 3 (1)", "2 children's voices"]
    assert shown[1].split(" · ")[-3:] == marks
    assert shown[2] == ""
    row = next(line for line in shown if line.startswith("Skip count"))
    assert row.split() == ["Skip", "count", "2:00", "≥", "1:00", "bell"]
    assert main(["log", "1", "--json", "--data-dir", str(marked_record)]) == 0
    record = json.loads(capsys.readouterr().out)["record"]
    found = {key: record[key] for key in ("voices", "table_marks", "happened", "stuck")}
    assert found == {"voices": 2, "table_marks": 1, "happened": 0, "stuck": [1, 3]}


def test_log_of_a_lesson_that_went_to_plan_without_marks_has_no_line_for_them(tmp_path, capsys):
    outline = read_outline(template_folder() / "number-line-75.toml")
    with DayRecords.open(tmp_path) as records:
        clock = ManualClock(time.time_ns() // 1_000_000)
        session = Session(clock, records.journal())
        session.start(outline)
        for phase in outline.phases:
            clock.advance(phase.budget_s * 1000)
            session.do("next", "done")
    assert main(["log", "1", "--data-dir", str(tmp_path)]) == 0
    shown = capsys.readouterr().out.splitlines()
    assert shown[1] == ""
    assert shown[2].split() == ["phase", "planned", "actual", "over", "ending"]


@pytest.mark.parametrize("run", ["2", "x", "-1", "1; drop table run", "9" * 40, "²"])
def test_log_of_an_unknown_record_says_so(one_record, run, capsys):
    assert main(["log", "--data-dir", str(one_record), "--", run]) == 1
    assert "no day record" in capsys.readouterr().err


def test_log_of_an_empty_folder_says_there_is_nothing_yet(tmp_path, capsys):
    assert main(["log", "--data-dir", str(tmp_path / "new")]) == 0
    assert "no day records yet" in capsys.readouterr().out


def test_log_of_a_file_in_place_of_the_folder_is_an_error_in_words(tmp_path, capsys):
    (tmp_path / "file").write_text("x")
    with pytest.raises(SystemExit) as ended:
        main(["log", "--data-dir", str(tmp_path / "file")])
    assert ended.value.code == 2
    assert "is a file; name a folder" in capsys.readouterr().err


def test_check_of_a_calendar_names_what_cannot_be_read(tmp_path, capsys):
    path = tmp_path / "school.ics"
    lines = ["BEGIN:VCALENDAR", "BEGIN:VEVENT", "SUMMARY:Early release", "DTSTART:in spring", "END:VEVENT"]
    path.write_text("\r\n".join([*lines, "END:VCALENDAR", ""]), encoding="utf-8")
    assert main(["check", str(path)]) == 1
    assert capsys.readouterr().out == f"{path}:4: Early release: Its day is no date. Look the day up.\n"
    path.write_text("BEGIN:VCALENDAR\nEND:VCALENDAR\n", encoding="utf-8")
    assert main(["check", str(path)]) == 0
    assert capsys.readouterr().out == f"{path}: fine (a calendar; 0 days in the next year)\n"
    path.write_text("BEGIN:VCARD\nEND:VCARD\n", encoding="utf-8")
    assert main(["check", str(path)]) == 1
