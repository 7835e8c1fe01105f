"""Fields of the repair: times, which keep text that can't be read, and endings, which ignore the wheel."""

from collections.abc import Callable

from PySide6.QtCore import QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QSizePolicy

from pacer.frames.after_school.repair_times import OddTimeError
from pacer.frames.words.wording import ending_words
from pacer.qt.kit.widgets import fill_choices, label, named, set_look, show_words
from pacer.run.events import Ending
from pacer.text import _

CORRECTIONS: tuple[Ending, ...] = ("done", "moved on", "bell", "interrupted")


class TimeField(QLineEdit):
    """A time as text. ``read`` makes lesson ms of it or raises OddTimeError, ``words`` says what it does.

    ``typed`` carries the border that it is of and the time when Enter is pressed or the focus leaves, once,
    and only where it is another than shown. What can't be read stays in the field, and ``note`` beside it
    says why.
    """

    typed = Signal(int, object)

    def __init__(self, border: int, read: Callable[[str], int], words: Callable[[int], str]) -> None:
        super().__init__()
        self.note = note()
        self._border, self._read, self._words = border, read, words
        self._shown, self._sent = "", ""
        self.textEdited.connect(self._on_edited)
        self.returnPressed.connect(self._on_return)
        self.editingFinished.connect(self.finish)

    @property
    def is_odd(self) -> bool:
        """Whether it holds what can't be read."""
        return self.note.property("role") == "notice" and not self.note.isHidden()

    def show_time(self, text: str) -> None:
        """Show the time in force; typed text that can't be read stays."""
        self._shown, self._sent = text, ""
        if not self.is_odd:
            self.setText(text)
            self._tell("")

    def forget(self) -> None:
        """Discard what was typed and show the time in force."""
        self.setText(self._shown)
        self._tell("")

    def _on_edited(self) -> None:
        """Tell what the typed time would do; what is half typed is no mistake yet."""
        self._sent = ""
        try:
            self._tell(self._words(self._read(self.text())) if self.text() != self._shown else "")
        except OddTimeError:
            self._tell("")

    def _on_return(self) -> None:
        self._sent = ""  # what could not be written is tried again

    def finish(self) -> None:
        text = self.text()
        if text == self._shown or not text.strip():
            self.forget()
            return
        if text == self._sent:
            return
        try:
            t_ms = self._read(text)
        except OddTimeError as error:
            self._tell(str(error), odd=True)
            return
        self._tell("")
        self._sent = text
        self.typed.emit(self._border, t_ms)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and (self.text() != self._shown or self.is_odd):
            self.forget()
            return
        super().keyPressEvent(event)

    def _tell(self, words: str, *, odd: bool = False) -> None:
        tell(self.note, words, odd=odd)
        self.setAccessibleDescription(words)


class ElidedLabel(QLabel):
    """A label that shortens its text where room is short; its tip has the whole text."""

    def __init__(self) -> None:
        super().__init__()
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def setText(self, text: str) -> None:
        super().setText(text)
        self.setToolTip(text)

    def minimumSizeHint(self) -> QSize:
        return QSize(60, super().minimumSizeHint().height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            words = self.fontMetrics().elidedText(self.text(), Qt.TextElideMode.ElideRight, self.width())
            start = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
            painter.drawText(self.rect(), start, words)


def note() -> QLabel:
    """A line for what belongs to a field, hidden while there is nothing to say."""
    line = label("", "quiet", wrap=True)
    line.hide()
    return line


def tell(line: QLabel, words: str, *, odd: bool = False) -> None:
    """Show words in a note, or hide it; ``odd`` marks what has to be put right."""
    set_look(line, "role", "notice" if odd else "quiet")
    show_words(line, words)


class EndingBox(QComboBox):
    """How a phase ended. ``chosen`` carries the phase and another ending than the one shown."""

    chosen = Signal(int, str)

    def __init__(self) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self._phase, self._ending = -1, ""
        self.activated.connect(self._on_activated)

    def show_ending(self, phase: int, title: str, ending: Ending) -> None:
        """Show how a phase ended; an ending outside CORRECTIONS is offered only while it holds."""
        named(self, _("How {phase} ended").format(phase=title))
        self._phase, self._ending = phase, ending
        offered = CORRECTIONS if ending in CORRECTIONS else (ending, *CORRECTIONS)
        fill_choices(self, ((ending_words(each), each) for each in offered), ending)

    def _on_activated(self) -> None:
        ending, shown = self.currentData(), self._ending
        if ending != shown:
            with QSignalBlocker(self):
                self.setCurrentIndex(self.findData(shown))  # true until it is written
            self.chosen.emit(self._phase, ending)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Leave the wheel to the page, which scrolls."""
        event.ignore()
