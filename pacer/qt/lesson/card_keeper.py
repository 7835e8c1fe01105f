"""Keeps the Desk card: makes it when it is first wanted, shows it as it is planned, hears if it is moved."""

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from pacer.qt.screens.present import ScreenInfo
from pacer.qt.screens.private_window import MainWindow
from pacer.qt.screens.watch import WindowWatch
from pacer.run.room_plan import DeskCard

if TYPE_CHECKING:
    from pacer.frames.desk import DeskFrame
    from pacer.qt.lesson.card_window import CardWindow


class CardKeeper(QObject):
    """``window`` is None until a lesson has a Desk card: nothing of it is loaded where none was chosen.

    ``lost`` comes when the system put the card anywhere else than on its screen; it is out of sight by then.
    """

    lost = Signal()

    def __init__(self, private: MainWindow, parent: QObject) -> None:
        super().__init__(parent)
        self._private = private
        self.window: CardWindow | None = None
        self._moves: WindowWatch | None = None
        self._desk: DeskFrame | None = None
        self._reduced_motion = False

    @property
    def reduced_motion(self) -> bool:
        """Whether fades are left out."""
        return self._reduced_motion

    @reduced_motion.setter
    def reduced_motion(self, reduced: bool) -> None:
        self._reduced_motion = reduced
        if self.window is not None:
            self.window.reduced_motion = reduced

    def show_desk(self, frame: "DeskFrame | None") -> None:
        """Show what the Desk shows, None for nothing."""
        self._desk = frame
        if self.window is not None:
            self.window.show_desk(frame)

    def carry_out(self, planned: DeskCard, screen: ScreenInfo | None) -> None:
        """Show the card on its screen, open or as plain paper, or take it away."""
        if planned == "none" or screen is None:
            self.put_away()
            return
        window = self.window or self._make()
        window.show_on(screen, covered=planned == "paper")
        assert self._moves is not None
        self._moves.follow()

    def put_away(self) -> None:
        """Take the card off its screen, if it is there."""
        if self.window is not None:
            self.window.put_away()

    def _make(self) -> "CardWindow":
        from pacer.qt.lesson.card_window import CardWindow

        window = self.window = CardWindow(self._private)
        window.reduced_motion = self._reduced_motion
        window.show_desk(self._desk)
        self._moves = WindowWatch(window, window.placed, self)
        self._moves.moved.connect(self._on_moved)
        return window

    def _on_moved(self) -> None:
        window = self.window
        if window is not None and window.isVisible() and not window.is_home:
            window.put_away()
            self.lost.emit()
