"""Room's row for the Desk card: which third screen has it. There is no row where there is no such screen."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from pacer.frames.desk_card import CardFrame, reading_words
from pacer.frames.words.wording import stage_word
from pacer.pace.stages import LEVELS
from pacer.plan.sizes import credible_height_mm
from pacer.qt.desk.card_layout import card_layout
from pacer.qt.kit.rows import row_of
from pacer.qt.kit.widgets import button, label
from pacer.qt.screens.class_screen import ClassScreen, card_screens
from pacer.qt.screens.number_cards import numbered
from pacer.qt.screens.present import ScreenInfo, places_windows, present_screens
from pacer.settings.store import SettingsStore
from pacer.text import _

LEAST_SCREENS = 3  # the teacher's, the class's, and one for the card
LEAST_SIDE_MM = 35  # smaller than a projector's picture can be


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
    words = _("Desk card on {name}, {wide} × {high}.", name=card.name, wide=wide, high=high)
    height_mm = credible_height_mm(*card.millimetres, wide, high, LEAST_SIDE_MM)
    if height_mm is None:
        return words
    time_px, least_px = _sizes(card)
    scale = height_mm / card.rect.height()
    return f"{words} {reading_words(time_px * scale, least_px * scale)}"


def _sizes(card: ScreenInfo) -> tuple[float, float]:
    """Pixels of the capitals of an ordinary time, and of the smallest words of any state."""
    size, until = card.rect.size(), _("move by {time}", time="10:00")
    frames = [CardFrame(stage, stage_word(stage), 0, "10:00", until) for stage in LEVELS]
    made = [card_layout(frame, size) for frame in frames]
    times = [one.cells.cap_height for one in made if one.cells is not None]
    words = [one.word[1].cap_height for one in made]
    words += [one.until[1].cap_height for one in made if one.until is not None]
    return min(times), min(words)
