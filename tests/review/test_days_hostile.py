"""Lessons that nobody would plan, worked out with the others: one odd lesson must not hide all of them."""

import pytest

from pacer.frames.pictures import QUESTIONS, chart
from pacer.log.day_records import DayRecords
from pacer.plan.outline import Outline
from pacer.review.choice import LessonChoice
from pacer.review.day_book import read_days
from pacer.run.clock import ManualClock
from pacer.run.session import Session

MONDAY_UTC_MS = 1_773_046_800_000  # 9 March 2026, 9:00 UTC


@pytest.mark.parametrize("press", ["next", "end", "bell-now"])
def test_a_lesson_without_a_mini_lesson_is_worked_out_beside_the_others(tmp_path, invented, press):
    group = invented.phases[-1].model_copy(update={"id": "tables", "title": "Tables", "kind": "group"})
    # Made anew: a copy would keep what was worked out of the invented plan.
    only_groups = Outline(**{**invented.model_dump(), "phases": (group,), "title": "Tables only"})
    assert not only_groups.mini_count
    with DayRecords.open(tmp_path) as records:
        for outline in (only_groups, invented):
            clock = ManualClock(MONDAY_UTC_MS)
            session = Session(clock, records.journal())
            session.start(outline, MONDAY_UTC_MS)
            clock.advance(60_000)
            session.do(press)
            clock.advance(60_000)
            session.do("end")
        book = read_days(records)
    assert [day.title for day in book.days] == ["Tables only", invented.title]
    assert book.damaged == 0
    odd = book.days[0]
    assert (odd.mini, odd.mini_end_s, odd.forecasts) == ((), None, ())
    for name in QUESTIONS:
        assert chart(name, book.days, LessonChoice()).summary
