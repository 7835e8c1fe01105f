"""Where what was not taught went, said in one tap: the table, tomorrow, or nowhere."""

from collections.abc import Sequence

from PySide6.QtWidgets import QWidget

from pacer.frames.words.kinds import fate_words
from pacer.frames.words.not_taught import FATES, Untaught
from pacer.qt.kit.widgets import label
from pacer.qt.look_back.repair.taps import Asked, ChipRows
from pacer.text import _


class WentChips(ChipRows):
    """Three chips for every phase that was not taught. ``said`` carries the phase and where it went.

    Empty takes back what the teacher said; then what the outline says holds again.
    """

    def __init__(self) -> None:
        super().__init__(_("Where it went"))
        self._titles: dict[int, str] = {}
        self._notes: dict[int, QWidget] = {}

    def show_phases(self, phases: Sequence[Untaught], *, enabled: bool) -> None:
        """Show them, with what was said of each."""
        self._titles = {each.phase: each.title for each in phases}
        questions = [Asked(each.phase, each.words, each.went, each.is_said) for each in phases]
        self.show_asked(questions, enabled=enabled)
        for each in phases:
            self._notes[each.phase].setVisible(bool(each.went) and not each.is_said)

    def _parts(self, asked: Asked) -> list[QWidget]:
        chips: list[QWidget] = []
        for fate in FATES:
            words = fate_words(fate)
            name = _("{phase} went: {where}").format(phase=self._titles[asked.phase], where=words)
            chips.append(self._chip(asked.phase, fate, words[:1].upper() + words[1:], name))
        note = label(_("as the outline says"), "quiet")
        self._notes[asked.phase] = note
        return [label(asked.words), *chips, note]
