"""The Desk card: the private state alone on a third, small screen, which nobody but the teacher looks at."""

from dataclasses import replace

from PySide6.QtCore import QRect, QRectF, QSize, Qt, QVariantAnimation
from PySide6.QtGui import QHideEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from pacer.frames.desk import DeskFrame
from pacer.frames.desk_card import CardFrame, card_frame
from pacer.qt.desk.card_layout import CardLayout, card_layout, edge_px
from pacer.qt.desk.layout import reach
from pacer.qt.desk.painter import CELL_SPILL, PLUM_ENOUGH, area_brush
from pacer.qt.desk.window import FADE_MS
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import draw_cell, draw_setting
from pacer.qt.screens.number_cards import make_overlay, show_overlay
from pacer.qt.screens.present import ScreenInfo
from pacer.qt.screens.watch import EDGE_PX
from pacer.text import _


class CardWindow(QWidget):
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
        self._fade = QVariantAnimation(self)
        self._fade.setStartValue(0.0)
        self._fade.setEndValue(1.0)
        self._fade.setDuration(FADE_MS)
        self._fade.valueChanged.connect(self._on_fade)

    @property
    def frame(self) -> CardFrame | None:
        """What is shown, None while it is covered or there is nothing yet."""
        return None if self._covered else self._frame

    @property
    def is_home(self) -> bool:
        """Whether all of it lies on the screen it was put on."""
        if self._screen is None:
            return False
        edge = EDGE_PX  # systems round the places of scaled screens
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
            fade = 1.0 if self._before is None else float(self._fade.currentValue())
            paint_card(painter, self.size(), frame, self._before, fade)

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
            self._before = old
            self._fade.start()

    def _end_fade(self) -> None:
        self._fade.stop()
        self._before = None

    def _on_fade(self, value: float) -> None:
        if value >= 1.0:
            self._before = None
        self.update()


def changed_card_area(old: CardFrame, new: CardFrame, size: QSize) -> list[QRect]:
    """What to paint again: the digits that changed, or everything."""
    before, after = card_layout(old, size), card_layout(new, size)
    same = replace(old, number="", spoken="") == replace(new, number="", spoken="")
    if not same or before.cells != after.cells or len(before.number) != len(after.number):
        return [QRect(0, 0, size.width(), size.height())]
    pairs = zip(before.number, after.number, strict=True)
    return [reach(now[0], CELL_SPILL) for was, now in pairs if was != now]


def paint_card(
    painter: QPainter, size: QSize, frame: CardFrame, before: CardFrame | None = None, fade: float = 1.0
) -> None:
    """Paint a frame. ``fade``, 0 to 1, is how far the state's area has changed from that of ``before``."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillRect(QRect(0, 0, size.width(), size.height()), theme.DESK_PAPER)
    made = card_layout(frame, size)
    if before is not None and fade < 1:
        _paint_area(painter, before, card_layout(before, size), size)
        painter.setOpacity(fade)
        painter.fillRect(made.inside, theme.DESK_PAPER)
    _paint_area(painter, frame, made, size)
    painter.setOpacity(1)
    was_plum = before is not None and before.level >= 3
    plum = (fade if frame.level >= 3 else 0.0) + (1 - fade if was_plum else 0.0)
    ink = theme.ON_PLUM if plum >= PLUM_ENOUGH else theme.DESK_INK
    draw_setting(painter, *made.word, ink)
    if made.cells is not None:
        number_ink = theme.SECONDARY if frame.stage == "paused" else ink
        for box, char in made.number:
            draw_cell(painter, box, char, made.cells.px, theme.BOLD, number_ink)
    if made.until is not None:
        draw_setting(painter, *made.until, ink)


def _paint_area(painter: QPainter, frame: CardFrame, made: CardLayout, size: QSize) -> None:
    if frame.level > 0:
        painter.setBrushOrigin(0, 0)
        painter.fillRect(made.area, area_brush(frame.level, size.height() * 2))
        if frame.level < 3:
            line = QRectF(made.area.left(), made.area.top(), made.area.width(), max(2, size.height() // 160))
            painter.fillRect(line, theme.OUTLINE)
    if frame.stage == "paused":
        # Hatched all round: standing still looks unlike Steady even where the word is not read.
        wide = edge_px(size) * 2.0
        painter.setPen(QPen(theme.stripes(theme.OUTLINE, theme.DESK_PAPER, wide / 2), wide))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        whole, half = QRectF(0, 0, size.width(), size.height()), wide / 2
        painter.drawRect(whole.adjusted(half, half, -half, -half))
