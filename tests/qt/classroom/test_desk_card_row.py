"""Room's row for the Desk card: there with a third screen, asked by large numbers, kept with the room."""

import json

import pytest
from PySide6.QtCore import QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from pacer.qt.classroom.page import RoomPage
from pacer.qt.screens.number_cards import CardAnswer, CardNumbers, NumberCards, NumberPage
from pacer.settings.model import Settings
from pacer.settings.screen_choice import card_of
from tests.qt.lesson.card_factories import LEDGE, three  # noqa: F401
from tests.qt.lesson.test_placing import LEFT, cards, press, while_asked  # noqa: F401
from tests.qt.window_factories import live_screen, names_of, screen_named, settle


def room_page(running) -> RoomPage:
    running.window.page_asked.emit("room")
    settle()
    return running.program.pages.room


def saved_card(running, three):
    saved = json.loads(running.where.settings_file.read_text(encoding="utf-8"))
    return card_of(Settings.model_validate(saved).rooms, three.now)


def test_with_two_screens_nothing_on_room_speaks_of_a_desk_card(running):
    page = room_page(running)
    assert not page.desk_card.isVisible()
    assert page.desk_card.words.text().startswith("No Desk card")


def test_the_class_s_screen_is_asked_first_then_the_card_s_and_both_are_kept(
    three, new_program, numbers_asked, while_asked
):
    running = new_program()
    page = room_page(running)
    assert page.desk_card.isVisible()
    seen = []

    def answer(question: NumberPage) -> None:
        seen.append([(card.accessibleName(), card.geometry()) for card in cards()])
        seen.append([button.accessibleName() for button in question.buttons])
        assert "Press the number for your Desk card, 0 for none." in names_of(question)
        press(question, "2")  # the class's screen is none of the answers
        assert question.isVisible()
        press(question, "3")

    while_asked(answer)
    page.desk_card.button.click()
    settle()
    assert len(numbers_asked) == 1
    # On the class's screen nothing is asked.
    assert seen == [
        [("Screen 3", LEDGE.rect)],
        ["The Desk card goes on screen 3", "No Desk card"],
    ]
    assert saved_card(running, three) == LEDGE
    # Own worked values: 16.3 mm are 20 minutes of arc at 2.8 m, 6.4 mm are 16 at 1.3 m.
    assert page.desk_card.words.text() == (
        "Desk card on Ledge, 480 × 320. Its time can be read from 2.8 m, all of its words from 1.3 m."
    )
    assert cards() == []


@pytest.mark.parametrize(("answer", "kept"), [("0", None), ("Escape", LEDGE)])
def test_none_takes_the_card_off_and_escape_leaves_it(three, new_program, while_asked, answer, kept):
    running = new_program()
    running.program.settings.change(rooms=three.rooms())
    running.program.room.rooms = running.program.settings.now.rooms
    page = room_page(running)
    running.program.room.screens.lift()
    while_asked(lambda question: press(question, answer))
    page.desk_card.button.click()
    settle()
    assert saved_card(running, three) == kept
    assert page.desk_card.words.text().startswith("No Desk card") == (kept is None)


def test_a_button_answers_and_screens_that_change_meanwhile_change_no_answer(three, new_program, while_asked):
    running = new_program()
    running.program.settings.change(rooms=three.rooms())
    running.program.room.rooms = running.program.settings.now.rooms
    page = room_page(running)
    while_asked(lambda question: QTest.mouseClick(question.buttons[-1], LEFT))
    page.desk_card.button.click()
    assert saved_card(running, three) is None
    while_asked(lambda _question: QGuiApplication.instance().screenAdded.emit(live_screen("Projector")))
    page.desk_card.button.click()
    assert saved_card(running, three) is None


def test_where_the_class_s_screen_is_left_unanswered_no_card_is_asked_for(three, new_program, monkeypatch):
    running, asked = new_program(), []
    page = room_page(running)
    monkeypatch.setattr(NumberCards, "ask", staticmethod(lambda *_given: None))
    monkeypatch.setattr(CardNumbers, "ask", staticmethod(asked.append))
    page.desk_card.button.click()
    assert asked == []


def test_in_a_lesson_nothing_is_asked(three, new_stage, invented, monkeypatch):
    asked = []
    monkeypatch.setattr(CardNumbers, "ask", staticmethod(lambda *given: asked.append(given)))
    made = new_stage(invented)
    made.room.rooms = three.rooms()
    made.start()
    assert not made.room.ask_card()
    assert asked == []


def test_a_room_answered_before_has_its_card_in_the_next_lesson_and_a_new_answer_for_the_wall_takes_it(
    three, new_stage, invented, monkeypatch
):
    made = new_stage(invented)
    made.room.rooms = three.rooms(card=None)
    monkeypatch.setattr(CardNumbers, "ask", staticmethod(lambda *_given: CardAnswer(LEDGE)))
    assert made.room.ask_card()
    made.start()
    assert made.room.screens.card.window.geometry() == LEDGE.rect
    monkeypatch.setattr(NumberCards, "ask", staticmethod(lambda *_given: LEDGE))
    assert made.room.ask_screens()
    settle()
    assert not made.room.screens.card.window.isVisible()
    assert card_of(made.room.rooms, three.now) is None


def test_where_windows_can_t_be_placed_no_card_is_offered(three, new_program, monkeypatch):
    from pacer.qt.classroom import desk_card_row

    monkeypatch.setattr(desk_card_row, "places_windows", lambda: False)
    assert not room_page(new_program()).desk_card.isVisible()


def test_the_question_closes_with_its_window(three, new_stage, invented):
    made = new_stage(invented)
    made.room.rooms = three.rooms()

    def close() -> None:
        (page,) = (one for one in QApplication.allWidgets() if isinstance(one, NumberPage))
        page.hide()

    QTimer.singleShot(0, close)
    assert not made.room.ask_card()
    assert card_of(made.room.rooms, three.now) == LEDGE
    assert screen_named("Laptop") in three.now
