"""A lesson on disk for what is told of it in words."""

from pathlib import Path

import pytest

from pacer.log.day_records import DayRecords
from pacer.run.clock import ManualClock
from pacer.run.session import Session


@pytest.fixture
def run(tmp_path: Path, invented):
    """The row and the events of a rehearsal at 9:00 on 9 March 2026: the bell comes within the review."""
    with DayRecords.open(tmp_path) as records:
        clock = ManualClock(1_773_046_800_000)
        session = Session(clock, records.journal())
        session.start(invented, mode="rehearsal")
        for seconds, press in ((150, "next done"), (100, "bell-now")):
            clock.advance(seconds * 1000)
            session.do(*press.split())
        (row,) = records.runs()
        return row, records.events(row.id)
