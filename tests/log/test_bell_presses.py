"""When the bell was heard in the lessons taught last, against its planned time."""

import pytest

from pacer.log.bell_presses import bell_presses
from pacer.log.day_records import DayRecords
from pacer.run.clock import ManualClock
from pacer.run.session import Session

NINE_UTC_MS = 1_773_046_800_000
DAY_MS = 86_400_000


@pytest.fixture
def records(tmp_path):
    with DayRecords.open(tmp_path) as opened:
        yield opened


@pytest.fixture
def heard(records, invented):
    """Teach a lesson of a day in which the bell is heard some seconds after its time."""

    def teach(day: int, late_s: int, mode: str = "live") -> Session:
        clock = ManualClock(NINE_UTC_MS + day * DAY_MS)
        session = Session(clock, records.journal())
        session.start(invented, mode=mode)
        clock.advance((invented.block.length_s + late_s) * 1000)
        session.do("bell-now")
        return session

    return teach


def test_presses_come_lesson_by_lesson_the_newest_last(records, heard):
    heard(2, 30)
    heard(0, -40)
    heard(1, 10)
    assert bell_presses(records) == [-40, 10, 30]


def test_a_press_that_was_undone_was_none(records, heard):
    heard(0, -40)
    heard(1, 300).do("undo")
    assert bell_presses(records) == [-40]


def test_a_rehearsal_has_no_bell_and_a_lesson_in_the_trash_is_out_of_sight(records, heard):
    heard(0, -40)
    heard(1, 20, mode="rehearsal")
    heard(2, 5)
    records.trash().put([3], NINE_UTC_MS)
    assert bell_presses(records) == [-40]


def test_nobody_pressed_nothing_is_known(records, invented):
    assert bell_presses(records) == []
    Session(ManualClock(NINE_UTC_MS), records.journal()).start(invented)
    assert bell_presses(records) == []
