"""The Wall on the projector: full screen, or a strip over other programs that never takes the keyboard."""

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QRegion
from PySide6.QtWidgets import QWidget

from pacer.frames.wall import WallFrame
from pacer.qt.screens import ScreenInfo, find_screen
from pacer.qt.wall_painter import changed_area, paint_wall
from pacer.text import _, ngettext

STRIP_PARTS = 11  # the strip is one eleventh of the height, about 9 %


class WallCanvas(QWidget):
    """Paints a WallFrame, and again only what changed."""

    def __init__(self) -> None:
        super().__init__()
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAttribute(Qt.WidgetAttribute.WA_ShowWithoutActivating)
        self.setCursor(Qt.CursorShape.BlankCursor)
        self.setAccessibleName(_("Wall"))
        self._frame = WallFrame("off")
        self.paints = 0

    @property
    def frame(self) -> WallFrame:
        """The frame shown now."""
        return self._frame

    def show_frame(self, frame: WallFrame) -> None:
        """Show another frame; an equal one paints nothing."""
        if frame == self._frame:
            return
        area = QRegion()
        for rect in changed_area(self._frame, frame, self.size()):
            area += rect
        words = spoken(frame)
        if words != spoken(self._frame):
            self.setAccessibleDescription(words)
        self._frame = frame
        self.update(area)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the part that is asked for."""
        self.paints += 1
        with QPainter(self) as painter:
            paint_wall(painter, self.rect(), self._frame, area=event.region())


class StripCanvas(WallCanvas):
    """The same in a strip that floats above other programs: no focus, no clicks."""

    def __init__(self) -> None:
        super().__init__()
        self.setWindowFlags(
            Qt.WindowType.Tool
            | Qt.WindowType.FramelessWindowHint
            | Qt.WindowType.WindowStaysOnTopHint
            | Qt.WindowType.WindowDoesNotAcceptFocus
            | Qt.WindowType.WindowTransparentForInput
            # A window manager could still focus or move a managed window; this one it leaves alone.
            | Qt.WindowType.X11BypassWindowManagerHint
        )
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAccessibleName(_("Wall strip"))


class Wall:
    """The two windows of the Wall. Each is made once, and shown or hidden as the frame's face says."""

    def __init__(self) -> None:
        self.full = WallCanvas()
        self.full.setWindowTitle(_("Wall"))
        self.full.setWindowFlags(Qt.WindowType.Window | Qt.WindowType.FramelessWindowHint)
        self.strip = StripCanvas()
        self.strip.setWindowTitle(_("Wall strip"))
        self._screen: ScreenInfo | None = None
        self._takes_keys = False

    def place(self, screen: ScreenInfo | None, *, takes_keys: bool = False) -> None:
        """Choose the screen; None keeps the Wall hidden. ``takes_keys``: it is the only window."""
        self._screen = screen
        self._takes_keys = takes_keys
        # Beside a Desk the Wall must leave the keyboard there, also when somebody clicks on it.
        self.full.setWindowFlag(Qt.WindowType.WindowDoesNotAcceptFocus, not takes_keys)
        self.full.setAttribute(Qt.WidgetAttribute.WA_ShowWithoutActivating, not takes_keys)
        if screen is None:
            self.hide()
            return
        target = find_screen(screen)
        if target is None:
            self.hide()
            return
        for window in (self.full, self.strip):
            window.setScreen(target)
        self.full.setGeometry(screen.rect)
        self.strip.setGeometry(strip_rect(screen.rect))

    @property
    def screen(self) -> ScreenInfo | None:
        """The screen the Wall was placed on."""
        return self._screen

    def show_frame(self, frame: WallFrame) -> None:
        """Show a frame on the window its face belongs to."""
        if self._screen is None:
            return
        off = frame.face == "off"
        window, other = (self.strip, self.full) if frame.shape == "strip" else (self.full, self.strip)
        window.show_frame(frame)
        if not off and not window.isVisible():
            if window is self.full:
                # Not showFullScreen: that also asks for the keyboard.
                window.setWindowState(Qt.WindowState.WindowFullScreen)
            window.show()
            if self._takes_keys:
                self.full.activateWindow()
        if off:
            window.hide()
        other.hide()

    def hide(self) -> None:
        """Take the Wall off its screen."""
        self.full.hide()
        self.strip.hide()

    def close(self) -> None:
        """Close both windows for good."""
        self.full.close()
        self.strip.close()


def strip_rect(screen: QRect) -> QRect:
    """The strip along the lower edge of a screen."""
    height = round(screen.height() / STRIP_PARTS)
    return QRect(screen.left(), screen.bottom() - height + 1, screen.width(), height)


def spoken(frame: WallFrame) -> str:
    """The frame in words, for a screen reader."""
    parts = [frame.title, frame.line, frame.second_line, frame.note]
    if frame.digits is not None and not frame.over:
        # In minutes: a screen reader should not hear every second.
        minutes = frame.full + (frame.fourths > 0)
        parts.append(ngettext("{n} minute left", "{n} minutes left", minutes).format(n=minutes))
    if frame.next_title:
        parts.append(_("Next: {title}").format(title=frame.next_title))
    return ". ".join(part for part in parts if part)
