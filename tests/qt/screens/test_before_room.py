"""Before there is a room: what covers the window, and when the room is wanted."""

from collections.abc import Iterator

import pytest
from PySide6.QtWidgets import QWidget

from pacer.qt.screens.before_room import BeforeRoom
from pacer.qt.screens.present import present_screens
from pacer.qt.screens.private_window import MainWindow
from pacer.settings.screen_choice import KnownRoom, remember
from tests.qt.window_factories import change_screens, screen_named, settle


class Before:
    """The window and its cover; ``wanted`` notes if the window was seen each time the room was wanted."""

    def __init__(self) -> None:
        self.window = MainWindow(QWidget(), demo=False)
        self.cover = BeforeRoom(self.window, lambda: self.rooms, self.window)
        self.rooms: tuple[KnownRoom, ...] = ()
        self.wanted: list[bool] = []
        self.cover.room_wanted.connect(self._on_wanted)

    def _on_wanted(self) -> None:
        self.wanted.append(self.window.isVisible())


@pytest.fixture
def before(dressed) -> Iterator[Before]:
    made = Before()
    yield made
    made.window.close()
    made.window.deleteLater()
    settle()


@pytest.fixture
def screens_are(monkeypatch):
    def change(*screens) -> None:
        monkeypatch.setattr("pacer.qt.screens.class_screen.present_screens", lambda: list(screens))

    return change


def test_with_several_screens_the_window_is_covered_at_once_and_the_room_wanted_when_that_is_seen(
    before, qtbot
):
    before.cover.begin()
    assert before.window.shows_curtain
    assert before.wanted == []
    before.window.show()
    qtbot.waitUntil(lambda: bool(before.wanted), timeout=60_000)
    assert before.wanted == [True]


def test_on_a_single_screen_of_her_own_nothing_is_drawn_until_screens_change(before, screens_are):
    screens_are(screen_named("Laptop"))
    before.cover.begin()
    before.window.show()
    settle()
    assert not before.window.shows_curtain
    assert before.wanted == []
    screens_are(screen_named("Laptop"), screen_named("Projector"))
    change_screens()
    assert before.window.shows_curtain, "inside Qt's own signal"
    assert before.wanted == [True], "at once, as a dialog may be open that only the room covers"


def test_on_a_single_screen_that_the_class_sees_the_room_is_wanted_before_the_first_frame(
    before, screens_are
):
    before.rooms = remember((), present_screens(), screen_named("Projector"))
    screens_are(screen_named("Projector"))
    before.cover.begin()
    assert before.wanted == [False]


def test_once_there_is_a_room_a_change_of_screens_draws_no_second_curtain(before, screens_are):
    screens_are(screen_named("Laptop"))
    before.cover.begin()
    before.cover.end()
    before.window.show()
    screens_are(screen_named("Laptop"), screen_named("Projector"))
    change_screens()
    settle()
    assert before.window.curtain is None
    assert before.wanted == []


def test_a_room_that_was_made_while_the_window_was_covered_is_told_so_in_time(before, screens_are):
    before.rooms = remember((), present_screens(), screen_named("Projector"))
    screens_are(screen_named("Projector"))
    before.cover.room_wanted.connect(before.cover.end)
    before.cover.begin()
    before.window.show()
    screens_are(screen_named("Laptop"), screen_named("Projector"))
    change_screens()
    settle()
    assert before.window.curtain is None
    assert before.wanted == [False]
