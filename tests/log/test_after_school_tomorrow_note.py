"""The one thing for tomorrow: the last one written stands, whatever else is said about lessons."""

import pytest

from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.run.clock import ManualClock
from pacer.run.corrections import ReasonGiven, TomorrowNoted, TomorrowNoteDone
from pacer.run.session import Session

NINE_UTC_MS = 1_773_046_800_000


@pytest.fixture
def lessons(tmp_path, invented):
    with DayRecords.open(tmp_path) as records:
        for _lesson in range(2):
            Session(ManualClock(NINE_UTC_MS), records.journal()).start(invented)
        yield records


def test_the_last_one_written_stands_and_other_things_said_later_hide_it_not(lessons):
    after = lessons.after()
    assert after.newest_tomorrow_note() == (0, "")
    after.say(1, TomorrowNoted(text="less review"), NINE_UTC_MS + 1)
    given = after.say(2, ReasonGiven(phase=0, reason="needed"), NINE_UTC_MS + 2)
    after.take_back(2, given.number, NINE_UTC_MS + 3)
    assert after.newest_tomorrow_note() == (1, "less review")
    after.say(2, TomorrowNoted(text="one example"), NINE_UTC_MS + 4)
    assert after.newest_tomorrow_note() == (2, "one example")


def test_one_that_was_emptied_or_taken_back_stands_nowhere(lessons):
    after = lessons.after()
    said = after.say(1, TomorrowNoted(text="less review"), NINE_UTC_MS)
    after.take_back(1, said.number, NINE_UTC_MS + 1)
    assert after.newest_tomorrow_note() == (0, "")


def test_that_of_a_lesson_in_the_trash_waits_there(lessons):
    lessons.after().say(1, TomorrowNoted(text="less review"), NINE_UTC_MS)
    lessons.trash().put([1], NINE_UTC_MS)
    assert lessons.after().newest_tomorrow_note() == (0, "")
    lessons.trash().take_out(1)
    assert lessons.after().newest_tomorrow_note() == (1, "less review")


def test_of_a_lesson_that_was_deleted_meanwhile_nothing_can_be_said(lessons):
    with pytest.raises(LogError, match="deleted meanwhile"):
        lessons.after().say(99, TomorrowNoted(text="less review"), NINE_UTC_MS)


def test_a_trash_entry_from_a_clock_that_was_wrong_by_years_is_counted_from_the_lesson(lessons):
    lessons.trash().put([1], 0)
    (entry,) = lessons.trash().all()
    assert entry.days_left(NINE_UTC_MS + 86_400_000) == 29
    assert lessons.trash().empty(NINE_UTC_MS) == []


def test_one_that_is_done_stands_nowhere_until_the_tick_is_taken_away_or_another_is_written(lessons):
    after = lessons.after()
    after.say(1, TomorrowNoted(text="less review"), NINE_UTC_MS)
    after.say(1, TomorrowNoteDone(done=True), NINE_UTC_MS + 1)
    assert after.newest_tomorrow_note() == (0, "")
    after.say(1, TomorrowNoteDone(done=False), NINE_UTC_MS + 2)
    assert after.newest_tomorrow_note() == (1, "less review")
    after.say(1, TomorrowNoteDone(done=True), NINE_UTC_MS + 3)
    after.say(2, TomorrowNoted(text="one example"), NINE_UTC_MS + 4)
    assert after.newest_tomorrow_note() == (2, "one example")
