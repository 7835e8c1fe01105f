"""A small window that says why the program can't open: who starts it by its icon sees no terminal."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication, QShortcut
from PySide6.QtWidgets import QApplication, QWidget

from pacer.qt.kit.rows import column_of
from pacer.qt.kit.style import wear
from pacer.qt.kit.widgets import button, label
from pacer.text import _
from pacer.verbs.console import complain

WIDTH = 560
UNSEEN = ("offscreen", "minimal")  # Qt's platforms where nobody could close the window


class NoteWindow(QWidget):
    """One paragraph and a button; Enter and Escape close it."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.setWindowTitle(_("Pacer"))
        self.setAccessibleName(_("Pacer can't open"))
        self.setAccessibleDescription(text)
        self.words = label(text, "large", wrap=True)
        self.close_button = button(_("Close"), self.close)
        parts = self.words, (self.close_button, 0, Qt.AlignmentFlag.AlignRight)
        column_of(*parts, gap=20, inside=self, margins=(36, 28, 36, 28))
        wear(self)
        self.setFixedSize(WIDTH, max(self.minimumSizeHint().height(), self.heightForWidth(WIDTH)))
        self.close_button.setFocus()
        for keys in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Escape):
            QShortcut(keys, self, self.close)


def tell(application: QApplication, text: str) -> None:
    """Say it on the terminal and, where there is a screen, in a window until that is closed."""
    complain(text)
    if QGuiApplication.platformName() in UNSEEN:
        return
    note = NoteWindow(text)
    note.show()
    application.exec()
