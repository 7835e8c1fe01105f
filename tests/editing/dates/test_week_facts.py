"""What Week gathers: what was left over stands on the day it goes to, and any day has its card."""

from datetime import date, datetime

import pytest

from pacer.editing.carried_over import CarriedOver
from pacer.editing.dates.lesson_day import LessonDay
from pacer.editing.dates.planned_outlines import PlannedOutlines
from pacer.editing.dates.taught import Taught
from pacer.editing.dates.unit_left import UnitLeft
from pacer.editing.dates.week_facts import WeekFacts
from pacer.editing.tomorrow_note import TomorrowNote
from pacer.log.day_records import DayRecords
from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes
from pacer.run.clock import ManualClock
from pacer.run.corrections import LineWent, TomorrowNoted
from pacer.settings.planned_days import PlannedDaysStore
from pacer.settings.store import SettingsStore
from tests.review.left_over_factories import NINE_MS, teach, with_list

MON, TUE, WED = date(2026, 3, 9), date(2026, 3, 10), date(2026, 3, 11)
LATER_MS = NINE_MS + 8 * 3_600_000
SHAPES = DayShapes(shapes=STARTING_SHAPES, days={"2026-03-10": "", "2026-03-11": "Early release"})


@pytest.fixture
def facts(tmp_path, invented_text):
    outlines = tmp_path / "outlines"
    outlines.mkdir()
    (outlines / "thirds.toml").write_text(invented_text, encoding="utf-8")
    clock = ManualClock(LATER_MS)
    settings = SettingsStore(tmp_path / "settings.json", clock)
    settings.change(day_shapes=SHAPES)
    planned = PlannedDaysStore(tmp_path / "planned-days.json", clock)
    read, carried = PlannedOutlines(outlines), None
    with DayRecords.open(tmp_path) as records:
        taught, carried = Taught(lambda: records), CarriedOver(lambda: records)
        day = LessonDay(settings, planned, taught.on, read.title)
        note = TomorrowNote(lambda: records, lambda: LATER_MS)
        left = UnitLeft(lambda: records)
        made = WeekFacts(settings, planned, read, taught, day, carried, note, carried.taught, left)
        yield made, records


def test_what_is_left_and_the_thing_for_tomorrow_stand_on_the_next_school_day(facts, invented):
    week, records = facts
    run = teach(records, with_list(invented))
    records.after().say(run, LineWent(about="stuck", of=3, to="table"), LATER_MS)
    records.after().say(run, TomorrowNoted(text="Less review"), LATER_MS)
    carried = week.at(datetime(2026, 3, 9, 20, 0)).carried
    assert list(carried) == [WED], "Tuesday has no school"
    note, left = carried[WED]
    assert note.endswith("Less review")
    assert "table: Problem 3: 1 stuck" in left


def test_what_was_left_long_ago_goes_to_the_lesson_about_to_run(facts, invented):
    week, records = facts
    run = teach(records, with_list(invented))
    records.after().say(run, LineWent(about="stuck", of=3, to="table"), LATER_MS)
    assert list(week.at(datetime(2026, 3, 20, 8, 0)).carried) == [date(2026, 3, 20)]


def test_without_anything_left_no_day_has_a_line(facts):
    week, _records = facts
    assert week.at(datetime(2026, 3, 9, 8, 0)).carried == {}


def test_the_card_of_a_date_has_its_shape_and_the_next_lessons_the_lines_that_are_carried_over(
    facts, invented
):
    week, records = facts
    run = teach(records, with_list(invented))
    records.after().say(run, LineWent(about="stuck", of=3, to="table"), LATER_MS)
    now = datetime(2026, 3, 9, 20, 0)
    week.at(now)
    card = week.card("thirds.toml", WED, now)
    assert (card.day, card.shape) == ("Wednesday 11 March 2026", "Early release")
    assert card.times == "9:00 to 9:48, mini lesson 13:30"
    assert any("Problem 3: 1 stuck (9 Mar 2026)" in line for line in card.after)
    later = week.card("thirds.toml", date(2026, 3, 12), now)
    assert (later.shape, later.times) == ("Regular", "9:00 to 10:15, mini lesson 25")
    assert not any("1 stuck" in line for line in later.after)


def test_an_outline_that_can_not_be_used_has_no_card(facts):
    week, _records = facts
    assert week.card("gone.toml", WED, datetime(2026, 3, 9, 20, 0)) is None


def test_the_unit_says_what_of_each_lesson_was_left_over(facts, invented):
    week, records = facts
    week.planned.change(lambda days: days.assigned(MON, "thirds.toml"))
    run = teach(records, with_list(invented))
    (row,) = week.unit(week.at(datetime(2026, 3, 9, 20, 0)))
    assert "not ticked: " in row.left
    assert "Finish page 12" in row.left
    assert "Sort the cards" not in row.left, "it was ticked"
    records.after().say(run, LineWent(about="stuck", of=3, to="tomorrow"), LATER_MS)
    (row,) = week.unit(week.at(datetime(2026, 3, 9, 20, 0)))
    assert "moved to tomorrow: Problem 3: 1 stuck" in row.left
