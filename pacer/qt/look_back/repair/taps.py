"""What is said in one tap after school: how phases ended, and why they took longer."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from pacer.frames.coach_lines import reason_words
from pacer.frames.repair_words import REASONS, Over, Unsaid
from pacer.qt.kit.flow import Flow
from pacer.qt.kit.widgets import button, label, named
from pacer.text import _

_WORDS_PX = 320


class UnsaidEndings(QWidget):
    """A question with two buttons for every unsaid ending. ``said`` carries the phase and the ending.

    ``answered``: the last of them was answered by the keyboard, which needs another place.
    """

    said = Signal(int, str)
    answered = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Endings that nobody named"))
        self.buttons: list[tuple[QPushButton, QPushButton]] = []
        self._shown: tuple[Unsaid, ...] = ()
        self._rows: list[QWidget] = []
        self._column = rows_in(self)

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
            pair = (
                self._button(each, _("Done"), "done"),
                self._button(each, _("Moved on"), "moved on"),
            )
            self.buttons.append(pair)
            words.setMinimumWidth(min(wide, _WORDS_PX))
            parts = [words, *pair]
            if each.guess:
                parts.append(label(each.guess, "quiet"))
            row = Flow(*parts)
            self._rows.append(row)
            self._column.addWidget(row)

    def _button(self, each: Unsaid, words: str, ending: str) -> QPushButton:
        made = button(words, self._on_button, "chip")
        made.setProperty("phase", each.phase)
        made.setProperty("ending", ending)
        named(made, _("{question} {answer}").format(question=each.question, answer=words))
        return made

    def _on_button(self) -> None:
        pressed = self.sender()
        if isinstance(pressed, QPushButton):
            self.said.emit(pressed.property("phase"), pressed.property("ending"))


class Reasons(QWidget):
    """Chips beside every phase that ran over. ``said`` carries phase and reason; empty takes it away."""

    said = Signal(int, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Why phases ran over"))
        self.chips: dict[tuple[int, str], QPushButton] = {}
        self._shown: tuple[tuple[int, str], ...] = ()
        self._given: dict[int, str] = {}
        self._rows: list[QWidget] = []
        self._column = rows_in(self)

    def show_phases(self, phases: tuple[Over, ...], *, enabled: bool) -> None:
        """Show the phases with the reasons that were given."""
        held = next((key for key, chip in self.chips.items() if chip.hasFocus()), None)
        shown = tuple((each.phase, each.words) for each in phases)
        if shown != self._shown:
            self._make(phases)
            self._shown = shown
            if held in self.chips:
                self.chips[held].setFocus()
        self._given = {each.phase: each.reason for each in phases}
        for (phase, reason), chip in self.chips.items():
            chip.setChecked(self._given[phase] == reason)
            chip.setEnabled(enabled)
        self.setVisible(bool(phases))

    def _make(self, phases: tuple[Over, ...]) -> None:
        clear_rows(self._column, self._rows)
        self.chips = {}
        for each in phases:
            made = [self._chip(each, reason) for reason in REASONS]
            row = Flow(label(each.words, bold=True), *made)
            self._rows.append(row)
            self._column.addWidget(row)

    def _chip(self, each: Over, reason: str) -> QPushButton:
        made = button(reason_words(reason), self._on_chip, "chip")
        made.setCheckable(True)
        made.setProperty("phase", each.phase)
        made.setProperty("reason", reason)
        named(made, _("{phase}: {reason}").format(phase=each.words, reason=reason_words(reason)))
        self.chips[each.phase, reason] = made
        return made

    def _on_chip(self) -> None:
        chip = self.sender()
        if isinstance(chip, QPushButton):
            phase, reason = chip.property("phase"), chip.property("reason")
            given = self._given.get(phase, "")
            chip.setChecked(given == reason)  # true until it is written
            self.said.emit(phase, "" if given == reason else reason)


def rows_in(parent: QWidget) -> QVBoxLayout:
    """A column for rows of chips."""
    made = QVBoxLayout(parent)
    made.setContentsMargins(0, 0, 0, 0)
    made.setSpacing(6)
    return made


def clear_rows(column: QVBoxLayout, rows: list[QWidget]) -> None:
    """Take rows out; one of them may be the sender of what is going on, so they go later."""
    for row in rows:
        column.removeWidget(row)
        row.hide()
        row.deleteLater()
    rows.clear()
