"""What was left over is asked on Look back by keyboard and mouse, can be taken back, and stands on Today."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel

from pacer.log.database import FILE_NAME
from pacer.log.day_records import DayRecords
from pacer.run.corrections import LineWent, TakenBack, WentTo
from pacer.run.table_list import LineKey
from tests.qt.window_factories import click, room_time_ms, settle
from tests.review.left_over_factories import teach, with_list

REVIEW, CARDS = LineKey("moved", 1), LineKey("written", 0)
PAGE, MARK, STUCK = LineKey("written", 1), LineKey("marked", 0), LineKey("stuck", 3)
PRACTICE, LOOK_BACK = LineKey("moved", 4), LineKey("moved", 5)


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "data"


@pytest.fixture
def taught(folder, new_program, invented):
    """The program after one lesson whose list has a ticked line and four others."""
    with DayRecords.open(folder) as records:
        teach(records, with_list(invented), nine_ms=room_time_ms("9:00"))
    return new_program().show()


def view_of(running):
    click(running.window.names["look back"])
    settle()
    return running.program.pages.look_back.lesson


def said(folder) -> list:
    with DayRecords.open(folder) as records:
        return [event.body for event in records.after().of(1)]


def answers(view) -> dict:
    return {key: went for (key, went), chip in view.left.chips.items() if chip.isChecked()}


def test_each_open_thing_has_a_row_and_a_button_says_how_many_there_are(taught):
    view = view_of(taught)
    assert list(dict.fromkeys(key for key, _went in view.left.chips)) == [
        REVIEW, PAGE, MARK, STUCK, PRACTICE, LOOK_BACK,
    ]  # fmt: skip
    assert (view.open_button.text(), view.open_button.isVisible()) == ("4 still &open", True)
    assert view.left_heading.isVisible()
    assert answers(view) == {}
    assert view.left.chips[STUCK, "table"].accessibleName() == "Problem 3: 1 stuck: table tomorrow"


def test_by_keyboard_the_button_leads_to_the_first_open_row_and_space_answers_and_takes_back(
    taught, folder, qtbot
):
    view = view_of(taught)
    QTest.keyClick(taught.window, Qt.Key.Key_O, Qt.KeyboardModifier.AltModifier)
    first = view.left.chips[REVIEW, "table"]
    qtbot.waitUntil(lambda: QApplication.focusWidget() is first, timeout=60_000)
    assert not first.visibleRegion().isEmpty(), "it was scrolled to"
    QTest.keyClick(first, Qt.Key.Key_Space)
    settle()
    assert QApplication.focusWidget() is first, "the keyboard stays where it was"
    for _chip in range(4):
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is view.left.chips[PAGE, "table"]
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Space)
    assert said(folder) == [WentTo(phase=1, to="table"), LineWent(about="written", of=1, to="table")]
    assert answers(view) == {REVIEW: "table", PAGE: "table"}
    assert view.open_button.text() == "2 still &open"
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Space)
    assert said(folder)[2:] == [LineWent(about="written", of=1, to="")]
    assert answers(view) == {REVIEW: "table"}


def test_the_button_goes_when_all_is_answered_and_what_was_said_stands_when_it_is_opened_again(
    taught, folder, new_program
):
    view = view_of(taught)
    for key, went in ((REVIEW, "done"), (PAGE, "dropped"), (MARK, "table"), (STUCK, "done")):
        click(view.left.chips[key, went])
        settle()
    assert not view.open_button.isVisible()
    click(view.repair_button)
    assert view.repair.last.text() == "Last change: Problem 3: 1 stuck · was done"
    click(view.repair.take_back)
    assert said(folder)[-1] == TakenBack(target=3)
    click(view.repair_button)
    settle()
    assert view.open_button.text() == "1 still &open"
    assert answers(view) == {REVIEW: "done", PAGE: "dropped", MARK: "table"}


def test_one_answer_takes_the_place_of_another(taught, folder):
    view = view_of(taught)
    click(view.left.chips[PRACTICE, "tomorrow"])
    click(view.left.chips[PRACTICE, "dropped"])
    settle()
    assert answers(view) == {PRACTICE: "dropped"}
    assert said(folder) == [WentTo(phase=4, to="tomorrow"), WentTo(phase=4, to="dropped")]


def test_what_cannot_be_written_is_told_and_not_shown_as_said(taught, folder):
    view = view_of(taught)
    (folder / FILE_NAME).rename(folder / "elsewhere.sqlite3")
    click(view.left.chips[PAGE, "table"])
    settle()
    assert answers(view) == {}
    assert "is not kept" in view.trouble.text()


def test_a_lesson_with_nothing_left_over_has_neither_rows_nor_a_button(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        teach(records, invented, presses=("next",) * 6 + ("bell-now",), nine_ms=room_time_ms("9:00"))
    view = view_of(new_program().show())
    assert not view.left_heading.isVisible()
    assert not view.left.isVisible()
    assert not view.open_button.isVisible()


def test_where_the_outline_sends_a_phase_is_shown_as_its_word_until_the_teacher_says_so(
    folder, new_program, invented
):
    with DayRecords.open(folder) as records:
        teach(records, invented, presses=("jump model", "groups", "bell-now"), nine_ms=room_time_ms("9:00"))
    view = view_of(new_program().show())
    (note,) = [each for each in view.left.findChildren(QLabel) if each.text() == "where the outline sends it"]
    assert answers(view) == {REVIEW: "table"}
    assert note.isVisibleTo(view.left)
    click(view.left.chips[REVIEW, "dropped"])
    settle()
    assert answers(view) == {REVIEW: "dropped"}
    assert not note.isVisibleTo(view.left)


def test_words_of_any_length_stay_beside_their_chips_within_the_page(folder, new_program, invented):
    long = "Sort the cards by their denominators and tell a partner why each one stands where it stands " * 3
    with DayRecords.open(folder) as records:
        teach(records, with_list(invented, "Ticked", long), nine_ms=room_time_ms("9:00"))
    running = new_program().show()
    running.window.showNormal()
    running.window.resize(960, 540)
    view = view_of(running)
    assert view._shown.horizontalScrollBar().maximum() == 0
    assert {chip.x() for (_key, went), chip in view.left.chips.items() if went == "table"} == {
        view.left.chips[PAGE, "table"].x()
    }


def test_what_goes_to_tomorrows_table_stands_on_today_and_on_the_next_lessons_list(taught, folder):
    view = view_of(taught)
    click(view.left.chips[STUCK, "table"])
    click(view.left.chips[PRACTICE, "tomorrow"])
    click(taught.window.names["today"])
    settle()
    line = taught.today.left_line
    assert line.isVisible()
    assert "table: Problem 3: 1 stuck · tomorrow: Practice · 3 still open, see Look back" in line.text()


def test_the_desk_lists_it_among_the_groups_of_the_next_lesson_and_the_outline_stays_as_it_is(
    taught, invented
):
    view = view_of(taught)
    click(view.left.chips[STUCK, "table"])
    taught.program.start_now(invented)
    room = taught.tap("G").program.room
    assert room.desk.frame.checks == (("Problem 3: 1 stuck (9 Mar 2026)", False),)
    taught.tap("L")
    assert room.desk.frame.checks == (("Problem 3: 1 stuck (9 Mar 2026)", True),)
    assert invented.table_list == ""
