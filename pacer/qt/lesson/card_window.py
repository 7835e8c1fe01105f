"""The Desk card: the private state alone on a third, small screen, which nobody but the teacher looks at."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QHideEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from pacer.frames.desk import DeskFrame
from pacer.frames.desk_card import CardFrame, card_frame
from pacer.qt.desk.card_painter import changed_card_area, paint_card
from pacer.qt.desk.window import FADE_MS
from pacer.qt.kit import theme
from pacer.qt.kit.widgets import TellsPlace
from pacer.qt.screens.number_cards import make_overlay, show_overlay
from pacer.qt.screens.present import ScreenInfo
from pacer.qt.wall.fades import Fade
from pacer.settings.screen_choice import ROUNDING_PX
from pacer.text import _


class CardWindow(TellsPlace):
    """A window over all of its screen that clicks pass through and that never takes the keyboard.

    It begins covered: plain paper, of which a screen reader hears nothing either. What is private is painted
    only while it lies on the screen it was put on.
    """

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        make_overlay(self, _("Desk card"))
        self.setAttribute(Qt.WidgetAttribute.WA_MacAlwaysShowToolWindow)
        self.setAccessibleName(_("Desk card"))
        self.reduced_motion = False
        self.paints = 0
        self._screen: ScreenInfo | None = None
        self._frame: CardFrame | None = None
        self._before: CardFrame | None = None
        self._covered = True
        self._left = 0.0  # of the fade
        self._fade = Fade(self._on_fade, FADE_MS)

    @property
    def frame(self) -> CardFrame | None:
        """What is shown, None while it is covered or there is nothing yet."""
        return None if self._covered else self._frame

    @property
    def is_home(self) -> bool:
        """Whether all of it lies on the screen it was put on."""
        if self._screen is None:
            return False
        edge = ROUNDING_PX
        return self._screen.rect.adjusted(-edge, -edge, edge, edge).contains(self.geometry())

    def show_on(self, screen: ScreenInfo, *, covered: bool) -> None:
        """Show it on a screen; ``covered``: as plain paper."""
        if covered != self._covered:
            self._covered = covered
            self._end_fade()
            self._tell()
            self.update()
        if screen != self._screen or not self.isVisible():
            self.hide()
            self._screen = screen
            show_overlay(self, screen, screen.rect)

    def put_away(self) -> None:
        """Take it off its screen at once; it comes back covered."""
        self.hide()
        self._covered = True
        self._tell()

    def show_desk(self, desk: DeskFrame | None) -> None:
        """Show what the Desk shows now, None for nothing; the same words paint nothing."""
        old, new = self._frame, None if desk is None else card_frame(desk)
        if new == old:
            return
        self._frame = new
        if old is None or new is None or old.spoken != new.spoken:
            self._tell()
        if old is None or new is None or self._covered or not self.isVisible():
            self._end_fade()
            self.update()
            return
        if (old.level, old.stage == "paused") != (new.level, new.stage == "paused"):
            self._begin_fade(old)
        if self._before is not None:
            self.update()
            return
        for rect in changed_card_area(old, new, self.size()):
            self.update(rect)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the part that is asked for."""
        self.paints += 1
        frame = self.frame
        with QPainter(self) as painter:
            painter.setClipRect(event.rect())
            if frame is None or not self.is_home:
                painter.fillRect(self.rect(), theme.PAPER)
                return
            paint_card(painter, self.size(), frame, self._before, 1 - self._left)

    def hideEvent(self, event: QHideEvent) -> None:
        """What it showed last is not seen again when it comes back."""
        super().hideEvent(event)
        self._end_fade()

    def _tell(self) -> None:
        frame = self.frame
        self.setAccessibleDescription("" if frame is None else frame.spoken)

    def _begin_fade(self, old: CardFrame) -> None:
        self._end_fade()
        if not self.reduced_motion:
            self._before, self._left = old, 1.0
            self._fade.start()

    def _end_fade(self) -> None:
        self._fade.stop()
        self._before, self._left = None, 0.0

    def _on_fade(self, left: float) -> None:
        self._left = left
        if left <= 0:
            self._before = None
        self.update()
