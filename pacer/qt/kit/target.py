"""A large calm button for a mouse or a finger, in the paper and ink of the window that it lies on."""

from collections.abc import Iterable

from PySide6.QtCore import QEvent, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QAbstractButton, QApplication, QWidget

from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import draw_setting, fit

LEAST_PX = 60
LEAST_MM = 15.0
GAP = 8
PAD = 10
LARGEST_SHARE = 0.12  # of the window's height: a screen may tell a size that it does not have
MM_PER_INCH = 25.4
TEXT_PX = (14, 34)


def least_height(window: QWidget) -> int:
    """How high a target must be there, in logical pixels: 15 mm by what its screen tells, but 60 at least."""
    screen = window.screen()
    told = 0.0 if screen is None else screen.physicalDotsPerInchY() * LEAST_MM / MM_PER_INCH
    return round(max(LEAST_PX, min(told, window.height() * LARGEST_SHARE)))


class Target(QAbstractButton):
    """Takes no keyboard; ``when_ms`` are the times that the events of its last press and release carry."""

    def __init__(self, parent: QWidget, paper: QColor, ink: QColor) -> None:
        super().__init__(parent)
        self._paper, self._ink = paper, ink
        self.text_px = TEXT_PX[1]
        self.when_ms = (0, 0)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setMouseTracking(True)

    def largest_text(self) -> int:
        """The size in which its words fit."""
        return fit(self.text(), *self._room(), TEXT_PX[1], TEXT_PX[0], theme.SEMIBOLD, 2).px

    def sizeHint(self) -> QSize:
        """Wide enough for a few words."""
        return QSize(6 * LEAST_PX, LEAST_PX)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Note when; a finger comes as a mouse."""
        self.when_ms = (event.timestamp(), 0)
        super().mousePressEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self.when_ms = (self.when_ms[0], event.timestamp())
        super().mouseReleaseEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paper within a line of ink, tinted while it is pressed."""
        with QPainter(self) as painter:
            painter.fillRect(self.rect(), self._paper)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(self._ink, 2))
            painter.setBrush(theme.CLOSING if self.isDown() else self._paper)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), 8, 8)
            painter.setPen(Qt.PenStyle.NoPen)
            made = fit(self.text(), *self._room(), self.text_px, self.text_px, theme.SEMIBOLD, 2)
            top = (self.height() - made.height) / 2
            draw_setting(painter, QRectF(0, top, self.width(), made.height), made, self._ink, "centre")

    def _room(self) -> tuple[float, float]:
        return max(1.0, self.width() - 2.0 * PAD), max(1.0, self.height() - PAD)


def same_text(targets: Iterable[Target]) -> None:
    """Give targets that lie together one size of words, the largest in which all of them fit."""
    together = tuple(targets)
    for target in together:
        target.text_px = min(other.largest_text() for other in together)
        target.update()


def press_key(on: QWidget, name: str, when_ms: tuple[int, int] = (0, 0)) -> None:
    """Send the press and the release of a key to a window, with their times; 0 where none is known."""
    plain = name.removeprefix("Ctrl+")
    held = Qt.KeyboardModifier.NoModifier if plain == name else Qt.KeyboardModifier.ControlModifier
    for kind, at_ms in zip((QEvent.Type.KeyPress, QEvent.Type.KeyRelease), when_ms, strict=True):
        event = QKeyEvent(kind, int(getattr(Qt.Key, f"Key_{plain}")), held)
        event.setTimestamp(at_ms)
        QApplication.sendEvent(on, event)
