"""The Desk card in a lesson: on its own screen or away, covered with the Desk, never before the class."""

import subprocess
import sys
from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, Qt

from pacer.qt.kit import theme
from pacer.qt.screens.number_cards import OVERLAY, NumberCards
from pacer.settings.model import Settings
from tests.qt.lesson.card_factories import LEDGE, card_of, carded, three  # noqa: F401
from tests.qt.window_factories import Paints, change_screens, names_of, screen_named, settle
from tests.real_screens.private_marker import private_pixels


def image_of(widget):
    return widget.grab().toImage()


def is_paper(window) -> bool:
    """Whether a window is nothing but plain paper, and says nothing either."""
    image = image_of(window)
    corner = image.pixelColor(3, 3) == theme.PAPER
    return corner and private_pixels(image) == 0 and names_of(window) == "Desk card\n\nDesk card\n"


@pytest.mark.slow
def test_the_card_shows_what_the_desk_shows_on_its_own_screen_and_takes_neither_keys_nor_clicks(carded):
    made = carded()
    card = card_of(made)
    assert card.isVisible()
    assert card.geometry() == LEDGE.rect
    assert card.windowFlags() & OVERLAY == OVERLAY
    assert card.focusPolicy() is Qt.FocusPolicy.NoFocus
    seen = set()
    for _second in range(0, 400, 5):
        made.wait(5)
        desk = made.desk.frame
        assert (card.frame.word, card.frame.level, card.frame.number) == (desk.word, desk.level, desk.number)
        seen.add(card.frame.level)
    assert seen == {0, 1, 2, 3}
    assert private_pixels(image_of(card)) > 0
    assert made.window.shows_desk
    assert made.wall.full.geometry() == screen_named("Projector").rect


def test_without_a_chosen_screen_there_is_no_card_and_nothing_is_asked(
    new_stage, invented, three, numbers_asked
):
    made = new_stage(invented)
    made.room.rooms = three.rooms(card=None)
    made.start().wait(30)
    assert made.room.screens.card.window is None
    assert made.window.shows_desk
    assert numbers_asked == []


@pytest.mark.slow
def test_what_a_lesson_loads_beforehand_has_nothing_of_the_card():
    """In a process of its own; the card is imported when its window is made."""
    told = subprocess.run(
        [sys.executable, "-c", WITHOUT_CARD], capture_output=True, text=True, timeout=300, check=True
    )
    assert told.stdout.split() == ["desk", "True", "card", "False"], told.stderr


WITHOUT_CARD = """
import sys
import pacer.qt.lesson.room, pacer.qt.lesson.lesson, pacer.qt.desk.window
print("desk", "pacer.qt.desk.painter" in sys.modules, "card", "pacer.qt.lesson.card_window" in sys.modules)
"""


def test_a_change_of_screens_takes_the_card_away_inside_the_signal_and_one_press_shows_it_again(
    carded,
):
    made = carded()
    card = card_of(made)
    paints = Paints(card)
    change_screens()
    assert not card.isVisible()
    assert card.frame is None
    settle()
    assert card.isVisible()
    assert is_paper(card)
    assert all(card.frame is None for _region in paints.regions)
    made.wait(5)
    assert is_paper(card)
    made.keyboard.target = made.window.curtain
    made.tap("Return")
    assert made.window.shows_desk
    assert card.frame.number == made.desk.frame.number
    assert private_pixels(image_of(card)) > 0


def test_unplugged_it_goes_and_plugged_in_again_it_is_covered_until_the_curtain_is_lifted(carded, three):
    made = carded()
    card = card_of(made)
    three.unplug()
    settle()
    assert not card.isVisible()
    made.keyboard.target = made.window.curtain
    made.tap("Return")
    assert made.window.shows_desk
    assert not card.isVisible()
    three.plug(replace(LEDGE, place=(3286, 400, 480, 320)))
    settle()
    assert not made.window.shows_desk
    assert card.geometry().topLeft() == QPoint(3286, 400)
    assert is_paper(card)
    made.tap("Return")
    assert private_pixels(image_of(card)) > 0


def test_mirrored_with_the_projector_there_is_no_card_however_often_the_curtain_is_lifted(carded, three):
    made = carded()
    card = card_of(made)
    three.mirror()
    settle()
    made.keyboard.target = made.window.curtain
    made.tap("Return").wait(30)
    assert made.window.shows_desk
    assert not card.isVisible()
    three.plug()
    settle()
    assert is_paper(card)


@pytest.mark.parametrize(
    "other",
    [
        replace(LEDGE, place=(3286, 0, 1280, 800)),
        replace(LEDGE, model="Another"),
        replace(LEDGE, millimetres=(300, 200)),
    ],
    ids=["another size", "another make", "another picture"],
)
def test_another_screen_in_its_place_gets_no_card(carded, three, other):
    made = carded()
    three.plug(other)
    settle()
    made.keyboard.target = made.window.curtain
    made.tap("Return").wait(5)
    assert not card_of(made).isVisible()


def test_while_the_projector_is_gone_the_card_waits(carded, three):
    """Which screen the class sees is a guess then, and the Wall may go to the card's."""
    made = carded()
    whole = list(three.now)
    three.become(screen_named("Laptop"), LEDGE)
    settle()
    assert not card_of(made).isVisible()
    three.become(*whole)
    settle()
    assert is_paper(card_of(made))


@pytest.mark.parametrize("to", [QPoint(1366, 0), QPoint(3281, 0), QPoint(3286, 40)], ids=str)
def test_a_card_that_the_system_moves_is_away_before_it_is_painted_elsewhere(carded, to):
    made = carded()
    card = card_of(made)
    paints = Paints(card)
    card.move(to)
    assert not card.isVisible()
    settle()
    assert paints.regions == []
    made.wait(5).tap("W")
    assert not card.isVisible()
    assert made.window.shows_desk, "the Desk itself was not moved"
    change_screens()
    settle()
    made.keyboard.target = made.window.curtain
    made.tap("Return")
    assert card.isVisible()
    assert card.geometry() == LEDGE.rect


def test_what_is_painted_off_its_screen_is_plain_paper_whatever_the_plan_was(carded):
    """The last of the guards: no move was told, and yet the window lies elsewhere."""
    made = carded()
    card = card_of(made)
    card._screen = replace(LEDGE, place=(5000, 0, 480, 320))
    assert private_pixels(image_of(card)) == 0
    assert made.window.shows_desk


def test_the_private_window_on_the_card_s_screen_takes_its_place(carded, three, monkeypatch):
    made = carded()
    monkeypatch.setattr(made.room.screens, "private_screen", lambda: LEDGE)
    made.room.screens.look()
    assert not card_of(made).isVisible()


def test_where_only_the_wall_may_be_drawn_there_is_no_card(carded, three, monkeypatch):
    from pacer.qt.screens.questions import OneScreenQuestion
    from pacer.run.room_plan import OneScreen

    made = carded()
    monkeypatch.setattr(OneScreenQuestion, "ask", staticmethod(lambda _parent: OneScreen.DESK_ONLY))
    laptop = screen_named("Laptop")
    three.become(*(replace(one, place=(0, 0, *one.place[2:])) for one in (laptop, *three.now[1:])))
    settle()
    made.keyboard.target = made.window.curtain
    made.tap("Return").wait(3)
    assert made.window.shows_desk
    assert not card_of(made).isVisible()


def test_a_close_in_a_lesson_covers_it_and_its_end_takes_it_away(carded):
    made = carded()
    card = card_of(made)
    made.window.closing.connect(lambda event: event.setAccepted(made.room.may_close()))
    made.window.close()
    settle()
    assert is_paper(card)
    made.keyboard.target = made.window.curtain
    made.tap("Return")
    assert card.frame is not None
    made.keyboard.target = made.desk
    made.tap("Home")
    assert card.frame.word == "ENDED"
    made.tap("Return")
    settle()
    assert not card.isVisible()
    assert (card.frame, card.accessibleDescription()) == (None, "")


def test_a_lesson_after_another_begins_without_what_the_other_said(carded, three):
    made = carded()
    card = card_of(made)
    made.tap("Home").tap("Return")
    made.room.screens.begin("rehearsal")
    settle()
    assert card.isVisible()
    assert private_pixels(image_of(card)) == 0
    made.room.screens.end()


def test_a_rehearsal_has_its_card_too_and_no_wall(new_stage, invented, three):
    made = new_stage(invented)
    made.room.rooms = three.rooms()
    assert made.room.enter(made.lesson, desk_only=True)
    made.lesson.start()
    made.wait(5)
    assert card_of(made).frame.number == "1:55"
    assert not made.wall.full.isVisible()
    made.tap("Home").tap("Return")
    assert not card_of(made).isVisible()


def test_a_question_in_a_lesson_covers_the_card_as_it_covers_the_desk(carded, monkeypatch):
    made = carded()
    card, seen = card_of(made), []

    def ask(*_given):
        seen.append((card.isVisible(), card.frame))

    monkeypatch.setattr(NumberCards, "ask", staticmethod(ask))
    made.room.ask_screens()
    assert seen == [(True, None)]
    made.keyboard.target = made.window.curtain
    made.tap("Return")
    assert card.frame is not None


def test_second_for_second_only_the_digits_that_changed_are_painted(carded):
    made = carded(settings=Settings(reduced_motion=True))
    card = card_of(made)
    made.wait(2)
    settle()
    paints = Paints(card)
    made.wait(1)
    assert card.frame.number == "1:57"
    (region,) = paints.regions
    box = region.boundingRect()
    assert box.width() < card.width() / 2
    assert box.height() < card.height() / 2
    made.lesson.refresh()
    settle()
    assert len(paints.regions) == 1


def test_a_state_comes_in_a_quiet_fade_or_at_once_where_motion_is_reduced(carded, qtbot):
    made = carded()
    card = card_of(made)
    before = image_of(card).pixelColor(240, 310)
    made.wait(100)
    assert card.frame.word == "CLOSING"
    qtbot.waitUntil(lambda: image_of(card).pixelColor(240, 310) == theme.CLOSING, timeout=60_000)
    assert before == theme.DESK_PAPER
