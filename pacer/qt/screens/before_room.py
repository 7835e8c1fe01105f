"""Keeps the private window covered from before its first frame on, until the room of a lesson is there."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import QObject, Qt, Signal

from pacer.qt.screens.class_screen import are_several, is_teachers_own
from pacer.qt.screens.private_window import MainWindow
from pacer.qt.screens.watch import ScreenWatch
from pacer.settings.screen_choice import KnownRoom


class BeforeRoom(QObject):
    """Draws the curtain where the class may see the window; the room takes it over.

    ``rooms`` gives the remembered rooms. ``room_wanted`` comes when the room, which imports the Wall, is to
    be made. From ``begin`` on, until ``end`` says that it is there, a change of screens covers the window at
    once, and its dialogs with the room that is made then.
    """

    room_wanted = Signal()

    def __init__(self, window: MainWindow, rooms: Callable[[], Sequence[KnownRoom]], parent: QObject) -> None:
        super().__init__(parent)
        self._window, self._rooms = window, rooms
        self._is_over = False

    def begin(self) -> None:
        """Cover the window that is about to be shown, before its first pixel is seen."""
        self._cover()
        ScreenWatch(self).changed.connect(self._on_changed)

    def end(self) -> None:
        """The room is there and watches the screens itself."""
        self._is_over = True

    def _cover(self) -> None:
        """Draw the curtain, unless nobody but the teacher sees the only screen.

        With several screens nobody knows yet where the window will stand, and all that can be said is "One
        moment": that much is drawn, and the room is made once it is seen.
        """
        if are_several():
            from pacer.qt.screens.first_cover import cover_unseen

            cover_unseen(self._window).painted.connect(self._on_painted, Qt.ConnectionType.QueuedConnection)
        elif not is_teachers_own(self._rooms()):
            self.room_wanted.emit()

    def _on_painted(self) -> None:
        if self._window.isVisible():
            self.room_wanted.emit()

    def _on_changed(self) -> None:
        if not (self._is_over or self._window.shows_curtain):
            self._cover()
            self._on_painted()
