"""Exports: every table whole, files that other programs read, and nothing overwritten."""

import csv
import io
import json
import sqlite3
from datetime import date

import pandas as pd
import pytest

from pacer.log.accepted import AcceptedBudgets
from pacer.log.date_span import DateSpan, school_year
from pacer.log.day_records import DayRecords
from pacer.log.export.files import ExportError, as_it_was, csv_bytes, json_bytes, write_folder, write_new
from pacer.log.export.tables import TABLE_NAMES, ExportTable, phases_table, tables
from pacer.log.imported import ImportedEnding
from pacer.review.day_book import read_days
from pacer.review.days import Day, DayForecast, DayHalf, DayPhase, DayTalk, DayVisit
from pacer.run.clock import ManualClock
from pacer.run.corrections import TomorrowNoted
from pacer.run.session import Session
from tests.log.export.test_files import RUN_AS_FORMULA, SIGNS

MONDAY_UTC_MS = 1_773_046_800_000  # 9 March 2026, 9:00 UTC
DAY_MS = 86_400_000


@pytest.fixture
def records(tmp_path, invented):
    """Two lessons, the second in the trash; a thing for tomorrow, an accepted budget, an imported ending."""
    with DayRecords.open(tmp_path / "data") as opened:
        for day in (0, 1):
            teach(opened, invented, day)
        opened.after().say(1, TomorrowNoted(text='=HYPERLINK("x"); -less talk'), MONDAY_UTC_MS)
        opened.trash().put([2], MONDAY_UTC_MS + 2 * DAY_MS)
        AcceptedBudgets(opened).add(
            utc_ms=MONDAY_UTC_MS, target="thirds.toml", phase="-review", kind="review", old_s=180, new_s=240,
            lessons=8, cut_off=2,
        )  # fmt: skip
        rows = [ImportedEnding("2025-09-01", "@review", "review", 180.0, 222.5, "done")]
        opened.imported().add(rows, 'old, "odd".csv', "ab" * 32, MONDAY_UTC_MS)
        yield opened


def teach(records: DayRecords, outline, day: int = 0, ended: bool = True) -> None:
    clock = ManualClock(MONDAY_UTC_MS + day * DAY_MS)
    session = Session(clock, records.journal())
    session.start(outline, clock.now().utc_ms - 60_000, 3600)
    for ms, command, argument in ((150_000, "next", "done"), (180_000, "bell-now", "")):
        clock.advance(ms)
        if ended or command == "next":
            session.do(command, argument)


def read_back(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8"), newline=""), strict=True))


def named(made: list[ExportTable], name: str) -> ExportTable:
    return next(table for table in made if table.name == name)


def test_every_table_of_the_file_is_there_with_all_its_rows_and_figures(records):
    made = tables(records, read_days(records).days)
    assert tuple(table.name for table in made) == TABLE_NAMES
    with sqlite3.connect(records.path) as other:
        stored = {name for (name,) in other.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        # These hold no rows of the teacher's: what was worked out is made again, the rest is housekeeping.
        aside = {"migration", "sqlite_sequence", "day_worked_out", "import_batch"}
        to_export = {"run": "lessons", "event": "events", "after_event": "after_school", "trash": "trash",
                     "accepted_budget": "accepted_budgets",
                     "imported_ending": "imported_endings"}  # fmt: skip
        assert stored - aside == set(to_export)
        for name, exported in to_export.items():
            (count,) = other.execute(f"SELECT count(*) FROM {name}").fetchone()
            assert len(named(made, exported).rows) == count > 0
    other.close()
    lessons = named(made, "lessons").rows
    # 9:00 UTC is 10:00 on a clock an hour ahead: the same date.
    assert [row[:3] + row[-1:] for row in lessons] == [
        (1, "2026-03-09", "Thirds on a number line", False),
        (2, "2026-03-10", "Thirds on a number line", True),
    ]
    (ending,) = named(made, "imported_endings").rows
    assert ending == (1, 0, "2025-09-01", "@review", "review", 180.0, 222.5, "done", 'old, "odd".csv',
                      MONDAY_UTC_MS)  # fmt: skip
    # Worked by hand from the two presses; the lesson in the trash is not worked out.
    phases = [
        dict(zip(named(made, "phases").headings, row, strict=True)) for row in named(made, "phases").rows
    ]
    assert [(p["run"], p["number"], p["title"], p["actual_s"], p["ending"]) for p in phases[:3]] == [
        (1, 1, "Skip count", 150, "done"), (1, 2, "Review", 180, "bell"), (1, 3, "Model", 0, "skipped"),
    ]  # fmt: skip
    assert len(phases) == 6
    assert len(named(made, "days").rows) == 1
    body = named(made, "events").rows[0][-1]
    assert json.loads(body)["kind"] == "started"


def test_a_span_keeps_to_its_dates_in_every_table(records):
    days = read_days(records).days
    monday = tables(records, days, DateSpan("2026-03-09", "2026-03-09"))
    assert days[0].ribbon
    assert {table.name: len(table.rows) for table in monday} == {
        "lessons": 1, "events": len(records.events(1)), "after_school": 1, "trash": 0, "accepted_budgets": 1,
        "imported_endings": 0, "days": 1, "phases": 6, "visits": 0, "forecasts": 0,
        "talk_ribbon": len(days[0].ribbon),
    }  # fmt: skip
    tuesday = tables(records, days, DateSpan("2026-03-10", "2026-03-10"))
    assert [(table.name, {row[0] for row in table.rows}) for table in tuesday if table.rows] == [
        ("lessons", {2}), ("events", {2}), ("trash", {2}),
    ]  # fmt: skip
    year_before = tables(records, days, DateSpan("2025-08-01", "2026-03-08"))
    assert [table.name for table in year_before if table.rows] == ["imported_endings"]


@pytest.mark.parametrize(
    ("day", "since", "until"),
    [
        (date(2025, 7, 31), "2024-08-01", "2025-07-31"),
        (date(2025, 8, 1), "2025-08-01", "2026-07-31"),
        (date(2026, 1, 1), "2025-08-01", "2026-07-31"),
    ],
)
def test_a_school_year_is_from_the_first_of_august_to_the_last_of_july(day, since, until):
    assert school_year(day) == DateSpan(since, until)


def test_pandas_reads_the_tables_with_numbers_as_numbers_and_texts_harmless(records, tmp_path):
    made = tables(records, read_days(records).days)
    made.append(ExportTable("signs", ("n", "text"), tuple((-n, t) for n, t in enumerate(RUN_AS_FORMULA, 1))))
    for path, table in zip(write_folder(tmp_path / "out", made), made, strict=True):
        found = pd.read_csv(path, keep_default_na=False, na_values={}, lineterminator=None)
        assert tuple(found.columns) == table.headings
        assert len(found) == len(table.rows)
        for name in table.headings:
            at = table.headings.index(name)
            for value, cell in zip((row[at] for row in table.rows), found[name].tolist(), strict=True):
                if isinstance(value, str):
                    assert str(cell)[:1] not in SIGNS
                    assert as_it_was(str(cell)) == value
                elif value is not None:
                    assert float(cell) == float(value)
    signs = pd.read_csv(tmp_path / "out" / "signs.csv")
    assert signs["n"].tolist() == [-n for n in range(1, len(RUN_AS_FORMULA) + 1)]


def test_json_holds_every_table_with_texts_as_they_are(records):
    made = tables(records, read_days(records).days)
    found = json.loads(json_bytes(made))
    assert found["format"] == 1
    assert tuple(found["tables"]) == TABLE_NAMES
    for table in made:
        assert [tuple(row.values()) for row in found["tables"][table.name]] == [tuple(r) for r in table.rows]
        assert all(tuple(row) == table.headings for row in found["tables"][table.name])
    (said,) = found["tables"]["after_school"]
    assert json.loads(said["body_json"])["text"] == '=HYPERLINK("x"); -less talk'


def test_a_damaged_row_is_exported_as_it_stands(records):
    records.connection.execute("UPDATE event SET body = x'ff00' WHERE run_id = 1 AND seq = 1")
    records.connection.execute("UPDATE imported_ending SET planned_s = 9e999")
    made = tables(records)
    assert named(made, "events").rows[1][-1] == "\ufffd\x00"
    assert named(made, "imported_endings").rows[0][5] == "inf"
    json.loads(json_bytes(made), parse_constant=lambda name: pytest.fail(name))


def test_no_lessons_give_tables_with_headings_only(tmp_path):
    with DayRecords.open(tmp_path) as empty:
        made = tables(empty)
    assert all(read_back(csv_bytes(table)) == [list(table.headings)] for table in made)


def test_nothing_is_overwritten_and_a_folder_gets_all_files_or_none(records, tmp_path):
    made, target = tables(records), tmp_path / "out"
    target.mkdir()
    (target / "trash.csv").write_text("mine")
    with pytest.raises(ExportError, match=r"trash\.csv is there already"):
        write_folder(target, made)
    assert [path.name for path in target.iterdir()] == ["trash.csv"]
    assert (target / "trash.csv").read_text() == "mine"
    with pytest.raises(ExportError, match="is there already"):
        write_new(target / "trash.csv", b"other")
    (target / "trash.csv").unlink()
    assert sorted(path.name for path in write_folder(target, made)) == sorted(f"{n}.csv" for n in TABLE_NAMES)


@pytest.mark.parametrize("is_there", [False, True])
def test_when_the_disk_fills_half_way_nothing_is_left(records, tmp_path, monkeypatch, is_there):
    from pacer.settings import whole_file

    replace, count = whole_file.os.replace, []

    def full_at_the_third(source, target):
        count.append(target)
        if len(count) == 3:
            raise OSError(28, "No space left on device")
        replace(source, target)

    monkeypatch.setattr(whole_file.os, "replace", full_at_the_third)
    target = tmp_path / "out"
    if is_there:
        target.mkdir()
    before = sorted(tmp_path.iterdir())
    with pytest.raises(ExportError, match="the disk is full"):
        write_folder(target, tables(records))
    assert sorted(tmp_path.iterdir()) == before
    assert not is_there or list(target.iterdir()) == []


def test_a_folder_that_cannot_be_made_is_told_in_plain_words(records, tmp_path):
    with pytest.raises(ExportError, match="its folder is gone"):
        write_folder(tmp_path / "no" / "such", tables(records))
    with pytest.raises(ExportError, match="its folder is gone"):
        write_new(tmp_path / "no" / "such.json", b"{}")


def test_phases_alone_are_a_table_of_their_own(records):
    days = read_days(records).days
    assert phases_table(days) == named(tables(records, days), "phases")


def test_no_figure_of_a_worked_out_lesson_is_forgotten(records):
    made = {table.name: table.headings for table in tables(records, read_days(records).days)}
    days = {name.removesuffix("_json") for name in made["days"]}
    assert {*Day._fields} - days == {
        "block", "talk", "half", "phases", "visits", "forecasts", "ribbon",
    }  # fmt: skip
    assert set(DayHalf._fields) <= days
    assert set(DayVisit._fields) <= set(made["visits"])
    assert {f"talk_{name}" for name in DayTalk._fields} <= days
    assert len([name for name in days if name.startswith("block_")]) == 6
    assert set(DayPhase._fields) <= set(made["phases"])
    assert set(DayForecast._fields) <= set(made["forecasts"])


def test_every_timed_visit_is_a_row(records, invented):
    clock = ManualClock(MONDAY_UTC_MS + 2 * DAY_MS)
    session = Session(clock, records.journal())
    session.start(invented, clock.now().utc_ms, 3600)
    for seconds, command in ((1500, "groups"), (130, "next"), (700, "next"), (90, "next"), (300, "bell-now")):
        clock.advance(seconds * 1000)
        session.do(command)
    made = tables(records, read_days(records).days)
    assert named(made, "visits").rows[-3:] == (
        (3, "2026-03-11", "Circle", 780, 700, 1630, ""), (3, "2026-03-11", "Triangle", 780, 300, 2420, ""),
        (3, "2026-03-11", "Hexagon", 780, 0, None, ""),
    )  # fmt: skip
    days = named(made, "days")
    half = dict(zip(days.headings, days.rows[-1], strict=True))
    assert (half["transition_s"], half["swaps"], half["swaps_s"], half["bell_cut"]) == (130, 1, 90, "visit")
