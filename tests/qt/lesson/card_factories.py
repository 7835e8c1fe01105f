"""A third screen for tests of the Desk card: pretended beside the two of the tests, at any place and size."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from PySide6.QtGui import QGuiApplication

from pacer.qt.classroom import desk_card_row
from pacer.qt.lesson import placing
from pacer.qt.lesson.card_window import CardWindow
from pacer.qt.screens import number_cards
from pacer.qt.screens.present import ScreenInfo, find_screen, present_screens
from pacer.settings.screen_choice import KnownRoom, remember, remember_card
from tests.qt.window_factories import live_screen, screen_named, settle

LEDGE = ScreenInfo("Ledge", (3286, 0, 480, 320), millimetres=(73, 49))


class ThreeScreens:
    """Laptop, projector and a small display; ``now`` is what there is, and a change is told as Qt does."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.now = [*present_screens(), LEDGE]
        for module in (placing, desk_card_row):
            monkeypatch.setattr(module, "present_screens", self._present)
        # No window can be put on a screen that is not there: it goes to the same place of the desktop.
        monkeypatch.setattr(number_cards, "find_screen", self._find)

    def _present(self) -> list[ScreenInfo]:
        return list(self.now)

    def _find(self, info: ScreenInfo) -> object:
        pretended = info in self.now and info.name == LEDGE.name
        return live_screen("Projector") if pretended else find_screen(info)

    def become(self, *screens: ScreenInfo) -> None:
        """Other screens from now on, and Qt's signal for it."""
        self.now = list(screens)
        QGuiApplication.instance().screenAdded.emit(QGuiApplication.primaryScreen())

    def unplug(self) -> None:
        """The small display is gone."""
        self.become(*(one for one in self.now if one.name != LEDGE.name))

    def plug(self, ledge: ScreenInfo = LEDGE) -> None:
        """It is there, perhaps elsewhere."""
        self.become(*(one for one in self.now if one.name != LEDGE.name), ledge)

    def mirror(self) -> None:
        """It shows what the projector shows."""
        beamer = screen_named("Projector")
        self.plug(replace(LEDGE, place=(beamer.place[0], 0, 480, 320)))

    def rooms(self, *, card: ScreenInfo | None = LEDGE) -> tuple[KnownRoom, ...]:
        """What was answered on another day."""
        return remember_card(remember((), self.now, screen_named("Projector")), self.now, card)


@pytest.fixture
def three(dressed, monkeypatch) -> ThreeScreens:
    """Three screens."""
    return ThreeScreens(monkeypatch)


@pytest.fixture
def carded(new_stage, invented, three) -> Callable[..., object]:
    """Starts a lesson whose Desk card was chosen on another day."""

    def start(**options: object):
        made = new_stage(invented, **options)
        made.room.rooms = three.rooms()
        made.start()
        settle()
        return made

    return start


def card_of(stage) -> CardWindow:
    """The Desk card's window, which must be there."""
    window = stage.room.screens.card.window
    assert window is not None
    return window
