"""A Start that was pressed late, mended: the groups are as late as before, and the first phase took it."""

import pytest

from pacer.log.day_records import DayRecords
from pacer.review.day_book import read_days, work_out
from pacer.review.learning.past_endings import history
from pacer.run.clock import ManualClock
from pacer.run.corrections import Correction, StartMoved, WentTo
from pacer.run.session import MemoryJournal, Session

PRESS_UTC_MS = 1_773_046_800_000


@pytest.fixture
def events(invented):
    """Start is pressed 8:00 late, then every phase of the mini lesson takes its budget."""
    journal, clock = MemoryJournal(), ManualClock(PRESS_UTC_MS)
    session = Session(clock, journal)
    session.start(invented, planned_utc_ms=PRESS_UTC_MS - 480_000)
    for phase in invented.phases[: invented.mini_count]:
        clock.advance(phase.budget_s * 1000)
        session.do("next", "done")
    session.do("end", "done")
    return journal.events


def test_eight_minutes_of_late_start_become_the_first_phases_and_the_groups_stay_as_late(events, invented):
    """Worked by hand: nothing was late but the press, so all that was the start is the first phase's."""
    before = work_out(1, events, [])
    after = work_out(1, events, [Correction(0, 0, StartMoved(early_ms=480_000))])
    assert (before.late_s, after.late_s) == (480, 0)
    assert after.group_late_s == before.group_late_s
    assert dict(before.causes)[":start"] == 480
    first = invented.phases[0]
    causes = {name: s for name, s in before.causes if name != ":start"}
    assert dict(after.causes) == {first.id: 480, **causes}
    assert after.phases[0].actual_s == before.phases[0].actual_s + 480 == first.budget_s + 480
    assert [phase.actual_s for phase in after.phases[1:]] == [phase.actual_s for phase in before.phases[1:]]
    assert after.mini_end_s == before.mini_end_s
    assert after.length_s == before.length_s + 480
    assert (after.date, after.planned_s, after.repaired) == (before.date, before.planned_s, True)


def test_nothing_is_learned_from_a_day_whose_start_was_moved(tmp_path, events):
    with DayRecords.open(tmp_path) as records:
        journal = records.journal()
        journal.append(events)
        assert history(records, ("live",)).endings
        records.after().say(journal.run_id, StartMoved(early_ms=480_000), PRESS_UTC_MS)
        assert not history(records, ("live",)).endings


def test_where_it_went_is_what_the_teacher_said_else_what_the_outline_says(tmp_path, invented):
    """Kept days are worked out again when something is said about them."""
    clock = ManualClock(PRESS_UTC_MS)
    with DayRecords.open(tmp_path) as records:
        journal = records.journal()
        session = Session(clock, journal)
        session.start(invented)
        clock.advance(60_000)
        session.do("bell-now")
        planned = [phase.movable or "" for phase in invented.phases]
        assert [phase.fate for phase in read_days(records).days[0].phases] == planned
        records.after().say(journal.run_id, WentTo(phase=3, to="tomorrow"), PRESS_UTC_MS)
        said = [*planned[:3], "tomorrow", *planned[4:]]
        assert said != planned
        assert [phase.fate for phase in read_days(records).days[0].phases] == said
