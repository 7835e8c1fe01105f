"""Where what was not taught went, said in one tap: the table, tomorrow, or nowhere."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QWidget

from pacer.frames.not_taught_words import FATES, Untaught
from pacer.frames.words.kinds import fate_words
from pacer.qt.kit.flow import Flow
from pacer.qt.kit.widgets import button, label, named
from pacer.qt.look_back.repair.taps import clear_rows, rows_in
from pacer.text import _


class WentChips(QWidget):
    """Three chips for every phase that was not taught. ``said`` carries the phase and where it went.

    Empty takes back what the teacher said; then what the outline says holds again.
    """

    said = Signal(int, str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Where it went"))
        self.chips: dict[tuple[int, str], QPushButton] = {}
        self._shown: tuple[tuple[int, str], ...] = ()
        self._phases: dict[int, Untaught] = {}
        self._notes: dict[int, QWidget] = {}
        self._rows: list[QWidget] = []
        self._column = rows_in(self)

    def show_phases(self, phases: tuple[Untaught, ...], *, enabled: bool) -> None:
        """Show them, with what was said of each."""
        held = next((key for key, chip in self.chips.items() if chip.hasFocus()), None)
        shown = tuple((each.phase, each.words) for each in phases)
        if shown != self._shown:
            self._make(phases)
            self._shown = shown
            if held in self.chips:
                self.chips[held].setFocus()
        self._phases = {each.phase: each for each in phases}
        for (phase, fate), chip in self.chips.items():
            chip.setChecked(self._phases[phase].went == fate)
            chip.setEnabled(enabled)
        for phase, note in self._notes.items():
            note.setVisible(bool(self._phases[phase].went) and not self._phases[phase].is_said)
        self.setVisible(bool(phases))

    def _make(self, phases: tuple[Untaught, ...]) -> None:
        clear_rows(self._column, self._rows)
        self.chips, self._notes = {}, {}
        for each in phases:
            chips = [self._chip(each, fate) for fate in FATES]
            note = label(_("as the outline says"), "quiet")
            self._notes[each.phase] = note
            row = Flow(label(each.words), *chips, note)
            self._rows.append(row)
            self._column.addWidget(row)

    def _chip(self, each: Untaught, fate: str) -> QPushButton:
        words = fate_words(fate)
        made = button(words[:1].upper() + words[1:], self._on_chip, "chip")
        made.setCheckable(True)
        made.setProperty("phase", each.phase)
        made.setProperty("fate", fate)
        named(made, _("{phase} went: {where}").format(phase=each.title, where=words))
        self.chips[each.phase, fate] = made
        return made

    def _on_chip(self) -> None:
        chip = self.sender()
        if isinstance(chip, QPushButton):
            phase, fate = chip.property("phase"), chip.property("fate")
            known = self._phases[phase]
            chip.setChecked(known.went == fate)  # true until it is written
            self.said.emit(phase, "" if known.is_said and known.went == fate else fate)
