"""The dialogs over the private window: covered with it, wherever they are, and uncovered with it."""

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent
from PySide6.QtWidgets import QApplication, QFileDialog, QToolTip, QWidget

from pacer.qt.screens.curtain import Curtain, close_popups
from pacer.qt.screens.private_window import MainWindow
from pacer.text import _

ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class Cover(Curtain):
    """A curtain over one dialog. ``confirmed`` comes with Enter; no other key goes through it."""

    confirmed = Signal()

    def __init__(self, dialog: QWidget) -> None:
        super().__init__()
        self._dialog, self._had = dialog, dialog.focusWidget()
        self._title = dialog.windowTitle()  # it may name a lesson or a day, and stands above what is covered
        dialog.setWindowTitle(_("Pacer"))
        self.setParent(dialog)

    def event(self, event: QEvent) -> bool:
        """The buttons below have keys of their own, which rest."""
        if event.type() == QEvent.Type.ShortcutOverride:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter is told; a key that is held down lifts nothing."""
        if event.key() in ENTER and not event.isAutoRepeat():
            self.confirmed.emit()

    def give_back(self) -> None:
        """Uncover the dialog, its name too."""
        self._dialog.setWindowTitle(self._title)
        self.hide()
        self.deleteLater()

    def focusNextPrevChild(self, _forward: bool) -> bool:
        """Stay: what is below is not for now."""
        return False

    def hideEvent(self, event: QHideEvent) -> None:
        """Give the keyboard back to where it was."""
        super().hideEvent(event)
        if self._had is not None and not event.spontaneous() and self._dialog.isVisible():
            self._had.setFocus()


class PrivateDialogs(QObject):
    """Hears of every dialog over a window before it is seen; ``moved`` comes when one came or moved.

    ``confirmed`` comes with Enter on a covered one.
    """

    moved = Signal()
    confirmed = Signal()

    def __init__(self, window: MainWindow, parent: QObject) -> None:
        super().__init__(parent)
        self._window = window
        self._covers: dict[QWidget, Cover | None] = {}
        self._handle: QObject | None = None
        window.placed.connect(self._follow)
        self._follow()
        self._take_in(QApplication.activeModalWidget())  # it may have come before whoever asks for this

    @property
    def open(self) -> list[QWidget]:
        """The dialogs that are open, the first one first."""
        return list(self._covers)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Look only; nothing is taken away."""
        kind = event.type()
        if kind == QEvent.Type.WindowBlocked:
            self._take_in(QApplication.activeModalWidget())
        elif isinstance(watched, QWidget) and watched in self._covers:
            if kind == QEvent.Type.Hide and not event.spontaneous():
                self._let_go(watched)
            elif kind in (QEvent.Type.Move, QEvent.Type.Resize):
                cover = self._covers[watched]
                if cover is not None:
                    cover.resize(watched.size())
                self.moved.emit()
        return False

    def _follow(self) -> None:
        """The window's handle hears of what blocks it, and of no paint; there is one once it was shown."""
        handle = self._window.windowHandle()
        if handle is not None and handle is not self._handle:
            self._handle = handle
            handle.installEventFilter(self)

    def cover(self, words: str) -> None:
        """Cover all of them before the next paint; what the system paints itself is closed instead."""
        close_popups()
        QToolTip.hideText()
        for dialog, cover in list(self._covers.items()):
            if isinstance(dialog, QFileDialog) and dialog.testAttribute(
                Qt.WidgetAttribute.WA_DontShowOnScreen
            ):
                dialog.reject()
                continue
            if cover is None:
                self._window.held_keys.rest()
                cover = self._covers[dialog] = Cover(dialog)
                cover.confirmed.connect(self.confirmed)
                cover.resize(dialog.size())
                cover.show()
                cover.raise_()
            cover.say(words)

    def hold(self) -> None:
        """Give covered ones the keyboard: with a page that is out of sight the dialogs over it rest, too."""
        for dialog, cover in self._covers.items():
            if cover is not None:
                dialog.setEnabled(True)
                cover.setFocus()

    def uncover(self) -> None:
        for dialog, cover in self._covers.items():
            if cover is not None:
                self._window.held_keys.rest()
                cover.give_back()
                self._covers[dialog] = None

    def _take_in(self, dialog: QWidget | None) -> None:
        if dialog is not None and dialog is not self._window and dialog not in self._covers:
            self._window.held_keys.rest()
            self._covers[dialog] = None
            dialog.installEventFilter(self)
            self.moved.emit()

    def _let_go(self, dialog: QWidget) -> None:
        """A dialog that is closed is soon gone."""
        self._window.held_keys.rest()
        cover = self._covers.pop(dialog)
        dialog.removeEventFilter(self)
        if cover is not None:
            cover.give_back()
