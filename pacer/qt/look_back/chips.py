"""Questions answered in one tap after school: a row of chips for each, one of them on at most."""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from pacer.qt.kit.flow import Flow
from pacer.qt.kit.rows import column_of
from pacer.qt.kit.widgets import button, named


@dataclass(frozen=True)
class Asked:
    """A question. ``answer``: the chip that is on; ``is_said``: the teacher said so herself."""

    key: Hashable
    words: str
    answer: str
    is_said: bool = True


class ChipRows(QWidget):
    """A row of chips for each question, one of them on at most.

    ``said`` carries the question's key and the answer tapped; empty takes back what was said.
    """

    said = Signal(object, str)

    gap_px = 8

    def __init__(self, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.chips: dict[tuple[Hashable, str], QPushButton] = {}
        self._asked: dict[Hashable, Asked] = {}
        self._rows: list[QWidget] = []
        self._column = column_of(gap=6, inside=self)

    def show_asked(self, questions: Sequence[Asked], *, enabled: bool) -> None:
        """Show them with their answers; rows are made anew only where others are asked."""
        held = next((key for key, chip in self.chips.items() if chip.hasFocus()), None)
        before = [(each.key, each.words) for each in self._asked.values()]
        self._asked = {each.key: each for each in questions}
        if before != [(each.key, each.words) for each in questions]:
            clear_rows(self._column, self._rows)
            self._make_rows()
            if held in self.chips:
                self.chips[held].setFocus()
        for (key, answer), chip in self.chips.items():
            chip.setChecked(self._asked[key].answer == answer)
            chip.setEnabled(enabled)
        self.setVisible(bool(questions))

    def _make_rows(self) -> None:
        self.chips = {}
        self._rows = [Flow(*self._parts(each), gap=self.gap_px) for each in self._asked.values()]
        for row in self._rows:
            self._column.addWidget(row)

    def _parts(self, asked: Asked) -> list[QWidget]:
        """What stands in a question's row, its chips made by ``_chip``."""
        raise NotImplementedError

    def _chip(self, key: Hashable, answer: str, words: str, name: str) -> QPushButton:
        chip = named(button(words, self._on_chip, "chip"), name)
        chip.setCheckable(True)
        self.chips[key, answer] = chip
        return chip

    def _on_chip(self) -> None:
        chip = self.sender()
        for (key, answer), each in self.chips.items():
            if each is chip:
                asked = self._asked[key]
                is_on = asked.answer == answer
                each.setChecked(is_on)  # true until it is written
                self.said.emit(key, "" if is_on and asked.is_said else answer)
                return


def clear_rows(column: QVBoxLayout, rows: list[QWidget]) -> None:
    """Take rows out; one of them may be the sender of what is going on, so they go later."""
    for row in rows:
        column.removeWidget(row)
        row.hide()
        row.deleteLater()
    rows.clear()
