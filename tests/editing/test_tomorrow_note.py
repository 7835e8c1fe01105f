"""The note for tomorrow stands until it is ticked off."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from pacer.editing.tomorrow_note import TomorrowNote
from pacer.log.database import FILE_NAME, LogError
from pacer.log.day_records import DayRecords
from pacer.run.clock import ManualClock
from pacer.run.corrections import TomorrowNoted, TomorrowNoteDone
from pacer.run.session import Session

NINE_MS = 1_773_046_800_000  # 9:00 in UTC, 9 March 2026
SAID_MS = 1_790_000_000_000
WORDS = "One thing for tomorrow, written after 10 Mar 2026: less review"


def teach(records: DayRecords, outline, day: int, mode: str = "live") -> None:
    """One phase, and the bell within the next."""
    clock = ManualClock(NINE_MS + day * 86_400_000)
    session = Session(clock, records.journal())
    session.start(outline, mode=mode)
    for command in ("next", "bell-now"):
        clock.advance(150_000)
        session.do(command)


@pytest.fixture
def records(tmp_path: Path, invented) -> Iterator[DayRecords]:
    """Two days, with a thing for tomorrow said after the second."""
    with DayRecords.open(tmp_path) as opened:
        for day in range(2):
            teach(opened, invented, day)
        opened.after().say(2, TomorrowNoted(text="less review"), SAID_MS)
        yield opened


@pytest.fixture
def note(records: DayRecords) -> TomorrowNote:
    return TomorrowNote(lambda: records, lambda: SAID_MS + 1)


def test_it_stands_until_it_is_done_and_again_when_the_tick_goes(note: TomorrowNote, records) -> None:
    assert note.text() == WORDS
    note.tick(True)
    note.tick(False)
    assert note.text() == WORDS
    note.tick(True)
    assert note.text() == ""
    said = [event.body for event in records.after().of(2)]
    assert said[1:] == [
        TomorrowNoteDone(done=True),
        TomorrowNoteDone(done=False),
        TomorrowNoteDone(done=True),
    ]


def test_without_a_thing_a_tick_writes_nothing(note: TomorrowNote, records) -> None:
    note.text()
    records.after().say(2, TomorrowNoted(text=""), SAID_MS + 1)
    assert note.text() == ""
    note.tick(True)
    assert len(records.after().of(2)) == 2


def test_a_tick_that_cannot_be_written_is_raised(note: TomorrowNote, tmp_path: Path) -> None:
    note.text()
    (tmp_path / FILE_NAME).rename(tmp_path / "elsewhere.sqlite3")
    with pytest.raises(LogError, match="moved or deleted"):
        note.tick(True)


def test_records_that_are_missing_or_cannot_be_read_say_nothing(note: TomorrowNote, records) -> None:
    none = TomorrowNote(lambda: None, lambda: SAID_MS)
    assert none.text() == ""
    none.tick(True)
    records.connection.execute("ALTER TABLE after_event RENAME TO gone")
    assert note.text() == ""
