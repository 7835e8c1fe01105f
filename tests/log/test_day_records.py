"""Day records: what is written comes back as it was, and what can't be written waits."""

import json
import sqlite3
import threading
from pathlib import Path

import pytest

from pacer.log import database
from pacer.log.day_records import DamagedRecord, DayRecords, UnknownRun
from pacer.run.clock import ManualClock
from pacer.run.events import Example, Started, Voice, body_to_json
from pacer.run.fold import fold
from pacer.run.session import Done, JournalError, Session

NINE_MS = 1_773_046_800_000


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "not there yet" / "data"


@pytest.fixture
def records(folder: Path):
    with DayRecords.open(folder) as opened:
        yield opened


@pytest.fixture
def clock() -> ManualClock:
    return ManualClock(NINE_MS)


def begun(records: DayRecords, clock: ManualClock, outline, mode="live") -> Session:
    session = Session(clock, records.journal())
    answer = session.start(outline, NINE_MS - 60_000, utc_offset_s=-14_400, mode=mode)
    assert isinstance(answer, Done)
    return session


def press(session: Session, clock: ManualClock, *commands: str) -> None:
    for command in commands:
        clock.advance(1500)
        assert isinstance(session.do(*command.split()), Done), command


def without_groups(outline):
    """The outline of a lesson that is over where its last phase is."""
    return outline.model_copy(update={"block": outline.block.model_copy(update={"groups": 0})})


def other_connection(records: DayRecords) -> sqlite3.Connection:
    return sqlite3.connect(records.path, isolation_level=None)


def test_a_lesson_comes_back_from_disk_as_it_was_lived(folder, clock, invented):
    with DayRecords.open(folder) as records:
        session = begun(records, clock, invented)
        press(session, clock, "voice", "next done", "pause", "go-on", "add 1:00", "undo", "jump vocabulary",
              "burst", "tally 3", "eyes-back", "back", "hide", "wall strip", "end interrupted")  # fmt: skip
        assert session.unsaved == 0
    with DayRecords.open(folder) as again:
        row = again.runs()[0]
        assert again.events(row.id) == list(session.events)
        assert fold(again.events(row.id)) == session.state


def test_the_database_waits_for_the_disk_at_every_commit(records):
    settings = {
        name: records.connection.execute(f"PRAGMA {name}").fetchone()[0]
        for name in ("journal_mode", "synchronous", "foreign_keys")
    }
    full = 2
    assert settings == {"journal_mode": "wal", "synchronous": full, "foreign_keys": 1}


def test_an_acknowledged_event_is_seen_by_another_connection_at_once(records, clock, invented):
    session = begun(records, clock, invented)
    other = other_connection(records)
    for expected in range(2, 6):
        press(session, clock, "voice")
        assert other.execute("SELECT count(*) FROM event").fetchone()[0] == expected
    other.close()


def test_the_list_names_each_lesson_with_the_newest_first(records, clock, invented):
    begun(records, clock, invented, mode="rehearsal")
    clock.advance(86_400_000)
    begun(records, clock, invented)
    newest, oldest = records.runs()
    assert newest.started_utc_ms - oldest.started_utc_ms == 86_400_000
    assert (oldest.title, oldest.subject, oldest.mode) == (
        "Thirds on a number line",
        "mathematics",
        "rehearsal",
    )
    assert (oldest.started_utc_ms, oldest.planned_utc_ms) == (NINE_MS, NINE_MS - 60_000)
    assert oldest.utc_offset_s == -14_400


def test_only_lessons_that_never_ended_are_offered_to_go_on(records, clock, invented):
    press(begun(records, clock, invented), clock, "end")
    running = begun(records, clock, invented)
    press(running, clock, "next")
    press(begun(records, clock, invented), clock, "bell-now", "undo")
    press(begun(records, clock, invented), clock, *["next"] * 7)
    press(begun(records, clock, without_groups(invented)), clock, *["next"] * 6)
    assert fold(records.events(4)).leg is not None
    assert fold(records.events(5)).ended_ms is not None
    assert [row.id for row in records.unfinished()] == [4, 3, 2], "the second half is not the end"


def test_that_a_lesson_is_over_its_last_event_tells_alone(records, clock, invented, monkeypatch):
    """A start need not read the others, of five lessons."""
    press(begun(records, clock, invented), clock, "end")
    press(begun(records, clock, without_groups(invented)), clock, *["next"] * 6)
    press(begun(records, clock, invented), clock, "bell-now")
    press(begun(records, clock, invented), clock, *["next"] * 7, "bell-now")
    press(begun(records, clock, invented), clock, "groups", "end")
    read: list[int] = []
    monkeypatch.setattr(DayRecords, "events", lambda _records, run: read.append(run))
    assert records.unfinished() == []
    assert read == []


def test_a_lesson_goes_on_in_its_own_record_with_the_time_away_counted(folder, clock, invented):
    with DayRecords.open(folder) as records:
        press(begun(records, clock, invented), clock, "next")
    clock.advance(40_000)
    with DayRecords.open(folder) as records:
        row = records.unfinished()[0]
        session = Session(clock, records.journal_of(row.id), records.events(row.id))
        assert len(records.events(row.id)) == 2, "reading changes nothing"
        session.tick()
        assert session.now_ms() == 41_500
        press(session, clock, "end")
        assert [event.body.kind for event in records.events(row.id)] == ["started", "moved", "gap", "ended"]
        assert len(records.runs()) == 1
        assert records.unfinished() == []


def test_events_given_together_are_written_all_or_none(records, clock, invented):
    session = begun(records, clock, invented)
    press(session, clock, "voice", "example")
    first, second, third = session.events
    journal = records.journal()
    with pytest.raises(JournalError, match="another Pacer window"):
        journal.append([first, second, third, third])
    assert journal.run_id is None
    assert len(records.runs()) == 1
    journal.append([first, second, third])
    assert records.events(2) == [first, second, third]


def test_a_lesson_cannot_begin_with_anything_but_its_start(records, clock, invented):
    session = begun(records, clock, invented)
    press(session, clock, "voice")
    with pytest.raises(ValueError, match="first event"):
        records.journal().append(session.events[1:])
    assert len(records.runs()) == 1
    press(session, clock, "voice")
    assert session.unsaved == 0


def test_two_windows_that_go_on_with_one_lesson_do_not_overwrite_each_other(records, clock, invented):
    begun(records, clock, invented)
    first = Session(clock, records.journal_of(1), records.events(1)[:1])
    second = Session(clock, records.journal_of(1), first.events[:1])
    clock.advance(1000)
    first.tick()
    second.tick()
    assert [event.body.kind for event in first.events] == ["started", "gap"]
    assert first.unsaved == 0
    assert second.unsaved == 1
    assert "another Pacer window" in second.trouble
    assert records.events(1) == list(first.events)


def test_while_another_program_locks_the_file_presses_wait_and_are_written_later(records, clock, invented):
    session = begun(records, clock, invented)
    other = other_connection(records)
    other.execute("BEGIN IMMEDIATE")
    press(session, clock, "voice", "next done")
    assert session.unsaved == 2
    assert str(records.path) in session.trouble
    assert "Another program is using the day records" in session.trouble
    assert len(records.events(1)) == 1
    other.execute("ROLLBACK")
    other.close()
    clock.advance(1000)
    session.tick()
    assert (session.unsaved, session.trouble) == (0, "")
    assert records.events(1) == list(session.events)


def test_a_lesson_that_starts_while_the_file_is_locked_gets_its_record_later(records, clock, invented):
    other = other_connection(records)
    other.execute("BEGIN IMMEDIATE")
    session = begun(records, clock, invented)
    assert session.unsaved == 1
    other.execute("ROLLBACK")
    other.close()
    press(session, clock, "voice")
    assert session.unsaved == 0
    assert records.events(1) == list(session.events)


def test_a_full_disk_stops_no_lesson_and_all_is_written_once_there_is_room(records, clock, invented):
    """SQLite's own page limit stands in for the disk: it fails with the same code."""
    session = begun(records, clock, invented)
    pages = records.connection.execute("PRAGMA page_count").fetchone()[0]
    records.connection.execute(f"PRAGMA max_page_count = {pages}")
    press(session, clock, *["voice"] * 200)
    assert session.unsaved > 0
    assert "The disk is full" in session.trouble
    stored = records.events(1)
    assert stored == list(session.events[: len(stored)])
    assert len(stored) + session.unsaved == len(session.events)
    records.connection.execute("PRAGMA max_page_count = 100000")
    clock.advance(1000)
    session.tick()
    assert session.unsaved == 0
    assert records.events(1) == list(session.events)


def test_two_readers_and_the_writer_do_not_stand_in_each_others_way(folder, records, clock, invented):
    session = begun(records, clock, invented)
    seen: dict[str, list[int]] = {"a": [], "b": []}
    failures: list[BaseException] = []

    def read(name: str) -> None:
        try:
            with DayRecords.open(folder) as reader:
                while not seen[name] or seen[name][-1] < 101:
                    seen[name].append(len(reader.events(1)))
        except BaseException as error:
            failures.append(error)

    readers = [threading.Thread(target=read, args=(name,), daemon=True) for name in seen]
    for reader in readers:
        reader.start()
    press(session, clock, *["voice"] * 100)
    for reader in readers:
        reader.join(timeout=300)
    assert failures == []
    assert session.unsaved == 0
    assert [counts[-1] for counts in seen.values()] == [101, 101]
    assert all(counts == sorted(counts) for counts in seen.values())


@pytest.mark.parametrize(
    "body",
    [
        '{"kind": "hologram"}',
        '{"kind": "voice", "loudness": 3}',
        "{",
        "",
        b"\xff\xfe\x00",
        '{"kind": "tally", "number": "x"}',
    ],
)
def test_an_event_that_cannot_be_read_is_named_and_costs_only_its_own_lesson(records, clock, invented, body):
    for _lesson in range(2):
        press(begun(records, clock, invented), clock, "voice", "example")
    other = other_connection(records)
    other.execute("UPDATE event SET body = CAST(? AS TEXT) WHERE run_id = 1 AND seq = 2", (body,))
    other.close()
    with pytest.raises(DamagedRecord, match="Event 2 of day record 1 in"):
        records.events(1)
    assert [type(event.body) for event in records.events(2)] == [Started, Voice, Example]
    assert [row.id for row in records.runs()] == [2, 1]
    assert [row.id for row in records.unfinished()] == [2]


@pytest.mark.parametrize("seconds", [-86_401, 86_401, 2**63 - 1])
def test_a_plan_with_times_that_no_lesson_has_is_damaged_and_never_followed(
    records, clock, invented, seconds
):
    session = begun(records, clock, invented)
    body = json.loads(body_to_json(session.events[0].body))
    body["outline"]["phases"][0]["budget_s"] = seconds
    other = other_connection(records)
    other.execute("UPDATE event SET body = ? WHERE run_id = 1 AND seq = 0", (json.dumps(body),))
    other.close()
    with pytest.raises(DamagedRecord, match="Event 0 of day record 1 in"):
        records.events(1)


@pytest.mark.parametrize("seq", [0, 1])
def test_a_missing_event_is_named(records, clock, invented, seq):
    press(begun(records, clock, invented), clock, "voice", "example")
    other = other_connection(records)
    other.execute("DELETE FROM event WHERE seq = ?", (seq,))
    other.close()
    with pytest.raises(DamagedRecord, match=f"Event {seq} of day record 1 in"):
        records.events(1)


def test_a_move_to_a_phase_that_is_not_there_is_not_offered_to_go_on(records, clock, invented):
    press(begun(records, clock, invented), clock, "next")
    other = other_connection(records)
    other.execute("""UPDATE event SET body = '{"kind":"moved","to":99,"ending":"done"}' WHERE seq = 1""")
    other.close()
    assert records.unfinished() == []


def test_a_title_that_is_no_longer_text_does_not_stop_the_list(records, clock, invented):
    begun(records, clock, invented)
    other = other_connection(records)
    other.execute("UPDATE run SET title = CAST(? AS TEXT)", (b"Thirds \xff",))
    other.close()
    assert records.runs()[0].title == "Thirds �"


def test_a_record_that_does_not_exist_is_said_not_to(records):
    with pytest.raises(UnknownRun, match="no day record 7 in"):
        records.events(7)


def test_writing_after_closing_is_a_journal_error_and_closing_twice_is_none(folder, clock, invented):
    records = DayRecords.open(folder)
    session = begun(records, clock, invented)
    records.close()
    records.close()
    press(session, clock, "voice")
    assert session.unsaved == 1
    assert session.trouble


def test_a_press_is_not_held_up_long_by_a_lock(records):
    """The thread that draws the countdown waits; a fifth of a second is our own choice."""
    wait_ms = records.connection.execute("PRAGMA busy_timeout").fetchone()[0]
    assert wait_ms == database.WRITING_WAIT_MS == 200
