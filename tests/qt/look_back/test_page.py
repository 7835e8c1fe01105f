"""Look back: no day record, one, many, and a damaged one among good ones."""

import sqlite3
from datetime import datetime

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor

from pacer.log.database import FILE_NAME
from pacer.log.day_records import DayRecords
from pacer.qt.kit import theme
from pacer.qt.look_back.page import VIEWS
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from tests.qt.window_factories import click, room_time_ms, settle


def teach(records: DayRecords, outline, day: int = 0, ended: bool = True, mode="live") -> int:
    """A lesson of the invented plan: skip count 2:30 and done, review 3:00 and then the bell."""
    clock = ManualClock(room_time_ms("9:00") + day * 86_400_000)
    journal = records.journal()
    session = Session(clock, journal)
    session.start(outline, mode=mode)
    for ms, command, argument in ((150_000, "next", "done"), (180_000, "bell-now", "")):
        clock.advance(ms)
        if ended or command == "next":
            session.do(command, argument)
    assert journal.run_id is not None
    return journal.run_id


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "data"


def page_of(running):
    click(running.window.names["look back"])
    return running.program.pages.look_back.lesson


def table_of(page) -> list[list[str]]:
    table = page.table
    return [
        [table.item(row, column).text() for column in range(table.columnCount())]
        for row in range(table.rowCount())
    ]


@pytest.mark.slow
def test_without_day_records_each_view_says_what_will_be_here_and_leads_to_a_lesson(running):
    page_of(running)
    page = running.program.pages.look_back
    said = set()
    for view in VIEWS:
        page.choose(view)
        settle()
        (shown,) = (empty for empty in page.empty.values() if empty.isVisible())
        assert not page.lesson.isVisible()
        said.add(shown.sentence.text())
    assert len(said) == len(VIEWS), "each in words of its own"
    click(shown.button)
    assert running.today.isVisible()


def test_what_is_in_the_trash_is_seen_among_the_records(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        records.trash().put([teach(records, invented)], 0)
    running = new_program()
    page_of(running)
    page = running.program.pages.look_back
    assert page.empty["lesson"].isVisible()
    page.choose("records")
    assert page.data.isVisible()


def test_one_day_record_is_shown_planned_over_actual_with_its_endings(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        teach(records, invented)
    page = page_of(new_program())
    assert page.list.model().rowCount() == 1
    assert page.title.text() == "Thirds on a number line"
    assert page.about.text().split("\n")[0].endswith("5:30 of 25:00 planned")
    rows = table_of(page)
    # Worked by hand from the two presses; the bell cut the review off, so it took at least that long.
    assert rows[0] == ["Skip count", "2:00", "2:30", "+0:30", "done"]
    assert rows[1] == ["Review", "3:00", "≥ 3:00", "0:00", "bell"]
    assert rows[2] == ["Model", "7:00", "", "", "skipped"]
    assert len(rows) == 6
    assert "Skip count: planned 2:00, took 2:30" in page.tapes.accessibleDescription()


def test_the_second_line_of_a_day_record_is_whole_in_a_small_window(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        teach(records, invented, mode="rehearsal")
        teach(records, invented, mode="baseline")
    running = new_program(folder)
    page = page_of(running)
    running.window.resize(960, 540)
    settle()
    for row in range(page.list.model().rowCount()):
        index = page.list.model().index(row, 0)
        second = index.data().split("\n")[1]
        room = page.list.visualRect(index).width() - 2 * 16  # the style's padding
        assert page.list.fontMetrics().horizontalAdvance(second) <= room, second


def test_what_was_pressed_beside_the_phases_is_shown_under_the_title(folder, new_program, invented):
    """And a phase that the bell cut off before its time is neither short nor long."""
    with DayRecords.open(folder) as records:
        teach(records, invented)
        clock = ManualClock(room_time_ms("10:00"))
        session = Session(clock, records.journal())
        session.start(invented)
        for command, argument in (("voice", ""), ("tally", "3"), ("table-mark", ""), ("tally", "3"),
                                  ("happened", ""), ("bell-now", "")):  # fmt: skip
            clock.advance(10_000)
            session.do(command, argument)
    page = page_of(new_program())
    about, marks = page.about.text().split("\n")
    assert about.endswith("1:00 of 25:00 planned")
    assert marks.split(" · ")[-4:] == [
        "1 mark for the table", "stuck on problem 3 (2)", "1 child's voice", "something happened: 1",
    ]  # fmt: skip
    assert table_of(page)[0] == ["Skip count", "2:00", "≥ 1:00", "", "bell"]
    page.list.choose_row(1)
    assert page.title.text() == "Thirds on a number line"
    assert not any(word in page.about.text() for word in ("table", "stuck", "voice", "happened"))


def test_a_lesson_that_went_to_plan_without_marks_has_one_line_under_its_title(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        clock = ManualClock(room_time_ms("9:00"))
        session = Session(clock, records.journal())
        session.start(invented)
        for phase in invented.phases:
            clock.advance(phase.budget_s * 1000)
            session.do("next", "done")
    page = page_of(new_program())
    assert page.about.text() == "9 Mar 2026 · planned 9:00, started 9:00 · 25:00 of 25:00 planned"
    assert [row[3:] for row in table_of(page)[:6]] == [["0:00", "done"]] * 6


def test_the_tapes_are_painted(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        teach(records, invented)
    page = page_of(new_program())
    picture = page.tapes.grab().toImage()
    paper = QColor(theme.DESK_PAPER).rgb()
    inked = sum(
        picture.pixel(x, y) != paper
        for x in range(0, picture.width(), 4)
        for y in range(0, picture.height(), 4)
    )
    assert inked > 200


@pytest.mark.slow
def test_many_day_records_are_listed_newest_first_and_each_can_be_chosen(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        for day in range(60):
            teach(records, invented, day, mode="demo" if day % 2 else "live")
    page = page_of(new_program())
    lessons = page.list.model()
    days = [lessons.index(row).data().split("\n")[1] for row in range(lessons.rowCount())]
    assert len(days) == 60
    dates = [datetime.strptime(day.split("  ")[0], "%d %b %Y") for day in days]
    assert dates == sorted(dates, reverse=True)
    assert ["invented" in day for day in days] == [day % 2 == 1 for day in reversed(range(60))]
    for row in (0, 17, 59):
        page.list.choose_row(row)
        assert page.about.text().startswith(days[row][:10])
        assert table_of(page)[0][2] == "2:30"


def test_a_lesson_that_never_ended_is_shown_as_far_as_it_is_known(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        teach(records, invented, ended=False)
    rows = table_of(page_of(new_program()))
    assert rows[0][4] == "done"
    assert rows[1][4] == "not yet"


@pytest.mark.parametrize(
    "damage",
    [
        'UPDATE event SET body = \'{"kind": "moved"\' WHERE run_id = 2 AND seq = 1',
        "UPDATE event SET body = x'ff00fe' WHERE run_id = 2 AND seq = 1",
        "DELETE FROM event WHERE run_id = 2 AND seq = 1",
        "DELETE FROM event WHERE run_id = 2",
        # Reads well, but there is no such phase.
        'UPDATE event SET body = \'{"kind":"moved","to":99,"ending":"done"}\' WHERE run_id = 2 AND seq = 1',
        'UPDATE event SET body = \'{"kind":"moved","to":-1,"ending":"done"}\' WHERE run_id = 2 AND seq = 1',
    ],
)
def test_one_damaged_record_says_so_and_leaves_the_others_readable(folder, new_program, invented, damage):
    with DayRecords.open(folder) as records:
        for day in range(3):
            teach(records, invented, day)
    with sqlite3.connect(folder / FILE_NAME) as connection:
        connection.execute(damage)
    connection.close()
    running = new_program()
    page = page_of(running)
    assert page.list.model().rowCount() == 3
    page.list.choose_row(1)
    assert page.title.text() == "This day record can't be read"
    assert "day record 2" in page.about.text()
    assert not page.table.isVisible()
    assert not page.tapes.isVisible()
    page.list.choose_row(2)
    assert page.table.isVisible()
    assert table_of(page)[0][2] == "2:30"


def test_a_lesson_just_taught_is_there_at_once(running, invented):
    page_of(running)
    click(running.window.names["today"])
    running.program.start_now(invented)
    running.wait(5).tap("N").tap("Home").tap("Return")
    page = running.program.pages.look_back.lesson
    assert page.isVisible()
    assert page.list.model().rowCount() == 1
    assert table_of(page)[0][2:] == ["0:06", "−1:54", "moved on"]


def test_records_that_cannot_be_opened_leave_an_empty_page(tmp_path, new_program):
    (tmp_path / "data").write_text("a file, not a folder")
    page = page_of(new_program())
    assert page.title.text() == "No day records yet"


def test_nothing_of_a_record_can_be_edited_by_accident(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        teach(records, invented)
    page = page_of(new_program())
    assert page.table.editTriggers() == page.table.EditTrigger.NoEditTriggers
    assert not page.list.model().flags(page.list.currentIndex()) & Qt.ItemFlag.ItemIsEditable
