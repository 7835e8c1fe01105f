"""The readers of what was kept: settings, splits, recovery files, tables to import, day records."""

import csv
import io
import json
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Sequence
from dataclasses import astuple
from datetime import date
from functools import cache
from pathlib import Path

from pacer.frames.desk import desk_frame
from pacer.frames.record import record
from pacer.frames.wall import wall_frame
from pacer.log import database
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.log.imported import ImportedEnding
from pacer.plan.bounded_file import UnreadableFileError
from pacer.plan.dates.planned import MOST_A_DAY
from pacer.plan.file.attachments import attached_file
from pacer.plan.file.reader import read_bytes
from pacer.plan.outline import Outline
from pacer.plan.problems import Problem
from pacer.review import import_csv
from pacer.review.day_book import read_days
from pacer.review.left_over import left_over
from pacer.run.clock import ManualClock
from pacer.run.corrections import effective
from pacer.run.fold import fold
from pacer.run.repair import repaired
from pacer.run.session import Session
from pacer.settings.draft_store import DraftStore
from pacer.settings.model import Settings
from pacer.settings.planned_days import PlannedDaysStore
from pacer.settings.recovery import Recovery
from pacer.settings.split_store import KeptSplit, load_split, save_split
from pacer.settings.store import load_settings, save_settings
from pacer.watch import execute, keep_up
from tests.faults.lesson_factories import short_outline
from tests.inputs.plan_readers import HALF
from tests.inputs.reader import NAME, Reader, must_be_plain, must_equal, refused

AT_MS = 1_790_000_000_000
CLOCK = ManualClock(AT_MS)
PLANNED = (
    b'{"days": {"2026-03-09": ["a.toml", "template/b.toml"]}, "moves": [{"name": "a.toml", '
    b'"day": "2026-03-06", "to": "2026-03-09"}, {"name": "c.toml", "day": "2026-03-06", "to": ""}]}'
)
SETTINGS = json.dumps(
    {
        "block_start": "8:45", "wall_digits": False, "talk_limit_s": 240, "strip_edge": "left",
        "back_row_mm": 8000,
        "tone_level": 40, "kinds": {"review": {"floor": 0.5}}, "reminders": ["Water"],
        "reminders_done": ["2026-03-09", ["Water"]], "day_choice": ["2026-03-09", "Early release"],
        "rooms": [{"screens": [{"name": "A", "pixels": [1920, 1080]}], "wall": {"name": "A", "serial": "7"}}],
        "reviewing_cap_s": 720, "problem_s": 90, "earpiece": {"id": "a", "name": "Ear"}, "earpiece_level": 9,
        "picture_height_mm": 1200, "clicker_blanks": True, "begun": True, "baseline": True,
        "day_shapes": {
            "shapes": [{"name": "Early release", "start": "9:00", "length_s": 2880, "groups": 2}],
            "week": {"4": "Early release"}, "days": {"2026-03-09": "", "2026-03-10": "Early release"},
            "doubts": [{"name": "Fair", "first": "2026-03-11", "last": "2026-03-12"}],
        },
        "unknown": {"kept": [1, 2.5, None]},
    }
).encode()  # fmt: skip
TABLE = (
    b"date,phase,kind,planned_s,actual_s,ending\r\n2026-03-09,warm-up,warm-up,120,150.5,done\r\n"
    b'2026-03-09,"review, short",review,180,0,skipped\r\n2026-03-10,"a ""b""",modeling,420,400,moved on\r\n',
    b"ending,kind,phase,date,actual_s,planned_s\nbell,share,share,2026-03-09,60,300\n\n",
)
_WORK = Path("/dev/shm" if os.path.isdir("/dev/shm") else tempfile.gettempdir())  # noqa: PTH112
_OURS = f"pacer-inputs-{os.getpid()}-"  # of the campaign: another that runs beside it clears up its own


@cache
def _folder(_process: int) -> Path:
    """A folder for one worker, in memory where there is such a place."""
    return Path(tempfile.mkdtemp(prefix=_OURS, dir=_WORK))


def fresh() -> Path:
    """That folder, empty. The process is ended by force now and then, so the campaign clears up."""
    folder = _folder(os.getpid())
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    return folder


def clear_up() -> None:
    """Remove what workers left."""
    for folder in _WORK.glob(f"{_OURS}*"):
        shutil.rmtree(folder, ignore_errors=True)


def read_settings(data: bytes) -> str:
    """Settings: always some; saved and read again they are the same."""
    path = fresh() / "settings.json"
    path.write_bytes(data)
    settings, notice = load_settings(path, CLOCK)
    if notice:
        must_be_plain(notice.replace(str(path.parent), ""))
    save_settings(path, settings)
    must_equal((settings, ""), load_settings(path, CLOCK), "saved and read")
    return "refused" if notice else "read"


def read_planned_days(data: bytes) -> str:
    """Planned days: always some; saved and read again they are the same, and a damaged file is kept."""
    path = fresh() / "planned-days.json"
    path.write_bytes(data)
    store = PlannedDaysStore(path, CLOCK)
    if store.notice:
        must_be_plain(store.notice.replace(str(path.parent), ""))
        must_equal([data], [file.read_bytes() for file in path.parent.iterdir()], "the damaged file")
    day = date(2026, 3, 9)
    before = store.of(day)
    store.change(lambda days: days.assigned(day, "a.toml"))
    must_equal("", store.trouble, "trouble")
    must_equal(store.now, PlannedDaysStore(path, CLOCK).now, "saved and read")
    must_equal((*before, "a.toml")[:MOST_A_DAY], store.of(day), "outlines of the day")
    return "refused" if store.notice else "read"


def read_kept_split(data: bytes) -> str:
    """The split of last time: always one; saved and read again it is the same."""
    path = fresh() / "split.json"
    path.write_bytes(data)
    kept = load_split(path, CLOCK)
    save_split(path, kept)
    must_equal(kept.text.encode("utf-8", "replace"), load_split(path, CLOCK).text.encode(), "saved and read")
    return "read"


def read_recovery(data: bytes) -> str:
    """Recovery files: those that make sense are offered, in words; none stops the start."""
    folder = fresh()
    (folder / "drafts").mkdir()
    (folder / "drafts" / "a.json").write_bytes(data)
    store = DraftStore(folder, CLOCK, folder / "elsewhere")
    found = store.recoverable()
    if not found:
        return "refused"
    for unsaved in found:
        str(unsaved.path).encode("utf-8", "surrogateescape")
        store.open(unsaved.path)
        kept = Recovery(folder / "again", folder / "again")
        kept.keep(unsaved.path, unsaved.text, unsaved.stamp, unsaved.utc_ms)
        must_equal(
            [(unsaved.text, unsaved.stamp)], [(one.text, one.stamp) for one in kept.all()], "kept again"
        )
        store.forget(unsaved.path)
    return "read"


def read_table(data: bytes) -> str:
    """A table of past durations; its rows written out and read again are the same."""
    rows = import_csv.read_bytes(data, NAME)
    problems = [row for row in rows if isinstance(row, Problem)]
    if problems:
        return refused(problems, data)
    text = io.StringIO(newline="")
    sheet = csv.writer(text)
    sheet.writerow(import_csv.COLUMNS)
    sheet.writerows(astuple(row) for row in rows if isinstance(row, ImportedEnding))
    must_equal(rows, import_csv.read_text(text.getvalue(), NAME), "written out")
    return "read"


@cache
def rows_of_a_lesson() -> Sequence[bytes]:
    """The rows of a lesson's events and of what was said after school, a JSON list a line."""
    first = _rows_of(short_outline(), ("next done", "add 1:00", "burst", "eyes-back", "undo", "next",
                                       "jump 5", "pause", "go-on", "next done", "end done"))  # fmt: skip
    half = read_bytes(HALF, NAME)
    assert isinstance(half, Outline)
    second = _rows_of(half, ("tick 2", "groups", "next", "add 1:00", "next", "missed", "bell-earlier 2:00",
                             "next", "pause", "go-on", "back", "table-mark", "jump 3", "keep 1", "undo",
                             "jump share", "next", "bell-now"))  # fmt: skip
    said = [
        {"kind": "start_moved", "early_ms": 60_000}, {"kind": "border_moved", "visit": 0, "t_ms": 30_000},
        {"kind": "visit_split", "visit": 1, "t_ms": 90_000, "to": 2}, {"kind": "day_flagged",
        "flagged": True},
        {"kind": "thing_tomorrow", "text": "Start with halves"}, {"kind": "taken_back", "target": 1},
    ]  # fmt: skip
    after = [[number, AT_MS, body["kind"], json.dumps(body)] for number, body in enumerate(said)]
    left = [
        {"kind": "line_went", "about": "written", "of": 0, "to": "table"},
        {"kind": "went_to", "phase": 0, "to": "dropped"},
        {"kind": "start_moved", "early_ms": 60_000},
    ]
    more = [[number, AT_MS, body["kind"], json.dumps(body)] for number, body in enumerate(left)]
    return tuple(
        "\n".join(json.dumps(row) for row in rows).encode() for rows in ((*first, *after), (*second, *more))
    )


def _rows_of(outline: Outline, presses: Sequence[str]) -> list[tuple[object, ...]]:
    """The rows of the events of a lesson of which a press is made every 61 seconds."""
    folder = Path(tempfile.mkdtemp(prefix=_OURS, dir=_WORK))
    clock = ManualClock(AT_MS)
    with DayRecords.open(folder) as records:
        session = Session(clock, records.journal())
        session.start(outline, mode="live")
        for press in presses:
            clock.advance(61_000)
            session.tick()
            session.do(*press.split())
        rows = records.connection.execute(
            "SELECT seq, t_ms, mono_ms, utc_ms, kind, body FROM event WHERE run_id = 1 ORDER BY seq"
        ).fetchall()
    shutil.rmtree(folder)
    return rows


@cache
def _empty(_process: int) -> bytes:
    folder = fresh()
    DayRecords.open(folder).close()
    return (folder / database.FILE_NAME).read_bytes()


def read_rows(data: bytes) -> str:
    """Rows of day records that somebody changed: lists, record and review go on, or say it is damaged."""
    empty, folder = _empty(os.getpid()), fresh()
    (folder / database.FILE_NAME).write_bytes(empty)
    with DayRecords.open(folder) as records:
        _insert(records.connection, data)
        try:
            told = _read_all(records)
        except LogError as error:
            must_be_plain(str(error).replace(str(folder), ""))
            return "refused"
    return told


def _insert(connection: sqlite3.Connection, data: bytes) -> None:
    connection.execute("PRAGMA foreign_keys = OFF")
    connection.execute("INSERT INTO run VALUES (1, 'Halves', 'mathematics', 'live', ?, ?, 0)", (AT_MS, AT_MS))
    for line in data.splitlines():
        try:
            row = json.loads(line)
        except (ValueError, RecursionError):
            continue
        if not isinstance(row, list) or len(row) not in (4, 6):
            continue
        name = "event" if len(row) == 6 else "after_event"
        marks = ", ".join("?" for _value in row)
        try:
            connection.execute(f"INSERT INTO {name} VALUES (1, {marks})", row)
        except (sqlite3.Error, OverflowError, UnicodeError):
            continue  # no file can hold it


def _read_all(records: DayRecords) -> str:
    records.runs(), records.unfinished(), records.after().newest_tomorrow_note()
    book = read_days(records)
    events = records.events(1)
    state = fold(events)
    corrections = effective(records.after().of(1))
    mended = repaired(state, corrections)
    record(state, events[-1].t_ms, left_over(state, mended, corrections)).as_json()
    if state.is_running:
        session = Session(ManualClock(AT_MS + 10_000_000), records.journal_of(1), events)
        _look(session)
        execute(session, "next"), execute(session, "missed"), execute(session, "tick")
        _look(session)
    return "refused" if book.damaged else "read"


def _look(session: Session) -> None:
    reading = keep_up(session)
    desk_frame(reading, cues=session.state.cues), wall_frame(reading)


def read_name(data: bytes) -> str:
    """The name of an attached file: it leads to one below the outline's folder, or is refused."""
    folder = fresh()
    (folder / "a").mkdir()
    (folder / "a" / "b.png").write_bytes(b"x")
    (folder / "c.pdf").write_bytes(b"x")
    (folder / "out.png").symlink_to("/etc/passwd")
    try:
        file = attached_file(str(folder), data.decode("utf-8", "surrogateescape"))
    except UnreadableFileError as error:
        must_be_plain(error.what)
        must_be_plain(error.fix)
        return "refused"
    assert Path(os.path.realpath(file)).is_relative_to(folder), f"leads out: {file}"
    return "read"


RECORD_READERS = (
    Reader("settings", lambda: (SETTINGS, Settings().model_dump_json(indent=1).encode()), read_settings, (
        b"{}", b"[]", b"null", b'"a"', b"1e400", b"NaN", b"true", b'{"a":1}', b'"9:00"', b"[[[", b'"\\ud800"',
        b"-1",
    ), share=8),
    Reader("planned days", lambda: (PLANNED,), read_planned_days, (
        b"{}", b"[]", b"null", b'"a"', b"1e400", b'"../a"', b'"\\ud800"', b'"\\u0000"',
        b'"2026-02-30"', b'"9999-12-31"',
        b'"template/"', b"[[[",
    ), share=4),
    Reader("split of last time", lambda: (KeptSplit(text="Mark 10\n").model_dump_json().encode(),),
    read_kept_split, (
        b"null", b'"\\ud800"', b"1e400", b"[]", b"{}",
    ), share=2),
    Reader("recovery file", lambda: (json.dumps(
        {"path": "/tmp/none/a.toml", "stamp": "", "utc_ms": AT_MS, "text": 'title = "A"\n'}).encode(),
    ), read_recovery, (
        b'"/dev/zero"', b'"\\ud800"', b'"\\u0000"', b"null", b"1e400", b"[]", b'"relative"', b'"/"', b'""',
        b"../",
    ), share=4),
    Reader("table to import", lambda: TABLE, read_table, (
        b"date,", b",", b"\r\n", b'""', b"=1+1", b"skipped", b"1e5", b"2026-02-29", b";", b"kind,kind,",
    ), share=8),
    Reader("day record rows", rows_of_a_lesson, read_rows, (
        b"null", b"9223372036854775807", b"-1", b"1.5", b'"a"', b"[]", b"253370764799999", b'"kind"', b"true",
        b'\\"index\\": 99', b"4611686018427387904", b'\\"group\\": 11', b'\\"group\\": 99',
        b'\\"visit\\"', b'\\"share\\"', b'\\"swap\\"', b'\\"dropped\\"', b"-28800",
    ), share=8),
    Reader("attachment's name", lambda: (b"a/b.png", b"c.pdf", b"out.png"), read_name, (
        b"/", b"..", b"../", b"C:", b"\\", b".png", b"%00", b"a" * 300, b"./", b"//",
    ), share=3),
)  # fmt: skip
