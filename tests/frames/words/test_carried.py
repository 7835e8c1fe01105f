"""What a lesson left for the table and for tomorrow, in words for the next outline."""

from pathlib import Path

import pytest

from pacer.frames.words.carried import carried_words
from pacer.log.day_records import DayRecords
from pacer.review.day_book import work_out
from pacer.run.clock import ManualClock
from pacer.run.corrections import Correction, WentTo
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


def test_what_was_not_taught_and_goes_somewhere_is_carried_to_the_next_outline(run) -> None:
    _row, events = run
    said = [Correction(0, 0, WentTo(phase=2, to="table")), Correction(1, 0, WentTo(phase=3, to="tomorrow"))]
    assert carried_words([work_out(1, events, said)]) == (
        "Not taught on 9 Mar 2026, for the table: Model (Thirds on a number line); "
        "for tomorrow: Vocabulary and talk (Thirds on a number line)"
    )
    assert carried_words([work_out(1, events, [])]) == ""
