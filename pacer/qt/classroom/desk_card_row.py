"""Room's row for the Desk card: which third screen has it. There is no row where there is no such screen."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from pacer.qt.kit.rows import row_of
from pacer.qt.kit.widgets import button, label
from pacer.qt.screens.class_screen import ClassScreen, card_screens
from pacer.qt.screens.number_cards import numbered
from pacer.qt.screens.present import ScreenInfo, places_windows, present_screens
from pacer.settings.store import SettingsStore
from pacer.text import _

LEAST_SCREENS = 3  # the teacher's, the class's, and one for the card


class DeskCardRow(QWidget):
    """``choose_asked`` asks to ask which screen has the Desk card."""

    choose_asked = Signal()

    def __init__(self, settings: SettingsStore) -> None:
        super().__init__()
        self._settings = settings
        self.setAccessibleName(_("Desk card"))
        self.words = label("", wrap=True)
        self.button = button(_("&Desk card…"), self.choose_asked.emit)
        self.button.setAccessibleDescription(
            _("A third screen for you alone, which shows the Desk's state, time and move-by in large type")
        )
        row_of((self.words, 1), self.button, gap=12, inside=self)

    def refresh(self, private: ScreenInfo) -> None:
        """Bring the words up to what is so now; with two screens or fewer there is nothing to choose."""
        screens, seen = present_screens(), ClassScreen()
        seen.rooms = self._settings.now.rooms
        card, wall = seen.card(screens), seen.known(screens, private)
        # Where the class's screen is not known yet, that is asked first.
        is_free = wall is None or bool(card_screens(screens, wall, private))
        self.setVisible(places_windows() and len(numbered(screens)) >= LEAST_SCREENS and is_free)
        self.words.setText(_card_words(card))


def _card_words(card: ScreenInfo | None) -> str:
    if card is None:
        return _("No Desk card: the Desk's state could also be on a third, small screen for you alone.")
    wide, high = card.pixels
    return _("Desk card on {name}, {wide} × {high}", name=card.name, wide=wide, high=high)
