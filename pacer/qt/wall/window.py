"""The Wall on the projector: full screen, or a strip over other programs that never takes the keyboard."""

from collections.abc import Iterator

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import (
    QCloseEvent,
    QGuiApplication,
    QHideEvent,
    QPainter,
    QPaintEvent,
    QRegion,
)

from pacer.frames.wall import PictureKey, WallFrame
from pacer.qt.kit.told import TellsPlace
from pacer.qt.screens.present import ScreenInfo, find_screen
from pacer.qt.wall.ahead import DrawnAhead
from pacer.qt.wall.fades import CalmChanges, Fade, is_digits_alone, loses_a_fourth
from pacer.qt.wall.fill import size_of_picture
from pacer.qt.wall.group_grid import size_of_sign
from pacer.qt.wall.layout import leaving_fourth, picture_places
from pacer.qt.wall.painter import changed_area, draw_ahead, paint_wall
from pacer.qt.wall.pictures import Pictures, no_picture
from pacer.qt.wall.strip import partner_words, strip_box
from pacer.run.events import Edge
from pacer.text import _, ngettext

SEEN_SHARE = 0.9  # of its screen; less is a Wall that somebody or something moved


class WallCanvas(TellsPlace):
    """Paints a WallFrame, and again only what changed.

    ``pictures`` hands out the pictures that the Wall shows; ``reduced_motion`` leaves fades out. It does not
    close at Alt+F4: ``close_asked`` comes instead, and it goes once ``may_close`` says so. ``placed`` comes
    when it is shown, moved, resized or minimized; ``take_key`` has its keys, and says which it took.
    """

    close_asked = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.may_close = False
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAttribute(Qt.WidgetAttribute.WA_ShowWithoutActivating)
        self.setCursor(Qt.CursorShape.BlankCursor)
        self.setAccessibleName(_("Wall"))
        self._frame = WallFrame("off")
        self.paints = 0
        self.pictures: Pictures = no_picture
        self.ahead = DrawnAhead()
        self.reduced_motion = False
        self._leaving = 0.0
        self._spoken = ""
        self._fade = Fade(self._on_fade)

    @property
    def frame(self) -> WallFrame:
        """The frame shown now."""
        return self._frame

    def show_frame(self, frame: WallFrame) -> None:
        """Show another frame; an equal one paints nothing."""
        if frame == self._frame:
            return
        self._end_fade()
        areas = changed_area(self._frame, frame, self.size())
        old, self._frame = self._frame, frame
        if not is_digits_alone(old, frame):
            words = spoken(frame)
            if words != self._spoken:
                self._spoken = words
                self.setAccessibleDescription(words)
            if not self.reduced_motion and self.isVisible() and loses_a_fourth(old, frame):
                self._leaving = 1.0
                self._fade.start()
        # At once: whatever else a press leads to does not keep the class waiting.
        if len(areas) == 1:
            self.repaint(areas[0])
        else:
            area = QRegion()
            for rect in areas:
                area += rect
            self.repaint(area)

    def draw_ahead(self, frame: WallFrame) -> Iterator[None]:
        """Draw the large words of a frame that a press may bring, one at each step."""
        yield from draw_ahead(frame, self.size(), self.devicePixelRatioF(), self.ahead)

    def picture_arrived(self, key: PictureKey) -> None:
        """Paint the place of a picture that came, or that turned out to be missing."""
        for place in picture_places(self._frame, self.size(), key):
            self.update(place)

    def picture_size(self, edge: Edge, lines: tuple[str, str] = ("", "")) -> QSize:
        """How large a picture is shown with the strip along an edge, in logical pixels.

        ``lines`` are what the class is to do in both languages, under the picture.
        """
        return size_of_picture(edge, self.size(), lines, self._frame.least_share)

    def sign_size(self) -> QSize:
        """How large a picture of a group or a place is at the most, in logical pixels."""
        return size_of_sign(self.size())

    def paintEvent(self, event: QPaintEvent) -> None:
        self.paints += 1
        with QPainter(self) as painter:
            # One rectangle at a time: within a clip of several, Qt wakes threads to fill them.
            for rect in event.region():  # type: ignore[attr-defined]  # not in the stubs
                paint_wall(
                    painter, self.rect(), self._frame,
                    leaving=self._leaving, area=rect, pictures=self.pictures, ahead=self.ahead,
                )  # fmt: skip

    def closeEvent(self, event: QCloseEvent) -> None:
        """Only the program takes the Wall away: to close it means to close Pacer."""
        if not self.may_close:
            self.close_asked.emit()
        event.setAccepted(self.may_close)

    def hideEvent(self, event: QHideEvent) -> None:
        """End the fade of a window that is hidden."""
        super().hideEvent(event)
        self._end_fade()

    def _on_fade(self, left: float) -> None:
        self._leaving = left
        self._update_leaving()

    def _end_fade(self) -> None:
        if self._leaving > 0:
            self._fade.stop()
            self._leaving = 0.0
            self._update_leaving()

    def _update_leaving(self) -> None:
        """Only the fourth that leaves is painted at a step of its fade."""
        box = leaving_fourth(self._frame, self.size())
        if box is not None:
            self.update(box.rect())


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
    """The two windows of the Wall. Each is made once, and shown or hidden as the frame's face says.

    Large changes keep a distance from each other, so that no keys can make the Wall flash.
    """

    def __init__(self) -> None:
        self.full = WallCanvas()
        self.full.setWindowTitle(_("Wall"))
        self.full.setWindowFlags(Qt.WindowType.Window | Qt.WindowType.FramelessWindowHint)
        self.strip = StripCanvas()
        self.strip.setWindowTitle(_("Wall strip"))
        self._screen: ScreenInfo | None = None
        self.takes_keys = False
        self._edge: Edge | None = "bottom"  # None while the strip's window covers the whole screen
        self.changes = CalmChanges(self._show)

    @property
    def reduced_motion(self) -> bool:
        """Whether fades are left out."""
        return self.full.reduced_motion

    @reduced_motion.setter
    def reduced_motion(self, reduced: bool) -> None:
        self.full.reduced_motion = self.strip.reduced_motion = reduced

    def place(self, screen: ScreenInfo | None, *, takes_keys: bool = False) -> None:
        """Choose the screen; None keeps the Wall hidden. ``takes_keys``: it is the only window."""
        self._screen = screen
        self.takes_keys = takes_keys
        self.changes.forget()
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
        self._edge = self._edge or "bottom"
        self.strip.setGeometry(strip_rect(screen.rect, self._edge))

    @property
    def screen(self) -> ScreenInfo | None:
        """The screen the Wall was placed on."""
        return self._screen

    def show_frame(self, frame: WallFrame) -> None:
        """Show a frame on the window its face belongs to, at once or as soon as it can't be a flash."""
        if self._screen is not None:
            self.changes.change(frame)

    def _show(self, frame: WallFrame) -> None:
        if self._screen is None:
            return
        if frame.face == "blank" and not self.takes_keys:
            self._cover(self._screen, frame)
            return
        off = frame.face == "off"
        window, other = (self.strip, self.full) if frame.shape == "strip" else (self.full, self.strip)
        if window is self.strip and frame.edge != self._edge:
            self._edge = frame.edge
            self.strip.setGeometry(strip_rect(self._screen.rect, frame.edge))
        window.show_frame(frame)
        if not off and not window.isVisible():
            if window is self.full:
                # Not showFullScreen: that also asks for the keyboard.
                window.setWindowState(Qt.WindowState.WindowFullScreen)
            window.show()
            if self.takes_keys:
                self.full.activateWindow()
        if off:
            window.hide()
        other.hide()

    def _cover(self, screen: ScreenInfo, frame: WallFrame) -> None:
        """Blank: the window that lies above all others covers the screen; the full Wall stays below it."""
        self._edge = None
        self.strip.setGeometry(screen.rect)
        self.strip.show_frame(frame)
        self.strip.show()

    @property
    def is_lost(self) -> bool:
        """Whether the full Wall is not where it should be seen: put away, or moved by the system."""
        if self._screen is None or not self.full.isVisible():
            return False
        handle = self.full.windowHandle()
        # Only X11 says that a shown desktop took a window away, and never so of one that another covers.
        away = QGuiApplication.platformName() == "xcb" and handle is not None and not handle.isExposed()
        if away or self.full.windowState() & Qt.WindowState.WindowMinimized:
            return True
        if QGuiApplication.platformName().startswith("wayland"):
            return False  # it tells no places
        seen, whole = self.full.geometry() & self._screen.rect, self._screen.rect
        return seen.width() * seen.height() < SEEN_SHARE * whole.width() * whole.height()

    def bring_back(self) -> None:
        """Show a lost full Wall anew on its screen: to a window manager it is a window that has just come."""
        target = None if self._screen is None else find_screen(self._screen)
        if self._screen is not None and target is not None:
            self.full.hide()
            self.full.setScreen(target)
            self.full.setWindowState(Qt.WindowState.WindowNoState)
            self.full.setGeometry(self._screen.rect)
            self.full.setWindowState(Qt.WindowState.WindowFullScreen)
            # While the desktop is shown only a window that asks to be used is; the keyboard it refuses still.
            quiet = Qt.WidgetAttribute.WA_ShowWithoutActivating
            self.full.setAttribute(quiet, False)
            handle = self.full.windowHandle()
            if handle is not None:
                handle.setProperty("_q_showWithoutActivating", False)  # Qt sets it and never takes it back
            self.full.show()
            self.full.setAttribute(quiet, not self.takes_keys)

    def hide(self) -> None:
        """Take the Wall off its screen."""
        self.changes.forget()
        self.full.hide()
        self.strip.hide()

    def close(self) -> None:
        """Close both windows for good."""
        self.changes.forget()
        for window in (self.full, self.strip):
            window.may_close = True
            window.close()


def strip_rect(screen: QRect, edge: Edge = "bottom") -> QRect:
    """The strip along an edge of a screen."""
    return strip_box(edge, screen.width(), screen.height()).rect().translated(screen.topLeft())


def spoken(frame: WallFrame) -> str:
    """The frame in words, for a screen reader."""
    if frame.face == "blank":
        return ""
    turn = partner_words(frame.turn) if frame.turn else ""
    parts = [frame.title, frame.problem, frame.line, frame.prompt, frame.second_line, turn, frame.note]
    if frame.digits is not None and not frame.over:
        # In minutes: a screen reader should not hear every second.
        minutes = frame.full + (frame.fourths > 0)
        parts.append(ngettext("{n} minute left", "{n} minutes left", minutes).format(n=minutes))
    for group in frame.groups:
        text = _("{name}: now {place}") if not group.goes_to else _("{name}: next {place}")
        if frame.moving:
            text = _("{name}: go to {place}")
        parts.append(text.format(name=group.name, place=group.goes_to or group.place))
    if frame.next_title:
        parts.append(_("Next: {title}").format(title=frame.next_title))
    return ". ".join(part for part in parts if part)
