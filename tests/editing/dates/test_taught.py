"""Which lessons were taught on which date."""

from datetime import date

import pytest

from pacer.editing.dates.taught import Taught
from pacer.log.day_records import DayRecords
from pacer.run.clock import ManualClock
from pacer.run.session import Session

NINE_MS = 1_773_046_800_000  # 9:00 in UTC on 9 March 2026
MON = date(2026, 3, 9)


@pytest.fixture
def records(tmp_path):
    with DayRecords.open(tmp_path) as opened:
        yield opened


def begin(records, outline, ms: int = NINE_MS, offset_s: int = 0, mode: str = "live") -> None:
    Session(ManualClock(ms), records.journal()).start(outline, mode=mode, utc_offset_s=offset_s)


def titles(taught: Taught, day: date) -> list[str]:
    return [lesson.title for lesson in taught.on(day)]


def test_titles_stand_on_the_date_of_the_classroom_in_order(records, invented):
    taught = Taught(lambda: records)
    begin(records, invented.model_copy(update={"title": "Late"}), NINE_MS + 60_000)
    begin(records, invented)
    begin(records, invented.model_copy(update={"title": "East"}), NINE_MS, 16 * 3600)
    assert titles(taught, MON) == [invented.title, "Late"]
    assert titles(taught, date(2026, 3, 10)) == ["East"]


def test_what_is_taught_meanwhile_is_seen(records, invented):
    taught = Taught(lambda: records)
    assert taught.on(MON) == ()
    begin(records, invented)
    assert titles(taught, MON) == [invented.title]


@pytest.mark.parametrize(("mode", "live", "demo"), [("rehearsal", 0, 0), ("demo", 0, 1), ("baseline", 1, 0)])
def test_rehearsals_never_count_and_invented_lessons_only_in_a_demo(records, invented, mode, live, demo):
    begin(records, invented, mode=mode)
    assert len(Taught(lambda: records).on(MON)) == live
    assert len(Taught(lambda: records, demo=True).on(MON)) == demo


def test_without_day_records_nothing_was_taught():
    assert Taught(lambda: None).on(MON) == ()


def test_a_lesson_bears_the_name_that_its_outline_has_now(records, invented):
    names = {NINE_MS: "thirds.toml"}
    taught = Taught(lambda: records, names.get)
    begin(records, invented)
    begin(records, invented, NINE_MS + 60_000)
    assert [lesson.name for lesson in taught.on(MON)] == ["thirds.toml", ""]
    names[NINE_MS] = "fourths.toml"
    assert [lesson.name for lesson in taught.on(MON)] == ["fourths.toml", ""]
