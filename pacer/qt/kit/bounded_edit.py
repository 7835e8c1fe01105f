"""A field of several lines into which no book can be pasted: it would hold up every key."""

from PySide6.QtCore import QMimeData
from PySide6.QtWidgets import QPlainTextEdit, QToolTip

from pacer.plan.typed.read_typed import MOST_SIGNS
from pacer.text import _

SMALL = 1_000  # signs that may always be pasted, into a long text too


class BoundedEdit(QPlainTextEdit):
    """Plain text. What is pasted or dropped and too much stays out, and is told beside the cursor."""

    def insertFromMimeData(self, source: QMimeData) -> None:
        length = len(source.text())
        if length <= SMALL or length + self.document().characterCount() <= MOST_SIGNS:
            super().insertFromMimeData(source)
            return
        words = _("That is more text than a lesson has: nothing was put in. Copy the lines of one lesson.")
        QToolTip.showText(self.viewport().mapToGlobal(self.cursorRect().bottomLeft()), words, self)
