"""Who goes first next time, from the day records to the outline that is taught and to words."""

from pacer.editing.first_group import FirstGroup
from pacer.log.day_records import DayRecords
from pacer.plan.file.reader import read_text
from pacer.plan.outline import Outline
from pacer.review.choice import LessonChoice
from pacer.review.day_book import read_days
from pacer.review.questions import visit_order
from pacer.review.questions.weeks import week_of
from pacer.run.clock import ManualClock
from pacer.run.session import Session

MONDAY_UTC_MS = 1_773_046_800_000  # 9 March 2026, 9:00 UTC


def teach(records: DayRecords, outline: Outline) -> None:
    """Circle and Triangle have their 13:00; the bell leaves Hexagon 6:30."""
    clock = ManualClock(MONDAY_UTC_MS)
    session = Session(clock, records.journal())
    session.start(outline)
    for seconds, command in (
        (1500, "groups"), (120, "next"), (780, "next"), (90, "next"), (780, "next"), (90, "next"),
        (390, "bell-now"),
    ):  # fmt: skip
        clock.advance(seconds * 1000)
        session.do(command)


def test_most_owed_goes_first_next_time_and_the_outline_says_so(
    records: DayRecords, invented: Outline
) -> None:
    first = FirstGroup(lambda: records, ("live",))
    assert first.taught(invented) is invented
    assert first.words(invented) == ""
    teach(records, invented)
    assert first.words(invented) == "Hexagon first: owed 6:30"
    assert first.taught(invented).block.order == ("Hexagon", "Circle", "Triangle")


def test_without_day_records_the_outlines_own_order_holds(invented: Outline) -> None:
    first = FirstGroup(lambda: None, ("live",))
    assert (first.words(invented), first.taught(invented)) == ("", invented)


def test_lessons_of_another_mode_owe_nothing(records: DayRecords, invented: Outline) -> None:
    teach(records, invented)
    assert FirstGroup(lambda: records, ("demo",)).words(invented) == ""


def test_a_group_that_was_not_met_this_week_is_named(records: DayRecords, invented: Outline) -> None:
    clock = ManualClock(MONDAY_UTC_MS)
    session = Session(clock, records.journal())
    session.start(invented)
    for seconds, command in ((1500, "groups"), (120, "next"), (780, "next"), (90, "next"), (60, "bell-now")):
        clock.advance(seconds * 1000)
        session.do(command)
    week = week_of(read_days(records).days, LessonChoice())
    assert week is not None
    assert week.unmet == ("Hexagon",)


OUTLINE = """format = 1
title = "Fractions"
block.groups = 2
phase = [{title = "Warm-up", budget = "4"}]
group = [{name = "Circle"}, {name = "Moon"}, {name = "Star"}]
"""


def test_groups_that_do_not_come_that_day_are_owed_minutes_too(monkeypatch):
    asked = []
    monkeypatch.setattr(
        visit_order, "owed_now", lambda _days, outline: asked.append(outline) or {"Star": 780}
    )
    outline = read_text(OUTLINE, "outline.toml")
    assert [group.name for group in outline.visitors] == ["Circle", "Moon"]
    assert FirstGroup(lambda: None, ("live",)).owed(outline) == {"Star": 780}
    assert [group.name for group in asked[0].visitors] == ["Circle", "Moon", "Star"]


def test_without_any_day_record_nobody_is_owed_anything():
    outline = read_text(OUTLINE, "outline.toml")
    assert FirstGroup(lambda: None, ("live",)).owed(outline) == {"Circle": 0, "Moon": 0, "Star": 0}
