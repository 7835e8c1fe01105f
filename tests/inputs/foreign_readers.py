"""The readers of what others made: odd databases, the clipboard, outlines that another program broke."""

import shutil
import sqlite3
from collections.abc import Callable, Sequence
from contextlib import closing, suppress
from datetime import date
from functools import cache
from pathlib import Path

from pacer.editing.library.shelf import Library
from pacer.editing.taken_lesson import TakenLesson
from pacer.fault_log import FaultLog
from pacer.log import backups, database
from pacer.log.bell_presses import bell_presses
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.plan.file.reader import MAX_BYTES
from pacer.plan.taken.taken import NotTakenError, Taken, TakenPart
from pacer.review.day_book import read_days
from pacer.settings.draft_store import DraftStore
from pacer.settings.taken_store import TakenStore
from tests.faults.flipped import small_records
from tests.inputs.documents import documents
from tests.inputs.plan_readers import HALF, ODD_OUTLINE, TYPED, outlines
from tests.inputs.reader import Reader, must_be_plain, must_equal
from tests.inputs.record_readers import CLOCK, fresh
from tests.inputs.watched import checks, next_step

ENDLESS = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT max(i) FROM n"
_MOST_STEPS = 200  # thousands of SQLite's, of a statement that makes the file: that is not what is tried
SCHEMAS = (
    f"CREATE TRIGGER trap BEFORE INSERT ON event BEGIN SELECT ({ENDLESS}); END;\n"
    f"CREATE VIEW trap2 AS {ENDLESS};\nCREATE INDEX trap3 ON run (abs(id));",
    f"ALTER TABLE run RENAME TO old;\nCREATE VIEW run AS SELECT *, ({ENDLESS}) AS trap FROM old;",
    "DROP TABLE event;\nCREATE VIEW event AS SELECT * FROM run, run AS a, run AS b, run AS c;",
    "CREATE TABLE more (a, b AS (abs(a)), CHECK (b > (0)));\nINSERT INTO more VALUES (1);\n"
    "CREATE VIRTUAL TABLE words USING fts5(body);\nINSERT INTO words VALUES ('halves');",
    "UPDATE run SET title = zeroblob(60000);\nUPDATE event SET body = hex(zeroblob(4000));\n"
    "UPDATE event SET kind = NULL;\nPRAGMA user_version = 99;",
    "PRAGMA application_id = 5;\nCREATE TABLE notes (text);\nINSERT INTO notes VALUES ('halves');",
    "INSERT INTO trash VALUES (1, 'soon');\nINSERT INTO trash VALUES (2, 9e99);\n"
    "INSERT INTO import_batch VALUES (1, 'a', 'b', 'c');\n"
    "INSERT INTO imported_ending VALUES (1, 'x', 'y', x'00', 1, 'long', 9e999, 'b');\n"
    "INSERT INTO accepted_budget VALUES (1, 'now', x'ff', 2, 'kind', 'old', 9e99, -1, 'cut');",
    "UPDATE day_worked_out SET body = '[9e999, null, {}]';\nUPDATE day_worked_out SET stamp = x'ff';\n"
    "UPDATE event SET kind = 'bell_rang', body = '{\"planned\": []}' WHERE seq = 1;\n"
    "UPDATE run SET started_utc_ms = 'now', planned_utc_ms = 9e99, mode = 'live';",
    "PRAGMA writable_schema = ON;\nUPDATE sqlite_schema SET sql = 'CREATE TABLE run (id, id)' "
    "WHERE name = 'run';\nUPDATE sqlite_schema SET rootpage = 2;\nUPDATE sqlite_schema SET type = 'view';",
)


@cache
def _whole(_name: str = "") -> bytes:
    return small_records(fresh())


def read_schema(data: bytes) -> str:
    """Day records in which another program did as it liked: they open, or it is said why not."""
    folder, whole = fresh(), _whole()
    path = folder / database.FILE_NAME
    path.write_bytes(whole)
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for statement in data.decode("utf-8", "replace").split(";\n")[:40]:
            _run(connection, statement)
    shutil.copyfile(path, _folder(folder / "backups") / "day-records-2026-03-09.sqlite3")
    return _opened(folder)


def _run(connection: sqlite3.Connection, statement: str) -> None:
    left = _MOST_STEPS

    def is_over() -> bool:
        nonlocal left
        left -= 1
        return left < 0

    connection.set_progress_handler(is_over, 1000)
    with suppress(sqlite3.Error, sqlite3.Warning, ValueError, UnicodeError):
        connection.execute(statement)
    connection.set_progress_handler(None, 0)


def read_file(data: bytes) -> str:
    """A file of day records with any bytes, as it is and among the copies."""
    folder = fresh()
    (folder / database.FILE_NAME).write_bytes(data)
    (_folder(folder / "backups") / "day-records-2026-03-09.sqlite3").write_bytes(data)
    return _opened(folder)


def _folder(path: Path) -> Path:
    path.mkdir()
    return path


def _opened(folder: Path) -> str:
    """Read by a verb, looked at as a copy, opened by the window, read back and copied."""
    next_step()
    told = ""
    try:
        with DayRecords.read(folder) as records:
            told = records.notice
            read_days(records)
    except LogError as error:
        told = str(error)
    next_step()
    for copy in backups.copies(folder / database.FILE_NAME):
        if copy.trouble:
            must_be_plain(copy.trouble)
    next_step()
    try:
        with DayRecords.open(folder) as records:
            told = told or records.notice
            next_step()
            read_days(records)
            next_step()
            records.runs(), records.unfinished(), records.after().all()
            next_step()
            for listed in (records.trash().all, records.trashed_runs, records.accepted().all,
                           records.imported().all, records.kept_days().all):  # fmt: skip
                told = told or _said(listed)
            told = told or _said(lambda: bell_presses(records))
            next_step()
            backups.copy_today(folder / database.FILE_NAME, date(2026, 3, 10))
    except LogError as error:
        told = told or str(error)
    checks()
    if told:
        must_be_plain(told.replace(str(folder), ""))
    return "refused" if told else "read"


def _said(listed: Callable[[], object]) -> str:
    """Why a part of day records can't be listed; the others must be all the same."""
    try:
        listed()
    except LogError as error:
        return str(error)
    return ""


def read_broken(data: bytes) -> str:
    """An outline's file in the library: sound, or wrong in plain words; mended and taken back to the byte."""
    folder = fresh()
    path = _folder(folder / "outlines") / "a.toml"
    path.write_bytes(data)
    library = Library(folder / "outlines", DraftStore(folder, CLOCK, folder / "elsewhere"), lambda file: file)
    broken = library.broken(path)
    next_step()
    if broken is None:
        return "read"
    must_be_plain(broken.words)
    if broken.mend_words:
        must_be_plain(broken.mend_words)
        told = library.mend(path)
        next_step()
        must_be_plain(told.words)
        assert told.done, f"can't be mended though it is said to be: {told.words}"
        again = library.broken(path)
        checks()
        assert again is None or again.opens or not again.mend_words, "what was mended is to be mended again"
        must_equal(True, library.undo().done, "undone")
        must_equal(data, path.read_bytes(), "taken back")
    elif len(data) <= MAX_BYTES and broken.has_text:
        must_equal(data, path.read_bytes(), "left alone")
    return "refused"


class _NoTimer:
    def start(self) -> None:
        """Nothing."""

    def stop(self) -> None:
        """Nothing."""


def _taken(folder: Path) -> TakenLesson:
    store = TakenStore(folder, CLOCK, folder / "elsewhere")
    return TakenLesson(store, lambda _ms, _then: _NoTimer(), lambda: None)


def read_kept(data: bytes) -> str:
    """What was taken and is no outline yet, as it was kept: there again with what was said of it."""
    folder = fresh()
    (_folder(folder / "taken") / "a.json").write_bytes(data)
    lesson = TakenLesson(
        TakenStore(folder, CLOCK, folder / "else"), lambda _ms, _then: _NoTimer(), lambda: None
    )
    lesson.find_kept()
    next_step()
    if not lesson.text:
        return "refused"
    text = lesson.text
    lesson.keep()
    again = TakenLesson(
        TakenStore(folder, CLOCK, folder / "else"), lambda _ms, _then: _NoTimer(), lambda: None
    )
    again.find_kept()
    checks()
    must_equal((text, lesson.rulings), (again.text, again.rulings), "kept again")
    return "read"


@cache
def kept_lessons() -> Sequence[bytes]:
    """A text that was taken, with what was said of its lines, as the store keeps it."""
    folder = fresh()
    lesson = TakenLesson(
        TakenStore(folder, CLOCK, folder / "else"), lambda _ms, _then: _NoTimer(), lambda: None
    )
    lesson.take(Taken((TakenPart("", TYPED[0].decode()),)), "plan.docx")
    lesson.say([1], "title")
    lesson.say([3], "note")
    lesson.keep()
    return tuple(file.read_bytes() for file in (folder / "taken").rglob("*") if file.is_file())


def read_clipboard(data: bytes) -> str:
    """What is pasted: as a page, as rich text, and as plain text, by its first sign."""
    from PySide6.QtCore import QByteArray, QMimeData

    from pacer.qt.taken.from_mime import is_lesson, taken_of

    mime, text = QMimeData(), data.decode("utf-8", "replace")
    if data[:1] == b"{":
        mime.setData("text/rtf", QByteArray(data))
    elif data[:1] == b"<":
        mime.setHtml(text)
    mime.setText(text[1:] if len(data) % 2 else "Halves 3")
    next_step()
    is_lesson(mime)
    next_step()
    try:
        found = taken_of(mime)
    except NotTakenError as error:
        must_be_plain(error.what)
        must_be_plain(error.fix)
        return "refused"
    for words in found.left_aside:
        must_be_plain(words)
    return "read"


@cache
def broken_outlines() -> Sequence[bytes]:
    """Outlines sound and not, and lists as they are typed."""
    return (*outlines(), HALF.replace(b'"', "\u201d".encode()), ODD_OUTLINE[:90], *TYPED)


def _pasted() -> Sequence[bytes]:
    marks = (b"{\\rtf", b"<html")
    return (*(one for one in documents() if one.startswith(marks)), *TYPED[:2])


CRASH = (
    b"Fatal Python error: Segmentation fault\n\nCurrent thread 0x00007f (most recent call first):\n"
    b'  File "/home/canary-her/pacer/remember.py", line 12 in last\n'
    b'  File "C:\\canary-her\\pacer\\qt\\app.py", line 7 in show\n'
    b"Extension modules: canary-module (total: 1)\n",
)


def read_crash(data: bytes) -> str:
    """What a crash left: the next start goes on, and the log has none of its folders and words."""
    folder = fresh()
    (folder / "pacer-crash.txt").write_bytes(data)
    log = FaultLog(folder)
    with log.running({}, lambda _fault: None):
        next_step()
    checks()
    said = log.path.read_text()
    assert "canary" not in said.partition("crashed: ")[2], "a private word is in the log"
    return "read" if "crashed: " in said else "refused"


def read_dragged(data: bytes) -> str:
    """What another program drags over a day of Week under Pacer's own name for it."""
    from PySide6.QtCore import QByteArray, QMimeData

    from pacer.qt.week.day_list import MIME, dropped_in

    dragged = QMimeData()
    dragged.setData(MIME, QByteArray(data))
    next_step()
    return "refused" if dropped_in(dragged) is None else "read"


FOREIGN_READERS = (
    Reader("day records of others", lambda: tuple(text.encode() for text in SCHEMAS), read_schema, (
        b"run", b"event", b"after_event", b"SELECT", b"id", b"title", b"(", b"DROP TABLE migration;\n",
        b"NULL", b"x'00ff'", b"randomblob(9000)", b"CREATE TEMP", b"WITHOUT ROWID", b"UNIQUE",
        b"DELETE FROM sqlite_schema;\n", b"VACUUM;\n", b"PRAGMA page_size = 512;\n",
        b"PRAGMA journal_mode = MEMORY;\n", b"PRAGMA encoding = 'UTF-16';\n",
    ), share=3),
    Reader("day records, any bytes", lambda: (_whole(),), read_file, (
        b"\xff" * 9, b"\0" * 16, b"SQLite format 3\0", b"CREATE TRIGGER", b"\x0d", b"\x05",
    ), share=3),
    Reader("broken outline", broken_outlines, read_broken, (
        b"[[phase", b'title = "Go', b"budget = 3 min\n", b"\xe2\x80\x9c", b"format = 2\n", b"[blok]\n",
        b"\xff",
        b"= =", b"budget 3\n", b"[[phase]]\n[[phase]]\n", b"\0",
    ), share=4),
    Reader("what was taken and kept", kept_lessons, read_kept, (
        b"null", b'"\\ud800"', b"1e400", b"[]", b"{}", b'"title"', b"99999", b"-1", b'\\"1\\"',
    ), share=2),
    Reader("clipboard", _pasted, read_clipboard, (
        b"<table>", b"<li>", b"<s>", b"mso-list", b"{\\rtf1 ", b"\\cell ", b"\t", b"\r", b"rowspan=999",
        b"\0",
    ), share=4),
    Reader("crash report", lambda: CRASH, read_crash, (
        b"Fatal Python error: ", b'  File "', b'", line ' + b"9" * 5000, b" in ", b"pacer/", b"/", b"\\",
        b"\0", b"\r",
    ), share=1),
    Reader("lesson dragged over a day", lambda: (b'["2026-03-09", 1]', b'"a.toml"'), read_dragged, (
        b"[", b"{}", b"null", b"1e999", b"true", b'"', b"9" * 5000, b'"9999-12-31"',
    ), share=1),
)  # fmt: skip
