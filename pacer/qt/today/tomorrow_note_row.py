"""The note for tomorrow, shown on Today beside the lesson, with a tick that ends it."""

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QCheckBox, QWidget

from pacer.qt.kit.rows import TOP, row_of
from pacer.qt.kit.widgets import label, named
from pacer.text import _


class TomorrowNoteRow(QWidget):
    """The words and the tick, hidden while there is nothing. ``ticked`` carries whether it is done now."""

    ticked = Signal(bool)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("One thing tomorrow"))
        self.words = label("", bold=True, wrap=True)
        self.done = QCheckBox(_("Done"))
        self.done.setToolTip(_("It is shown no more"))
        self.done.clicked.connect(self.ticked)
        row_of((self.words, 1), (self.done, 0, TOP), gap=12, inside=self)
        self.hide()

    def show_note(self, words: str) -> None:
        """Show another note, not done yet; empty words hide the row."""
        self.words.setText(words)
        self.tick(False)
        named(self.done, _("Done: {thing}").format(thing=words))
        self.setVisible(bool(words))

    def tick(self, done: bool) -> None:
        """Show whether it is done, as it was written."""
        with QSignalBlocker(self.done):
            self.done.setChecked(done)
