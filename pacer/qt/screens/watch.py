"""Hears of every screen change and of every move of a window, as it happens and once it has settled."""

from PySide6.QtCore import QEvent, QObject, Signal, SignalInstance
from PySide6.QtGui import QGuiApplication, QScreen
from PySide6.QtWidgets import QWidget

from pacer.qt.kit.ticker import single_shot
from pacer.qt.kit.widgets import application
from pacer.qt.screens.present import ScreenInfo

SETTLED_MS = 250  # one pulled cable is told in several pieces
EDGE_PX = 16  # a maximized window may reach over its screen by its frame


class ScreenWatch(QObject):
    """``changed`` comes with every piece of a screen change, inside Qt's own signal; ``settled`` once after.

    Heard are screens that come, go, move or change in size or scale, and another primary screen; not the
    panel of a desktop, which changes what is free of a screen and nothing of what is seen.
    """

    changed = Signal()
    settled = Signal()

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._timer = single_shot(self, SETTLED_MS, self.settled.emit)
        application().screenAdded.connect(self._on_added)
        application().screenRemoved.connect(self.changed)
        application().primaryScreenChanged.connect(self.changed)
        for screen in QGuiApplication.screens():
            self._listen(screen)

    def expect(self) -> None:
        """Let ``settled`` come once nothing more has changed for a while."""
        self._timer.start()

    def settle_now(self) -> None:
        """Do not wait any longer, if a change is still settling."""
        if self._timer.isActive():
            self._timer.stop()
            self.settled.emit()

    def _listen(self, screen: QScreen) -> None:
        screen.geometryChanged.connect(self.changed)
        screen.logicalDotsPerInchChanged.connect(self.changed)
        screen.virtualGeometryChanged.connect(self.changed)

    def _on_added(self, screen: QScreen) -> None:
        self._listen(screen)
        self.changed.emit()


class WindowWatch(QObject):
    """``moved`` comes when a window is moved, resized or put on another screen, before its next paint.

    ``placed`` is the window's own word of it. ``exposed``: also when the system takes a shown window away, as
    for showing the desktop.
    """

    moved = Signal()

    def __init__(
        self, window: QWidget, placed: SignalInstance, parent: QObject, *, exposed: bool = False
    ) -> None:
        super().__init__(parent)
        self._window = window
        self._exposed = exposed
        self._followed: QObject | None = None
        placed.connect(self.moved)

    def follow(self) -> None:
        """Hear of other screens, too; a window has a handle for that once it was shown."""
        handle = self._window.windowHandle()
        if handle is not None and handle is not self._followed:
            self._followed = handle
            if self._exposed:
                handle.installEventFilter(self)
            handle.screenChanged.connect(self.moved)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """Look only; nothing is taken away."""
        if event.type() == QEvent.Type.Expose:
            self.moved.emit()
        return False


def lies_on(window: QWidget, screen: ScreenInfo) -> bool:
    """Whether a part of a window is on a screen. Wayland tells no places, only which screen is a window's."""
    if QGuiApplication.platformName().startswith("wayland"):
        return window.screen() is not None and window.screen().geometry() == screen.rect
    inner = screen.rect.adjusted(EDGE_PX, EDGE_PX, -EDGE_PX, -EDGE_PX)
    return window.frameGeometry().intersects(inner)
