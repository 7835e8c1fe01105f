"""Corrections without a window: which lesson is shown, what is written, what is told where nothing can be."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from pacer.editing.correct_lesson import CorrectedLesson, NotKeptError
from pacer.frames.after_school.timeline import START
from pacer.log.database import FILE_NAME, LogError
from pacer.log.day_records import DayRecords
from pacer.run.clock import ManualClock
from pacer.run.corrections import BorderMoved, DayFlagged, StartMoved, TomorrowNoted, VisitSplit
from pacer.run.session import Session

NINE_MS = 1_773_046_800_000  # 9:00 in UTC, a Monday in March 2026
SAID_MS = 1_790_000_000_000


def teach(records: DayRecords, outline, day: int = 0, ended: bool = True) -> None:
    """Skip count 2:30 and done, review 3:00 and then the bell."""
    clock = ManualClock(NINE_MS + day * 86_400_000)
    session = Session(clock, records.journal())
    session.start(outline)
    clock.advance(150_000)
    session.do("next", "done")
    clock.advance(180_000)
    if ended:
        session.do("bell-now")


@pytest.fixture
def records(tmp_path: Path, invented) -> Iterator[DayRecords]:
    with DayRecords.open(tmp_path) as opened:
        for day in range(2):
            teach(opened, invented, day)
        yield opened


@pytest.fixture
def lesson(records: DayRecords) -> CorrectedLesson:
    """The newest of two lessons."""
    made = CorrectedLesson(records, lambda: SAID_MS)
    runs, row = made.read_list()
    made.open(runs[row])
    return made


def written(records: DayRecords, run: int = 2) -> list:
    return [event.body for event in records.after().of(run)]


def shown(lesson: CorrectedLesson) -> int | None:
    """The run number of the lesson that a list read anew would show."""
    runs, row = lesson.read_list()
    return runs[row].id if runs else None


def test_a_lesson_is_shown_planned_over_actual(lesson: CorrectedLesson) -> None:
    frame = lesson.frame()
    assert frame.cells[:3] == (
        ("Skip count", "2:00", "2:30", "+0:30", "done"),
        ("Review", "3:00", "≥ 3:00", "0:00", "bell"),
        ("Model", "7:00", "", "", "skipped"),
    )
    assert (frame.tomorrow_note, frame.may_repair) == ("", True)


def test_visits_follow_the_phases_where_they_were_run(records: DayRecords, invented) -> None:
    clock = ManualClock(NINE_MS + 4 * 86_400_000)
    session = Session(clock, records.journal())
    session.start(invented)
    for wait_s, press in ((60, "groups"), (130, "next"), (600, "next"), (90, "missed"), (5, "bell-now")):
        clock.advance(wait_s * 1000)
        session.do(press)
    lesson = CorrectedLesson(records, lambda: SAID_MS)
    lesson.open(lesson.read_list()[0][0])
    after = {cells[0]: cells[1:] for cells in lesson.frame().cells[len(invented.phases) :]}
    assert after["Transition"] == ("2:00", "2:10", "+0:10", "")
    assert (after["Circle"][1], after["Triangle"][3]) == ("10:00", "pulled out")
    assert list(after)[-2:] == ["Share", "Clean up"]


def test_a_lesson_that_never_ended_cannot_be_repaired(records: DayRecords, invented) -> None:
    teach(records, invented, 3, ended=False)
    lesson = CorrectedLesson(records, lambda: SAID_MS)
    lesson.open(lesson.read_list()[0][0])
    assert not lesson.frame().may_repair


def test_why_groups_started_late_is_said_once(lesson: CorrectedLesson, records: DayRecords, invented) -> None:
    clock = ManualClock(NINE_MS + 7 * 86_400_000)
    session = Session(clock, records.journal())
    session.start(invented)
    for phase in invented.phases:
        clock.advance((phase.budget_s + 60) * 1000)
        session.do("next", "done")
    session.do("end")
    lesson.open(lesson.read_list()[0][0])
    shown = lesson.frame()
    assert shown.sentence.startswith("Groups started 6:00 late: Skip count 1:00, ")
    assert "Skip count" not in shown.about


# --- which lesson


def test_the_lesson_shown_stays_until_another_was_taught(
    lesson: CorrectedLesson, records: DayRecords, invented
) -> None:
    lesson.open(lesson.read_list()[0][1])
    assert shown(lesson) == 1
    teach(records, invented, 2)
    assert shown(lesson) == 3


def test_the_newest_is_shown_where_the_one_shown_is_gone(
    lesson: CorrectedLesson, records: DayRecords, invented
) -> None:
    lesson.open(lesson.read_list()[0][1])
    records.trash().put([1], SAID_MS)
    assert shown(lesson) == 2


def test_one_that_cannot_be_read_leaves_none_and_takes_no_words(
    lesson: CorrectedLesson, records: DayRecords
) -> None:
    runs, _row = lesson.read_list()
    records.connection.execute("UPDATE event SET body = x'ff' WHERE run_id = 1 AND seq = 1")
    with pytest.raises(LogError):
        lesson.open(runs[1])
    assert lesson.run is None
    assert not lesson.is_other_tomorrow_note("less review")
    lesson.say(DayFlagged(flagged=True))
    assert (written(records, 1), written(records, 2)) == ([], [])


def test_without_day_records_there_is_no_lesson() -> None:
    lesson = CorrectedLesson(None, lambda: SAID_MS)
    assert (lesson.read_list(), lesson.can_write) == (([], 0), False)


# --- what is said


def test_the_thing_for_tomorrow_is_another_one_only_by_its_words(
    lesson: CorrectedLesson, records: DayRecords
) -> None:
    lesson.say_tomorrow_note("  less   review ")
    assert lesson.frame().tomorrow_note == "less review"
    assert not lesson.is_other_tomorrow_note("less review  ")
    assert lesson.is_other_tomorrow_note("")
    assert written(records) == [TomorrowNoted(text="less review")]


def test_what_is_said_shows_at_once_and_is_taken_back_by_one_more(
    lesson: CorrectedLesson, records: DayRecords
) -> None:
    lesson.say(lesson.repair.border(0, 120_000))
    assert lesson.frame().cells[0][2] == "2:00"
    assert "repaired" in lesson.frame().about
    lesson.take_back(0)
    assert lesson.frame().cells[0][2] == "2:30"
    assert [body.kind for body in written(records)] == ["border_moved", "taken_back"]


def test_what_is_shown_from_the_real_start_is_written_from_the_press(lesson: CorrectedLesson) -> None:
    """The lesson began a minute before the press: what is shown at 3:00 was pressed at 2:00."""
    lesson.say(lesson.repair.border(START, -60_000))
    assert lesson.repair.after.effective[0].body == StartMoved(early_ms=60_000)
    assert lesson.repair.border(0, 180_000) == BorderMoved(visit=0, t_ms=120_000)
    assert lesson.repair.split(1, 300_000, 3) == VisitSplit(visit=1, t_ms=240_000, to=3)
    assert lesson.repair.border(START, 0) == StartMoved(early_ms=60_000)


def test_what_cannot_be_written_changes_nothing_and_is_told_with_its_words(
    lesson: CorrectedLesson, records: DayRecords, tmp_path: Path
) -> None:
    (tmp_path / FILE_NAME).rename(tmp_path / "elsewhere.sqlite3")
    with pytest.raises(NotKeptError, match=r"moved or deleted.* “less review” is not kept\."):
        lesson.say_tomorrow_note("less review")
    with pytest.raises(NotKeptError, match=r"What you entered is not kept\."):
        lesson.say(DayFlagged(flagged=True))
    assert (lesson.frame().tomorrow_note, lesson.repair.after.flagged) == ("", False)
