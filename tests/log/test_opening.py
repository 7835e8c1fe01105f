"""Opening whatever lies there: each byte flipped, hostile files, and readers that leave no trace."""

import sqlite3
import stat
import time
from pathlib import Path

import pytest

from pacer.log import opening
from pacer.log.database import FILE_NAME, LogError, NewerDatabase
from pacer.log.date_span import DateSpan
from pacer.log.day_records import DamagedRecord, DayRecords
from pacer.log.erase import erasable
from tests.conftest import USUAL_EXAMPLES, examples
from tests.faults.lesson_factories import short_outline
from tests.log.damage_factories import MONDAY_UTC_MS, all_rows, flip, teach, wipe_page, write_records

# All bytes are tried where it is asked for as for other searches: PACER_EXAMPLES=5000.
STRIDE = 1 if examples > USUAL_EXAMPLES else 83
ALL = DateSpan()


def plain(words: str) -> bool:
    """Whether this is a sentence and nothing of a programmer's."""
    return words.endswith(".") and not any(sign in words for sign in ("Error", "codec", "Traceback", "\0"))


def use(records: DayRecords) -> tuple[str, int]:
    """Read all there is, as the windows and verbs do; returns what is said of lessons, and how many events
    can be read."""
    count, said = 0, []
    for row in [*records.runs(), *records.trashed_runs()]:
        try:
            count += len(records.events(row.id))
        except DamagedRecord as error:
            said.append(str(error))
    records.unfinished()
    for part in (
        records.after(),
        records.trash(),
        records.accepted(),
        records.imported(),
        records.kept_days(),
    ):
        part.all()
    erasable(records, ALL, MONDAY_UTC_MS)
    assert [words for words in said if not plain(words)] == []
    return " ".join(said), count


def opens(folder: Path, way=DayRecords.read) -> tuple[str, int]:
    """What is said of the records in a folder, and how many events can be read."""
    try:
        with way(folder) as records:
            of_lessons, events = use(records)
            said = records.notice or of_lessons
    except LogError as error:
        said, events = str(error), 0
    assert said == "" or plain(said)
    return said, events


@pytest.fixture(scope="module")
def small(tmp_path_factory) -> bytes:
    """A file of pages as small as can be, ten events in it."""
    path = write_records(tmp_path_factory.mktemp("small"), short_outline(), lessons=2, presses=3)
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA journal_mode = DELETE")
    connection.execute("PRAGMA page_size = 512")
    connection.execute("VACUUM")
    connection.execute("PRAGMA journal_mode = WAL")
    connection.close()
    return path.read_bytes()


def flipped(content: bytes, at: int, pattern: int) -> bytes:
    return content[:at] + bytes([content[at] ^ pattern]) + content[at + 1 :]


@pytest.mark.slow
def test_whatever_byte_is_flipped_the_records_open_or_a_sentence_says_why(tmp_path, small):
    path, whole, lost = tmp_path / FILE_NAME, 0, []
    tried = [(at, pattern) for at in range(0, 512, max(1, STRIDE // 10)) for pattern in (0xFF, 0x01, 0x80)]
    tried += [(at, 0xFF) for at in range(512, len(small), STRIDE)]
    for at, pattern in tried:
        path.write_bytes(flipped(small, at, pattern))
        notice, events = opens(tmp_path)
        whole += events == 10
        # One byte costs one lesson of the two, or both where it gives an event to the other.
        if events < 5 and "can't be read" not in notice:
            lost.append((at, pattern, notice))
    assert lost == []
    assert whole > len(tried) * 0.6


def test_a_flipped_byte_of_the_first_page_costs_nothing_for_good(tmp_path, small):
    """As a start of the window opens it: what can be read is saved, and the damaged file is kept."""
    for at in range(16, 512, STRIDE):
        folder = tmp_path / str(at)
        folder.mkdir()
        damaged = flipped(small, at, 0xFF)
        (folder / FILE_NAME).write_bytes(damaged)
        notice, events = opens(folder, DayRecords.open)
        assert events == 10 or "could not be read" in notice, (at, notice)
        if notice:
            assert [kept.read_bytes() for kept in folder.glob("*-unreadable-*")] == [damaged]
        assert opens(folder, DayRecords.open)[0] == ""  # and the next start is like any other


def test_an_error_text_of_sqlite_that_is_no_text_is_no_other_kind_of_error(tmp_path, invented):
    path = write_records(tmp_path, invented)
    content = path.read_bytes()
    at = content.index(b"tablerunrun")
    path.write_bytes(content[:at] + b"table\xff\xfenrun" + content[at + 11 :])
    with pytest.raises(UnicodeDecodeError):
        sqlite3.connect(path).execute("SELECT * FROM run").fetchall()
    notice, events = opens(tmp_path, DayRecords.open)
    assert "24 events of 3 lessons can be read." in notice
    assert events == 24


def test_saved_records_are_whole_and_go_on(tmp_path, invented):
    path = write_records(tmp_path, invented)
    before = sqlite3.connect(path)
    rows = all_rows(before)
    before.close()
    wipe_page(path, 1)
    with DayRecords.open(tmp_path) as records:
        assert all_rows(records.connection) == rows
        assert teach(records, invented, 5) == 4
        assert records.connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert records.connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


@pytest.mark.parametrize("spoil", ["damage", "older", "whole", "garbage"])
def test_who_only_reads_makes_renames_and_writes_nothing(tmp_path, invented, spoil):
    path = write_records(tmp_path, invented)
    if spoil == "damage":
        wipe_page(path, 1)
    if spoil == "garbage":
        path.write_bytes(b"These are no records. " * 500)
    if spoil == "older":
        connection = sqlite3.connect(path, isolation_level=None)
        for table in ("after_event", "trash", "accepted_budget", "day_worked_out"):
            connection.execute(f"DROP TABLE {table}")
        connection.execute("DELETE FROM migration WHERE name = 'after school'")
        connection.execute("PRAGMA user_version = 2")
        connection.close()
    before = {file.name: (file.read_bytes(), file.stat().st_mtime_ns) for file in tmp_path.iterdir()}
    notice, events = opens(tmp_path)
    assert {file.name: (file.read_bytes(), file.stat().st_mtime_ns) for file in tmp_path.iterdir()} == before
    assert events == (0 if spoil == "garbage" else 24)
    assert bool(notice) == (spoil in ("damage", "garbage"))


def test_who_reads_while_a_lesson_is_written_sees_it(tmp_path, invented):
    with DayRecords.open(tmp_path) as records:
        teach(records, invented)
        assert opens(tmp_path) == ("", 8)


def test_a_number_of_the_version_that_is_damaged_is_no_newer_pacer(tmp_path, invented):
    path = write_records(tmp_path, invented)
    flip(path, 60, 0x40)
    notice, events = opens(tmp_path, DayRecords.open)
    assert "newer" not in notice
    assert events == 24


def test_a_newer_pacer_is_still_told_by_its_steps(tmp_path, invented):
    path = write_records(tmp_path, invented)
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("CREATE TABLE of_tomorrow (x)")
    connection.execute("INSERT INTO migration VALUES ('of tomorrow', '')")
    connection.execute("PRAGMA user_version = 4")
    connection.close()
    for way in (DayRecords.open, DayRecords.read):
        with pytest.raises(NewerDatabase):
            way(tmp_path)


def test_a_saving_that_was_cut_off_is_ended_at_the_next_start(tmp_path, invented, monkeypatch):
    path = write_records(tmp_path, invented)
    wipe_page(path, 1)

    def cut_off(_path: Path) -> Path:
        kept = tmp_path / "day-records-unreadable-1.sqlite3"
        path.rename(kept)
        raise KeyboardInterrupt  # as a kill, between one renaming and the next

    with monkeypatch.context() as patch:
        patch.setattr(opening, "_set_aside", cut_off)
        with pytest.raises(KeyboardInterrupt):
            DayRecords.open(tmp_path)
    assert not path.exists()
    assert opens(tmp_path)[1] == 24
    assert opens(tmp_path, DayRecords.open) == ("", 24)


def test_where_nothing_can_be_saved_what_can_be_read_is_still_shown(tmp_path, invented, monkeypatch):
    path = write_records(tmp_path, invented)
    wipe_page(path, 1)

    def refuse(*_what: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(opening, "_set_aside", refuse)
    with DayRecords.open(tmp_path) as records:
        assert not records.can_write
        assert use(records) == ("", 24)
        assert "No space left" in records.notice
    assert path.exists()
    assert not list(tmp_path.glob("*-saved*"))


# Files that somebody else made.

ENDLESS = "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT max(i) FROM n"


@pytest.mark.slow
@pytest.mark.parametrize(
    "trap",
    [
        f"CREATE TRIGGER trap BEFORE INSERT ON event BEGIN SELECT ({ENDLESS}); END",
        f"CREATE TRIGGER trap AFTER DELETE ON run BEGIN SELECT ({ENDLESS}); END",
        f"CREATE VIEW trap AS {ENDLESS}",
        "CREATE INDEX trap ON run (abs(id))",
        "CREATE TABLE more (a, b AS (abs(a)))",
        "ALTER TABLE run RENAME TO old; CREATE VIEW run AS SELECT * FROM old, old, old, old",
        f"ALTER TABLE run RENAME TO old; CREATE VIEW run AS SELECT *, ({ENDLESS}) AS trap FROM old",
    ],
)
def test_views_and_triggers_of_others_never_run_and_their_lessons_are_read(tmp_path, invented, trap):
    path = write_records(tmp_path, invented)
    connection = sqlite3.connect(path)
    connection.executescript(trap)
    connection.close()
    begun = time.process_time()
    assert opens(tmp_path)[1] == 24
    notice, events = opens(tmp_path, DayRecords.open)
    assert events == 24
    assert "are damaged" in notice
    with DayRecords.open(tmp_path) as records:
        teach(records, invented, 5)
        names = records.connection.execute("SELECT name FROM sqlite_master WHERE name = 'trap'").fetchall()
    assert names == []
    # An endless one would never come here; this is only far from it.
    assert time.process_time() - begun < 60


@pytest.mark.slow
@pytest.mark.parametrize("value", [2**63 - 1, -(2**63), 2**62, 253_370_764_800_000, -1])
@pytest.mark.parametrize(
    "column",
    ["run.started_utc_ms", "run.planned_utc_ms", "run.utc_offset_s", "event.t_ms", "event.mono_ms",
     "event.utc_ms", "after_event.utc_ms", "trash.utc_ms", "accepted_budget.utc_ms",
     "import_batch.imported_utc_ms"],
)  # fmt: skip
def test_forged_times_end_in_words_everywhere(tmp_path, invented, column, value):
    from pacer.review.day_book import read_days

    path = write_records(tmp_path, invented)
    table, name = column.split(".")
    connection = sqlite3.connect(path)
    connection.execute(f"UPDATE {table} SET {name} = ?", (value,))
    connection.commit()
    connection.close()
    with DayRecords.read(tmp_path) as records:
        use(records)
        read_days(records)


@pytest.mark.slow
def test_a_row_of_many_megabytes_is_refused_in_words(tmp_path, invented):
    path = write_records(tmp_path, invented)
    connection = sqlite3.connect(path)
    connection.execute("UPDATE event SET body = zeroblob(100000000) WHERE run_id = 2 AND seq = 3")
    connection.commit()
    connection.close()
    notice, events = opens(tmp_path)
    assert "can't be read" in notice
    assert events == 16
