"""Room: what is set for a classroom: screens, sizes for the back row, strip, sound, clicker, baseline."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtGui import QHideEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QRadioButton, QSizePolicy, QWidget

from pacer.frames.back_row import BackRowCard, back_row_card, look_of, picture_height_mm
from pacer.qt.classroom.back_row_card import BackRowCardWindow, reported_height_mm, shares_on
from pacer.qt.classroom.clicker_row import ClickerRow
from pacer.qt.classroom.desk_card_row import DeskCardRow
from pacer.qt.classroom.earpiece_row import EarpieceRow
from pacer.qt.classroom.keys_panel import KeysPanel
from pacer.qt.classroom.picture_panel import PicturePanel
from pacer.qt.classroom.tone_row import ToneRow
from pacer.qt.kit.rows import STRETCH, RowPart, column_of, row_of, turn
from pacer.qt.kit.setting_fields import setting_box
from pacer.qt.kit.widgets import button, label, scrolled
from pacer.qt.screens.class_screen import ClassScreen
from pacer.qt.screens.present import ScreenInfo, present_screens, screen_info, wall_choice
from pacer.qt.screens.watch import ScreenWatch
from pacer.run.events import Edge
from pacer.settings.store import SettingsStore
from pacer.text import _

COLUMN_PX = 820
NARROW_PX = 1120  # below this the columns stand one over the other
EDGES: tuple[Edge, ...] = ("bottom", "top", "left", "right")


class StripEdge(QWidget):
    """Four edges to choose from."""

    def __init__(self, settings: SettingsStore) -> None:
        super().__init__()
        self.setAccessibleName(_("Edge of the strip"))
        titles = (_("&bottom"), _("t&op"), _("&left"), _("ri&ght"))
        self.buttons = {edge: QRadioButton(title) for edge, title in zip(EDGES, titles, strict=True)}
        group = QButtonGroup(self)
        for edge, radio in self.buttons.items():
            group.addButton(radio)
            radio.setChecked(edge == settings.now.strip_edge)
            radio.toggled.connect(lambda on, edge=edge: settings.change(strip_edge=edge) if on else None)
        row_of(*self.buttons.values(), STRETCH, gap=12, inside=self)


class BaselineBox(QWidget):
    """Whether the next lessons are run without warnings."""

    def __init__(self, settings: SettingsStore) -> None:
        super().__init__()
        self.setAccessibleName(_("Baseline"))
        explained = _("In a baseline the Desk shows time only and gives no warnings, to compare with.")
        self.box = setting_box(settings, "baseline", _("the next lessons are a baseline"), explained)
        column_of(self.box, label(explained, "quiet", wrap=True), gap=6, inside=self)


class RoomPage(QWidget):
    """A page beside Today.

    ``choose_screens_asked`` asks to ask which screen the class sees, ``choose_card_asked`` which has the Desk
    card.
    """

    choose_screens_asked = Signal()
    choose_card_asked = Signal()

    def __init__(self, settings: SettingsStore) -> None:
        super().__init__()
        self.setAccessibleName(_("Room"))
        self._settings = settings
        self._card_window: BackRowCardWindow | None = None
        self._screens = ScreenWatch(self)
        self._screens.changed.connect(self._on_screens)
        self.class_sees = label("", wrap=True)
        self.choose_button = button("", self.choose_screens_asked.emit)
        self.desk_card = DeskCardRow(settings)
        self.desk_card.choose_asked.connect(self.choose_card_asked)
        self.picture = PicturePanel(settings)
        self.strip = StripEdge(settings)
        self.tone = ToneRow(settings)
        self.earpiece = EarpieceRow(settings)
        self.baseline = BaselineBox(settings)
        self.keys = KeysPanel(lambda: settings.now.clicker_blanks)
        self.clicker = ClickerRow(settings)
        self._lay_out()
        self.picture.card_asked.connect(self._on_card)
        self.refresh()
        settings.subscribe(self.refresh)

    def _lay_out(self) -> None:
        body = QWidget()
        # What the panel says may be one long line, which would make the page wider than its window.
        self.keys.name.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        self.keys.name.setWordWrap(True)
        sees = QWidget()
        known = row_of((self.class_sees, 1), self.choose_button, gap=12)
        column_of(known, self.desk_card, gap=8, inside=sees)
        left = ((_("The class sees"), sees), (_("Picture"), self.picture))
        sounds = QWidget()
        column_of(self.tone, self.earpiece, gap=2, inside=sounds)
        clicker = QWidget()
        column_of(self.clicker, self.keys, gap=10, inside=clicker)
        right = ((_("Clicker"), clicker), (_("Baseline"), self.baseline))
        # A pair of its own: in a long language one of the two is much wider than the other.
        strip, sound = (_("Strip along the edge"), self.strip), (_("Sound"), sounds)
        self._rows = (_beside(left, right), _beside((strip,), (sound,)))
        column_of(*self._rows, STRETCH, gap=12, inside=body, margins=(36, 6, 36, 4))
        column_of(scrolled(body, _("Room")), inside=self)

    def refresh(self) -> None:
        """Look at screens and settings again and bring every word up to what is so now."""
        kind, screen = self._class_screen()
        self.class_sees.setText(_class_words(kind, screen))
        self.choose_button.setText(_("Choose &again") if kind == "wall" else _("&Choose"))
        self.choose_button.setEnabled(kind != "only one")
        self.desk_card.refresh(screen_info(self.window().screen()))
        self.picture.show_settings(reported_height_mm(screen))
        card = self._card(screen)
        self.picture.show_card(card)
        if self._card_window is not None and self._card_window.isVisible():
            self._card_window.show_card(card)

    @property
    def card_window(self) -> BackRowCardWindow:
        """The test card's window, made when it is first wanted."""
        if self._card_window is None:
            self._card_window = BackRowCardWindow(self)
            self._card_window.closed.connect(self._on_card_closed)
        return self._card_window

    def put_card_away(self) -> None:
        if self._card_window is not None:
            self._card_window.put_away()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Side by side where there is room for it."""
        super().resizeEvent(event)
        narrow = self.width() < NARROW_PX
        for row in self._rows:
            turn(row, stacked=narrow)
            row.setSpacing(18 if narrow else 48)

    def showEvent(self, event: QShowEvent) -> None:
        """The screens may be others than when the page was last seen."""
        super().showEvent(event)
        self.refresh()

    def hideEvent(self, event: QHideEvent) -> None:
        """Where the page goes the test card goes, so that a lesson finds the class's screen free."""
        super().hideEvent(event)
        if not event.spontaneous():
            self.put_card_away()

    def _class_screen(self) -> tuple[str, ScreenInfo]:
        """Whether the class's screen is known ("wall", "ask" or "only one"), and the likeliest one."""
        seen = ClassScreen()
        seen.rooms = self._settings.now.rooms
        screens, private = present_screens(), screen_info(self.window().screen())
        kind = seen.kind(screens, private)
        if kind == "wall":
            return kind, seen.known(screens, private) or private
        return kind, wall_choice(screens, private) or private

    def _card(self, screen: ScreenInfo) -> BackRowCard:
        reported = reported_height_mm(screen)
        now = self._settings.now
        look = look_of(now, reported)
        height = picture_height_mm(now, reported)
        return back_row_card(shares_on(screen.rect.size(), look), look, height, now.back_row_mm)

    def _on_card(self) -> None:
        if self._card_window is not None and self._card_window.isVisible():
            self._card_window.put_away()
            return
        if self._class_screen()[0] == "ask":
            self.choose_screens_asked.emit()
        kind, screen = self._class_screen()
        if kind == "ask" or not self.isVisible():
            return  # the question was left without an answer
        self.picture.tell_card_shown(self.card_window.show_on(screen, self._card(screen)))

    def _on_card_closed(self) -> None:
        self.picture.tell_card_shown(False)
        if self.isVisible():
            self.window().activateWindow()
            self.picture.card_button.setFocus()

    def _on_screens(self) -> None:
        self.put_card_away()
        if self.isVisible():
            self.refresh()


def _class_words(kind: str, screen: ScreenInfo) -> str:
    if kind == "only one":
        return _("One screen, or all show the same: the class sees what you see.")
    if kind == "ask":
        return _("These screens are new here. Pacer asks before the first lesson.")
    wide, high = screen.pixels
    maker = " ".join(part for part in (screen.manufacturer.strip(), screen.model.strip()) if part)
    return _("{name}, {wide} × {high}").format(
        name=f"{maker} ({screen.name})" if maker else screen.name, wide=wide, high=high
    )


def _beside(*columns: Sequence[tuple[str, QWidget]]) -> QHBoxLayout:
    """Columns of titled parts, no wider than lines can be read; a wide screen's rest stays empty."""
    holders = []
    for titled in columns:
        holder, parts = QWidget(), list[RowPart]()
        holder.setMaximumWidth(COLUMN_PX)
        for title, part in titled:
            parts += [6, label(title, "large", bold=True), part]
        column_of(*parts[1:], STRETCH, gap=6, inside=holder)
        holders.append((holder, 100))
    return row_of(*holders, STRETCH, gap=48)
