"""Every way into a lesson answers every key at once, and no second lesson starts over one that is there."""

import time

import pytest
from PySide6.QtCore import QPoint, Qt, QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from pacer.commands import KEYS
from pacer.log.day_records import DayRecords
from pacer.qt.screens.number_cards import NumberCards, NumberPage
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from tests.qt.window_factories import Keyboard, click, code_of, modifiers_of, room_time_ms, settle

ALT = Qt.KeyboardModifier.AltModifier
ASK = NumberCards.__dict__["ask"]
NAMES = [name for key in KEYS for name in key.names]


@pytest.fixture
def data(tmp_path):
    return tmp_path / "data"


@pytest.fixture
def cut_off(data, invented, room_clock):
    """A lesson that began at 9:00 and was killed at once; it is 9:02."""
    with DayRecords.open(data) as records:
        session = Session(ManualClock(room_time_ms("9:00")), records.journal())
        session.start(invented)
    room_clock.advance(120_000)


def key(running, name: str, modifiers=None) -> None:
    """Press a key as the system does: it goes wherever the keyboard is."""
    held = modifiers_of(name) if modifiers is None else modifiers
    QTest.keyClick(running.window.windowHandle(), code_of(name), held)
    settle()
    if modifiers is ALT:  # such a press of a button is shown for a tenth of a second before it counts
        end = time.monotonic() + 60
        while running.program.room.lesson is None and time.monotonic() < end:
            QTest.qWait(10)
        settle()


def by_start(running) -> None:
    key(running, "Return")


def by_get_ready(running) -> None:
    key(running, "R", ALT)
    assert not running.program.room.lesson.has_started
    key(running, "Space")


def by_rehearsal(running) -> None:
    key(running, "H", ALT)


def by_return(running) -> None:
    key(running, "Return")


def by_alt_g(running) -> None:
    key(running, "G", ALT)


def by_mouse(running) -> None:
    click(running.today.resume_button)


def after_nothing(running) -> None:
    pass


def after_screens_changed(running) -> None:
    application = QGuiApplication.instance()
    application.primaryScreenChanged.emit(application.primaryScreen())
    settle()


def after_the_curtain(running) -> None:
    after_screens_changed(running)
    assert not running.window.shows_desk
    QTest.qWait(60)  # a Return that follows the last one within some milliseconds is a key held down
    key(running, "Return")
    assert running.window.shows_desk


def after_a_dialog(running) -> None:
    def answer() -> None:
        pages = [one for one in QApplication.allWidgets() if isinstance(one, NumberPage)]
        try:
            key(running, "2")
        finally:
            pages[0].chosen.emit(0)  # whatever happened, the question ends

    answered, NumberCards.ask = NumberCards.__dict__["ask"], ASK
    QTimer.singleShot(0, answer)
    try:
        assert running.program.room.ask_screens()
    finally:
        NumberCards.ask = answered
    settle()


def after_a_click_beside(running) -> None:
    for widget in (running.window, running.window.pages, running.today.start_button):
        QTest.mouseClick(widget, Qt.MouseButton.LeftButton, pos=QPoint(5, 5))
    running.today.focus_first()
    running.today.offer_resume("")
    settle()


AFTER = [after_nothing, after_screens_changed, after_the_curtain, after_a_dialog, after_a_click_beside]
FRESH = [by_start, by_get_ready, by_rehearsal]
CUT_OFF = [by_return, by_alt_g, by_mouse]


def assert_every_key_is_answered(running) -> None:
    """Each key of the table is followed, or refused with a reason, and none begins anything else."""
    room, runs = running.program.room, running.program.records.runs
    lesson, count = room.lesson, len(runs())
    # Sent to the window, a key goes wherever the keyboard is.
    keyboard = Keyboard(running.window.windowHandle(), room.keys.reader)
    answers: list[str] = []
    lesson.followed.connect(lambda: answers.append("followed"))
    lesson.refused.connect(answers.append)
    for name in NAMES:
        running.clock.advance(1000)
        answers.clear()
        keyboard.tap(name)
        settle()
        assert [bool(answer) for answer in answers] == [True], name
        assert room.lesson is lesson, name
        assert len(runs()) == count, name


@pytest.mark.slow
@pytest.mark.parametrize("after", AFTER)
@pytest.mark.parametrize("way", FRESH)
def test_every_key_of_the_table_is_answered_after_a_lesson_began(running, way, after):
    way(running)
    assert running.program.room.lesson.is_running
    after(running)
    assert_every_key_is_answered(running)


@pytest.mark.slow
@pytest.mark.parametrize("after", AFTER)
@pytest.mark.parametrize("way", CUT_OFF)
def test_every_key_of_the_table_is_answered_after_a_lesson_went_on(cut_off, new_program, way, after):
    running = new_program()
    way(running)
    assert running.program.room.lesson.is_running
    after(running)
    assert_every_key_is_answered(running)


# One lesson at a time.


BEGINNINGS = {
    "start": lambda program, outline: program.start_now(outline),
    "get ready": lambda program, outline: program.get_ready(outline),
    "rehearse": lambda program, outline: program.rehearse(outline),
    "go on": lambda program, _outline: program.resume(),
}


@pytest.mark.slow
@pytest.mark.parametrize("second", BEGINNINGS)
@pytest.mark.parametrize("first", ["start", "get ready", "rehearse"])
def test_while_a_lesson_is_on_the_screens_none_begins(running, invented, first, second):
    BEGINNINGS[first](running.program, invented)
    lesson, runs = running.program.room.lesson, len(running.program.records.runs())
    BEGINNINGS[second](running.program, invented)
    settle()
    assert running.program.room.lesson is lesson
    assert len(running.program.records.runs()) == runs


@pytest.mark.parametrize("second", ["start", "get ready", "rehearse"])
def test_while_a_lesson_that_was_cut_off_waits_none_begins_and_today_says_why(
    cut_off, new_program, invented, second
):
    running = new_program()
    today = running.today
    for pressed_button in (today.start_button, today.ready_button, today.rehearse_button):
        assert not pressed_button.isEnabled()
    assert "Go on with it or close it first" in today.resume_text.text()
    BEGINNINGS[second](running.program, invented)
    assert running.program.room.lesson is None
    assert len(running.program.records.runs()) == 1
    assert running.window.focusWidget() is today.resume_button
    running.choose("Fractions")
    assert not today.start_button.isEnabled()
    click(today.close_button)
    assert today.start_button.isEnabled()
    BEGINNINGS[second](running.program, invented)
    assert running.program.room.lesson is not None


def test_after_the_newer_of_two_that_were_cut_off_the_other_waits_still(cut_off, data, new_program, invented):
    with DayRecords.open(data) as records:
        later = Session(ManualClock(room_time_ms("9:01")), records.journal())
        later.start(invented.model_copy(update={"title": "The later one"}))
    running = new_program()
    by_return(running)
    running.tap("Home").tap("Return")
    assert running.program.room.lesson is None
    assert running.today.resume_row.isVisibleTo(running.today)
    assert "Thirds" in running.today.resume_text.text()
    running.program.start_now(invented)
    assert running.program.room.lesson is None


def test_what_is_out_of_sight_never_has_the_keyboard(running):
    by_start(running)
    for widget in (running.today.start_button, running.today.list, running.window.names["outline"]):
        widget.setFocus()
        assert running.window.focusWidget() is running.window.desk
    running.tap("Home").tap("Return")
    running.window.names["today"].click()
    settle()
    assert running.today.start_button.isEnabled()
    assert running.window.focusWidget() is not running.window.desk
