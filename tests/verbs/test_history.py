"""The verbs on past lessons: log import, budgets, backtest, and the loader of a history."""

import json
import random
import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import asdict

import pytest

from pacer.__main__ import main
from pacer.log.database import FILE_NAME, LogError
from pacer.log.day_records import DayRecords
from pacer.review.learning.backtest import backtest
from pacer.review.learning.invented_terms import invented_term, taught
from pacer.verbs.history import LIVE, read_history
from pacer.verbs.invented_days import write_invented_days

HEAD = "date,phase,kind,planned_s,actual_s,ending\n"
UNTIL_MS = 1_773_046_800_000  # 9 March 2026, 9:00 UTC


def load_history(folder, modes=LIVE):
    """The past endings in a data folder."""
    return list(read_history(folder, modes)[0].endings)


@pytest.fixture
def outline_file(tmp_path, invented_text):
    path = tmp_path / "invented.toml"
    path.write_text(invented_text)
    return path


@pytest.fixture
def data(tmp_path):
    return tmp_path / "data"


def line(date: str, phase, actual_s: float, ending: str, planned_s: float | None = None) -> str:
    return f"{date},{phase.id},{phase.kind},{planned_s or phase.budget_s:g},{actual_s:g},{ending}\n"


def write_table(path, invented, lessons: int, over: float = 1.24, ending: str = "done"):
    """Lessons of the invented plan that all took the same share of their budgets."""
    rows = [
        line(f"2025-{month:02d}-{day:02d}", phase, over * phase.budget_s, ending)
        for month, day in [(9 + i // 20, 1 + i % 20) for i in range(lessons)]
        for phase in invented.phases
    ]
    path.write_text(HEAD + "".join(rows))
    return path


def run(data, *words) -> int:
    return main(["--data-dir", str(data), *map(str, words)])


def told(capsys) -> list[dict]:
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def test_a_table_is_imported_once_and_its_rows_are_a_history(data, tmp_path, invented, capsys):
    table = write_table(tmp_path / "old.csv", invented, 3)
    assert main(["log", "import", str(table), "--data-dir", str(data)]) == 0
    assert "Imported 18 rows into" in capsys.readouterr().out
    copy = tmp_path / "copy.csv"
    copy.write_bytes(table.read_bytes())
    assert run(data, "log", "import", copy) == 0
    assert "was imported before (as old.csv). Nothing was imported." in capsys.readouterr().out
    found = load_history(data)
    assert [past.date for past in found] == [f"2025-09-0{day}" for day in (1, 2, 3) for _phase in range(6)]
    assert [past.actual_s for past in found[:2]] == [148.8, 223.2]


def test_a_longer_copy_says_how_many_rows_it_left_out(data, tmp_path, invented, capsys):
    run(data, "log", "import", write_table(tmp_path / "old.csv", invented, 3))
    capsys.readouterr()
    assert run(data, "log", "import", write_table(tmp_path / "longer.csv", invented, 4)) == 0
    out = capsys.readouterr().out
    assert "Imported 6 rows" in out
    assert "18 rows were left out: they were imported before." in out
    assert len(load_history(data)) == 24


def test_one_bad_row_keeps_the_whole_table_out_and_makes_no_file(data, tmp_path, invented, capsys):
    table = write_table(tmp_path / "old.csv", invented, 3)
    table.write_text(table.read_text() + "2025-10-01,skip,warm-up,120,36000,done\n")
    assert run(data, "log", "import", table) == 1
    err = capsys.readouterr().err
    assert f"{table}:20: actual_s 36000 is 4 hours or more." in err
    assert "Nothing was imported." in err
    assert not data.exists()


@pytest.mark.parametrize("name", ["none.csv", "."])
def test_a_missing_file_or_a_folder_is_a_problem_not_a_traceback(data, tmp_path, name, capsys):
    assert run(data, "log", "import", tmp_path / name) == 1
    assert str(tmp_path / name) in capsys.readouterr().err
    assert not data.exists()


@pytest.mark.parametrize("words", [["import"], ["1", "old.csv"]])
def test_half_an_import_says_how_it_is_written(data, words, capsys):
    assert run(data, "log", *words) == 2
    assert "pacer log import FILE.csv" in capsys.readouterr().err


def test_a_data_folder_that_cannot_be_made_is_told(tmp_path, invented, capsys):
    table = write_table(tmp_path / "old.csv", invented, 1)
    assert run(table / "under", "log", "import", table) == 2
    assert "can't be made" in capsys.readouterr().err


def test_budgets_propose_for_an_outline_and_say_what_they_need(
    data, tmp_path, invented, outline_file, capsys
):
    """1.24 x 2, 3, 7, 3, 8, 2 minutes, each rounded up to 15 s, make 31:15; arithmetic of ours."""
    run(data, "log", "import", write_table(tmp_path / "old.csv", invented, 15))
    capsys.readouterr()
    assert run(data, "budgets", outline_file) == 0
    out = capsys.readouterr().out
    assert "15 past lessons" in out
    (row,) = [row for row in out.splitlines() if row.startswith("Practice")]
    assert row.split() == ["Practice", "8:00", "10:00", "9:55", "15", "0"]
    assert "By past lessons these phases need 31:15; the mini lesson has 25:00. Choose what moves." in out


def test_budgets_as_json_have_one_object_a_phase_and_the_plan_last(
    data, tmp_path, invented, outline_file, capsys
):
    run(data, "log", "import", write_table(tmp_path / "old.csv", invented, 15))
    capsys.readouterr()
    assert run(data, "budgets", outline_file, "--json") == 0
    *made, plan = told(capsys)
    assert [one["proposal"]["phase"] for one in made] == [phase.id for phase in invented.phases]
    assert [one["proposal"]["proposed_s"] for one in made] == [150, 225, 525, 225, 600, 150]
    assert plan["plan"]["needs_s"] == 1875
    assert plan["plan"]["unknown"] == []
    assert 0 < plan["plan"]["level"] < 0.7


def test_budgets_of_lessons_that_were_all_cut_off_say_at_least(
    data, tmp_path, invented, outline_file, capsys
):
    run(data, "log", "import", write_table(tmp_path / "old.csv", invented, 8, 1.0, "bell"))
    capsys.readouterr()
    assert run(data, "budgets", outline_file) == 0
    out = capsys.readouterr().out
    (row,) = [row for row in out.splitlines() if row.startswith("Practice")]
    assert "at least 8:00" in row
    assert row.endswith("8        8")
    assert "need at least 25:00" in out


def test_budgets_without_an_outline_list_the_phases_that_have_a_past(data, tmp_path, invented, capsys):
    run(data, "log", "import", write_table(tmp_path / "old.csv", invented, 6))
    capsys.readouterr()
    assert run(data, "budgets", "--json") == 0
    assert [one["proposal"]["phase"] for one in told(capsys)] == [phase.id for phase in invented.phases]


@pytest.mark.parametrize("verb", ["budgets", "backtest"])
def test_too_few_lessons_are_said_to_be_too_few(data, tmp_path, invented, verb, capsys):
    run(data, "log", "import", write_table(tmp_path / "old.csv", invented, 4))
    capsys.readouterr()
    assert run(data, verb) == 0
    out = capsys.readouterr().out
    assert "4 past lessons" in out
    assert "Not enough lessons yet" in out


@pytest.mark.parametrize("verb", ["budgets", "backtest"])
def test_without_day_records_there_is_nothing_to_say_and_no_folder_is_made(data, verb, capsys):
    assert run(data, verb) == 0
    shown = capsys.readouterr()
    assert "Not enough lessons yet" in shown.out
    assert "There are no day records yet" in shown.err
    assert run(data, verb, "--json") == 0
    assert not data.exists()


def test_budgets_for_an_outline_with_a_fault_name_its_line(data, tmp_path, capsys):
    bad = tmp_path / "bad.toml"
    bad.write_text('format = 1\ntitle = "x"\n[[phase]]\ntitle = "y"\nbuget = "3"\n')
    assert run(data, "budgets", bad) == 1
    assert f"{bad}:5: " in capsys.readouterr().err


@pytest.mark.parametrize("verb", ["budgets", "backtest"])
def test_day_records_of_a_newer_pacer_are_refused(data, verb, capsys):
    DayRecords.open(data).close()
    with closing(sqlite3.connect(data / FILE_NAME)) as own:
        own.execute("CREATE TABLE of_tomorrow (x)")  # a newer one has tables that this one does not know
        own.execute("PRAGMA user_version = 1000")
    assert run(data, verb) == 2
    assert "written by a newer Pacer" in capsys.readouterr().err


def term_table(path, seed: int, count: int = 25):
    """An invented term as a table; its lessons begin on time, for a table knows no late start."""
    cells = [
        (past.date, past.phase, past.kind, past.planned_s, past.actual_s, past.ending)
        for past in taught(invented_term(seed))
        if past.run < count
    ]
    path.write_text(HEAD + "".join(",".join(map(str, row)) + "\n" for row in cells))
    return path


@pytest.mark.slow
def test_backtest_prints_what_the_backtest_of_the_same_endings_found(data, tmp_path, capsys):
    run(data, "log", "import", term_table(tmp_path / "term.csv", 3))
    capsys.readouterr()
    assert run(data, "backtest", "--json") == 0
    (only,) = told(capsys)
    found, wanted = only["backtest"], backtest(load_history(data))
    assert wanted.pacer is not None
    assert wanted.plain_mean is not None
    assert found["history"] == 25
    assert found["scored"] == wanted.scored > 20
    assert found["pacer"] == asdict(wanted.pacer)
    assert found["plain_mean"]["error_s"] == wanted.plain_mean.error_s
    assert sum(row["count"] for row in found["calibration"]) == wanted.borders
    assert run(data, "backtest") == 0
    out = capsys.readouterr().out
    assert all(
        word in out for word in ("Brier score", "the written plan", "plain mean of the past", "came true")
    )


@pytest.mark.slow
def test_invented_days_count_only_where_the_demo_is_asked_for(data, invented, capsys):
    with DayRecords.open(data) as records:
        write_invented_days(records, [invented], 12, until_utc_ms=UNTIL_MS)
    assert load_history(data) == []
    assert run(data, "budgets") == 0
    shown = capsys.readouterr()
    assert "Not enough lessons yet" in shown.out
    assert "12 rehearsed or invented lessons are kept apart." in shown.err
    assert main(["--demo", "--data-dir", str(data), "budgets"]) == 0
    assert "12 past lessons" in capsys.readouterr().out
    assert len({past.run for past in load_history(data, ["demo"])}) == 12


def test_a_folder_without_day_records_is_no_history_and_stays_as_it_was(tmp_path):
    with pytest.raises(LogError, match="no day records yet"):
        load_history(tmp_path)
    assert not (tmp_path / FILE_NAME).exists()


@pytest.mark.slow
def test_other_verbs_do_not_load_numpy(data):
    """numpy costs a tenth of a second that listing records has no use for."""
    code = "import sys; from pacer.__main__ import main; main(sys.argv[1:]); print('numpy' in sys.modules)"
    words = ["--data-dir", str(data), "log"]
    shown = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, check=True)
    assert shown.stdout.splitlines()[-1] == "False"


@pytest.mark.slow
def test_tables_of_random_sound_rows_never_break_a_verb(data, tmp_path, invented, outline_file, capsys):
    """Budgets that change daily, phases that come and go, any ending: an answer or silence."""
    chance = random.Random(6)
    endings = ["done", "moved on", "unsaid", "bell", "interrupted", "skipped"]

    def seconds() -> int:
        return chance.choice([1, 60, 480, chance.randrange(1, 14_400)])

    for number in range(4):
        rows = [
            line(
                f"2025-{month:02d}-{chance.randrange(1, 29):02d}",
                phase,
                seconds(),
                chance.choice(endings[number:]),
                planned_s=chance.randrange(1, 14_400),
            )
            for month in range(1, 5)
            for _day in range(5)
            for phase in invented.phases
            if chance.random() < 0.8
        ]
        folder, table = data / str(number), tmp_path / f"{number}.csv"
        table.write_text(HEAD + "".join(rows))
        assert run(folder, "log", "import", table) == 0
        for words in (["budgets"], ["budgets", outline_file], ["backtest"], ["backtest", "--json"]):
            assert run(folder, *words) == 0
    assert "nan" not in capsys.readouterr().out.lower()
