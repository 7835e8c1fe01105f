"""The list of phases that may leave a plan which is too long, and where each goes."""

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu, QWidget

from pacer.plan.draft.draft import DraftPhase
from pacer.text import _

FATES = ("table", "tomorrow", "dropped")


class MoveMenu(QMenu):
    """``chosen`` carries the key of the phase that moves."""

    chosen = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.phases: Sequence[DraftPhase] = ()
        self.aboutToShow.connect(self.fill)
        self.triggered.connect(self._on_triggered)

    def fill(self) -> None:
        """List the phases that say where they go."""
        self.clear()
        for phase in self.phases:
            if phase.movable in FATES:
                self.addAction(_words(phase)).setData(phase.key)
        if self.isEmpty():
            self.addAction(_("Say first under “Goes to” which phases may move")).setEnabled(False)

    def _on_triggered(self, action: QAction) -> None:
        self.chosen.emit(str(action.data()))


def _words(phase: DraftPhase) -> str:
    words = {
        "table": _("{title} {budget}: finished at the table"),
        "tomorrow": _("{title} {budget}: tomorrow"),
        "dropped": _("{title} {budget}: dropped"),
    }[phase.movable]
    return words.format(title=phase.title.replace("&", "&&"), budget=phase.budget)
