"""The record of a lesson names its table list and what was not taught, and what became of each."""

import gzip
import json
from pathlib import Path

import pytest

from pacer.__main__ import main
from pacer.log.day_records import DayRecords
from pacer.review.left_over import left_over
from pacer.run.corrections import Corrections, LineWent, WentTo
from pacer.run.fold import fold
from tests.review.left_over_factories import teach, with_list

OLD = Path(__file__).parent / "days_before_visits" / "day-records.sqlite3.gz"


@pytest.fixture
def folder(tmp_path, invented):
    """A lesson of whose list a line was ticked; a line and a phase were answered since."""
    with DayRecords.open(tmp_path) as records:
        run = teach(records, with_list(invented))
        records.after().say(run, LineWent(about="stuck", of=3, to="table"), 1_790_000_000_000)
        records.after().say(run, WentTo(phase=1, to="done"), 1_790_000_000_001)
    return tmp_path


def test_log_names_each_line_and_where_it_went(folder, capsys):
    assert main(["log", "1", "--data-dir", str(folder)]) == 0
    shown = capsys.readouterr().out.splitlines()
    at = next(at for at, line in enumerate(shown) if line.startswith("table list and not taught"))
    assert [" ".join(line.split()) for line in shown[at:]] == [
        "table list and not taught where it went",
        "Review left the lesson, 3:00 was done",
        "Sort the cards done",
        "Finish page 12 still open",
        "Skip count: 1 mark still open",
        "Problem 3: 1 stuck table tomorrow",
    ]


def test_as_json_each_says_who_answered_it(folder, capsys):
    assert main(["log", "1", "--json", "--data-dir", str(folder)]) == 0
    left = json.loads(capsys.readouterr().out)["record"]["left"]
    assert [(each["phase"], each["went"], each["by"], each["listed"]) for each in left] == [
        ("review", "done", "teacher", True),
        ("", "done", "tick", True),
        ("", "", "", True),
        ("", "", "", True),
        ("", "table", "teacher", True),
        ("practice", "", "", False),
        ("look-back", "", "", False),
    ]


def test_what_is_said_after_school_changes_nothing_else_of_a_record(folder, tmp_path, invented, capsys):
    with DayRecords.open(tmp_path / "unsaid") as records:
        teach(records, with_list(invented))
    records = []
    for where in (folder, tmp_path / "unsaid"):
        assert main(["log", "1", "--json", "--data-dir", str(where)]) == 0
        records.append(json.loads(capsys.readouterr().out)["record"])
        records[-1].pop("left")
    assert records[0] == records[1]


def test_a_lesson_from_before_there_was_a_list_has_no_line_of_one(tmp_path):
    """Five ended past their last phase or by the bell, one was cut off; only the bell's has open problems."""
    (tmp_path / "day-records.sqlite3").write_bytes(gzip.decompress(OLD.read_bytes()))
    with DayRecords.open(tmp_path) as records:
        states = {run.id: fold(records.events(run.id)) for run in records.runs()}
        found = {run: left_over(state, state, Corrections()) for run, state in states.items()}
        assert records.after().all() == {}
    rang = [run for run, state in states.items() if state.bell_offset_s is not None]
    assert len(rang) == 1
    assert {run for run, left in found.items() if any(each.is_open for each in left)} == set(rang)
