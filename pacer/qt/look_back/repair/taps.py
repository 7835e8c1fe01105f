"""What is said in one tap after school: how phases ended, and why they took longer."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QWidget

from pacer.frames.after_school.coach_lines import reason_words
from pacer.frames.after_school.repair_words import REASONS, Over, Unsaid
from pacer.qt.kit.flow import Flow
from pacer.qt.kit.rows import column_of
from pacer.qt.kit.widgets import button, label, named
from pacer.qt.look_back.chips import Asked, ChipRows, clear_rows
from pacer.text import _

_WORDS_PX = 320


class UnsaidEndings(QWidget):
    """A question with two buttons for every unsaid ending. ``said`` carries the phase and the ending.

    ``answered``: the last of them was answered by the keyboard, which needs another place.
    """

    said = Signal(int, str)
    answered = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Endings that nobody named"))
        self.buttons: list[tuple[QPushButton, QPushButton]] = []
        self._shown: tuple[Unsaid, ...] = ()
        self._rows: list[QWidget] = []
        self._column = column_of(gap=6, inside=self)

    def show_endings(self, endings: tuple[Unsaid, ...], *, enabled: bool) -> None:
        """Show the questions; where the keyboard was on one that is answered, it goes to the next."""
        at = next((n for n, pair in enumerate(self.buttons) if any(each.hasFocus() for each in pair)), -1)
        if endings != self._shown:
            self._make(endings)
            if at >= 0 and self.buttons:
                self.buttons[min(at, len(self.buttons) - 1)][0].setFocus()
            elif at >= 0:
                # Not on to what comes next: a second tap there would say something else.
                self.answered.emit()
        for pair in self.buttons:
            for each in pair:
                each.setEnabled(enabled)
        self.setVisible(bool(endings))

    def _make(self, endings: tuple[Unsaid, ...]) -> None:
        self._shown = endings
        clear_rows(self._column, self._rows)
        self.buttons = []
        questions = [label(each.question) for each in endings]
        wide = max((words.sizeHint().width() for words in questions), default=0)
        for each, words in zip(endings, questions, strict=True):
            pair = self._button(each, _("Done"), "done"), self._button(each, _("Moved on"), "moved on")
            self.buttons.append(pair)
            words.setMinimumWidth(min(wide, _WORDS_PX))
            guess = [label(each.guess, "quiet")] if each.guess else []
            row = Flow(words, *pair, *guess)
            self._rows.append(row)
            self._column.addWidget(row)

    def _button(self, each: Unsaid, words: str, ending: str) -> QPushButton:
        name = _("{question} {answer}").format(question=each.question, answer=words)
        chip = named(button(words, self._on_button, "chip"), name)
        chip.setProperty("phase", each.phase)
        chip.setProperty("ending", ending)
        return chip

    def _on_button(self) -> None:
        pressed = self.sender()
        if isinstance(pressed, QPushButton):
            self.said.emit(pressed.property("phase"), pressed.property("ending"))


class Reasons(ChipRows):
    """Why phases ran over."""

    def __init__(self) -> None:
        super().__init__(_("Why phases ran over"))

    def show_phases(self, phases: Sequence[Over], *, enabled: bool) -> None:
        self.show_asked([Asked(each.phase, each.words, each.reason) for each in phases], enabled=enabled)

    def _parts(self, asked: Asked) -> list[QWidget]:
        chips: list[QWidget] = []
        for reason in REASONS:
            words = reason_words(reason)
            name = _("{phase}: {reason}").format(phase=asked.words, reason=words)
            chips.append(self._chip(asked.key, reason, words, name))
        return [label(asked.words, bold=True), *chips]
