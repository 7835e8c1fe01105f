"""The numbers on the screens: how they ask, what answers, and when they go."""

import json
from dataclasses import replace

import pytest
from PySide6.QtCore import QEventLoop, QRect, QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest

from pacer.qt.screens.number_cards import OVERLAY, NumberCards, NumberPage, card_rect, numbered
from pacer.qt.screens.questions import OneScreenQuestion
from pacer.run.room_plan import OneScreen
from pacer.settings.model import Settings
from tests.qt.lesson.test_placing import LEFT, PRESENT, cards, press, rooms_with, while_asked  # noqa: F401
from tests.qt.window_factories import (
    live_screen,
    names_of,
    screen_named,
    settle,
)


def test_at_the_first_lesson_every_screen_has_a_number_and_the_key_puts_the_wall_there(
    new_stage, invented, real_numbers, while_asked
):
    made = new_stage(invented)
    told, seen = [], []
    made.room.rooms_changed.connect(told.append)

    def look(page: NumberPage) -> None:
        seen.append(
            [(card.accessibleName(), card.geometry(), card.windowFlags() & OVERLAY) for card in cards()]
        )
        seen.append((page.face.accessibleName(), page.isVisible(), made.window.pages.isVisible()))
        assert "Press the number that the class sees." in names_of(page)
        assert made.room.lesson is None
        press(page, "2")

    while_asked(look)
    made.start()
    assert seen == [[("Screen 2", screen_named("Projector").rect, OVERLAY)], ("Screen 1", True, False)]
    assert cards() == []
    assert made.window.shows_desk
    assert made.wall.full.geometry() == screen_named("Projector").rect
    assert told == [rooms_with("Projector")]


@pytest.mark.skipif("sys.platform != 'linux'", reason="the keycode is that of Linux")
def test_the_number_is_answered_by_its_key_where_a_digit_needs_shift(
    new_stage, invented, real_numbers, while_asked
):
    """A French keyboard types é on the key of 2."""
    made = new_stage(invented)
    while_asked(lambda page: press(page, "é", scan_code=11))
    made.start()
    assert made.wall.full.geometry() == screen_named("Projector").rect


def test_what_is_answered_is_not_asked_again(new_stage, invented, real_numbers, monkeypatch):
    made = new_stage(invented)
    made.room.rooms = rooms_with("Projector")
    asked = []
    monkeypatch.setattr(NumberCards, "ask", staticmethod(lambda *given: asked.append(given)))
    made.start()
    assert made.window.shows_desk
    assert made.wall.full.screen().name() == "Projector"
    assert asked == []


@pytest.mark.parametrize("name", ["Escape", "3", "0", "Return", "Space"])
def test_escape_cancels_and_other_keys_answer_nothing(new_stage, invented, real_numbers, while_asked, name):
    made = new_stage(invented)
    told, open_still = [], []
    made.room.rooms_changed.connect(told.append)
    place = made.window.geometry()

    def act(page: NumberPage) -> None:
        press(page, name)
        settle()
        open_still.append(page.isVisible() and bool(cards()))

    while_asked(act)
    assert not made.enter()
    assert (made.room.lesson, told, cards()) == (None, [], [])
    assert made.window.pages.isVisible()
    assert not made.wall.full.isVisible()
    assert made.window.geometry() == place


def test_a_click_on_a_card_or_beside_the_buttons_chooses_nothing_and_a_button_does(
    new_stage, invented, real_numbers, while_asked
):
    made = new_stage(invented)
    chosen = []

    def act(page: NumberPage) -> None:
        page.chosen.connect(chosen.append)
        for widget in (*cards(), page.face, page):
            QTest.mouseClick(widget, LEFT)
        assert chosen == []
        names = [one.accessibleName() for one in page.buttons]
        assert names == ["The class sees screen 1", "The class sees screen 2"]
        QTest.mouseClick(page.buttons[1], LEFT)
        assert chosen == [2]

    while_asked(act)
    made.start()
    assert made.wall.full.screen().name() == "Projector"


def test_closing_the_window_while_asked_starts_nothing(new_stage, invented, real_numbers, while_asked):
    made = new_stage(invented)
    while_asked(lambda _page: made.window.close())
    assert not made.enter()
    assert made.room.lesson is None
    assert cards() == []


def test_a_screen_that_goes_while_asked_asks_again_by_what_is_left(
    new_stage, invented, real_numbers, while_asked, monkeypatch
):
    made = new_stage(invented)
    asked = []
    laptop = screen_named("Laptop")
    monkeypatch.setattr(
        OneScreenQuestion, "ask", staticmethod(lambda _parent: asked.append(True) or OneScreen.DESK_ONLY)
    )

    def pull(_page: NumberPage) -> None:
        monkeypatch.setattr(PRESENT, lambda: [laptop])
        QGuiApplication.instance().screenRemoved.emit(live_screen("Projector"))

    while_asked(pull)
    assert made.enter()
    assert asked == [True]
    assert not made.wall.full.isVisible()


def test_screens_are_numbered_from_left_to_right_and_mirrored_ones_once():
    laptop, beamer = screen_named("Laptop"), screen_named("Projector")
    assert numbered([beamer, laptop]) == {1: laptop, 2: beamer}
    mirror = replace(beamer, name="Mirror", place=(0, 0, 1280, 720))
    assert list(numbered([laptop, beamer, mirror])) == [1, 2]
    row = [replace(laptop, name=f"S{n}", place=(n * 100, 0, 100, 100)) for n in range(12)]
    assert list(numbered(row)) == [1, 2, 3, 4, 5, 6, 7, 8, 9]


def test_the_program_saves_the_answer_and_a_page_s_older_settings_do_not_lose_it(
    running, new_program, numbers_asked, invented
):
    running.program.start_now(invented)
    settle()
    assert len(numbers_asked) == 1
    running.today.choices.talk_limit.setValue(7)
    settle()
    saved = json.loads(running.where.settings_file.read_text(encoding="utf-8"))
    assert saved["talk_limit_s"] == 420
    assert Settings.model_validate(saved).rooms == rooms_with("Projector")
    running.program.shut()
    again = new_program()
    again.program.close_unfinished()
    again.program.start_now(invented)
    settle()
    assert again.program.room.wall.full.screen().name() == "Projector"
    assert len(numbers_asked) == 1


def wait_in_a_loop(holds) -> None:
    """Wait for something as a dialog does, in an event loop of its own; a minute at most."""
    loop, looks, end = QEventLoop(), QTimer(), QTimer()
    looks.timeout.connect(lambda: loop.quit() if holds() else None)
    end.timeout.connect(loop.quit)
    looks.start(10)
    end.start(60_000)
    loop.exec()
    looks.stop()
    end.stop()


def test_the_numbers_go_with_the_screens_also_while_a_dialog_waits(
    new_stage, invented, real_numbers, while_asked, monkeypatch
):
    made = new_stage(invented)
    laptop, left = screen_named("Laptop"), []

    def ask(_parent) -> OneScreen:
        # As a dialog does: an event loop of its own, in which nothing of the outer one is deleted.
        wait_in_a_loop(lambda: not cards())
        left.extend(cards())
        return OneScreen.CANCEL

    monkeypatch.setattr(OneScreenQuestion, "ask", staticmethod(ask))

    def mirror(_page: NumberPage) -> None:
        monkeypatch.setattr(PRESENT, lambda: [laptop, replace(laptop, name="Projector")])
        QGuiApplication.instance().screenRemoved.emit(live_screen("Projector"))

    outer, entered = QEventLoop(), []  # as in the running program, which waits in a loop of its own

    def begin() -> None:
        while_asked(mirror)
        entered.append(made.enter())
        outer.quit()

    QTimer.singleShot(0, begin)
    outer.exec()
    assert entered == [False]
    assert left == []


def test_the_numbers_go_although_a_dialog_that_came_later_is_still_open(
    new_stage, invented, real_numbers, while_asked
):
    made = new_stage(invented)
    left = []

    def act(_page: NumberPage) -> None:
        QTimer.singleShot(0, lambda: QGuiApplication.instance().screenRemoved.emit(live_screen("Projector")))
        wait_in_a_loop(lambda: not cards())
        left.extend(cards())

    while_asked(act)
    assert not made.room.ask_screens()
    assert left == []


@pytest.mark.parametrize("sentence", [QRect(60, 330, 1248, 110), QRect(700, 300, 2000, 160), QRect()])
def test_a_note_where_to_move_the_window_leaves_the_curtain_s_sentence_free(sentence):
    screen = QRect(0, 0, 1368, 768)
    place = card_rect(screen, 0.5, sentence)
    assert screen.contains(place)
    assert not place.intersects(sentence)
    assert place.width() >= screen.width() / 3
    if sentence.isNull():
        assert place.center() == screen.center()


def test_the_notes_keep_off_a_window_that_reaches_over_both_screens(stage):
    stage.window.showNormal()
    stage.window.move(screen_named("Projector").rect.left() - 700, 40)
    settle()
    assert stage.window.curtain.isVisible()
    (note,) = cards()
    assert screen_named("Laptop").rect.contains(note.geometry())
    assert not note.geometry().intersects(stage.window.curtain.sentence_at())
