"""The list of day records: years of lessons, each put into words only when it comes into sight."""

from collections.abc import Sequence

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, QSize, Qt, Signal
from PySide6.QtWidgets import QListView, QWidget

from pacer.frames.after_school.lesson_words import run_words
from pacer.log.day_records import RunRow
from pacer.qt.kit.widgets import named
from pacer.text import _

AnyIndex = QModelIndex | QPersistentModelIndex
NO_PARENT = QModelIndex()
ROW_HEIGHT = 52  # two lines, in logical pixels


class LessonListModel(QAbstractListModel):
    """The lessons as the day records list them, newest first."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._runs: Sequence[RunRow] = ()

    def set_runs(self, runs: Sequence[RunRow]) -> None:
        self.beginResetModel()
        self._runs = runs
        self.endResetModel()

    def run(self, row: int) -> RunRow | None:
        return self._runs[row] if 0 <= row < len(self._runs) else None

    def rowCount(self, parent: AnyIndex = NO_PARENT) -> int:
        """One row a lesson; a lesson has no rows of its own."""
        return 0 if parent.isValid() else len(self._runs)

    def data(self, index: AnyIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """The lesson in words, for the eye and for a screen reader."""
        run = self.run(index.row()) if index.isValid() else None
        if run is None:
            return None
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return run_words(run)
        return QSize(0, ROW_HEIGHT) if role == Qt.ItemDataRole.SizeHintRole else None


class LessonList(QListView):
    """The lessons to choose from, one at a time."""

    chosen = Signal(object)  # RunRow, or None where the list is empty

    def __init__(self) -> None:
        super().__init__()
        named(self, _("Day records"))
        self.setUniformItemSizes(True)
        self._lessons = LessonListModel(self)
        self.setModel(self._lessons)
        self.selectionModel().currentChanged.connect(self._on_current)

    def show_runs(self, runs: Sequence[RunRow]) -> None:
        """List other lessons; none is chosen yet."""
        self._lessons.set_runs(runs)

    def choose_row(self, row: int) -> None:
        self.setCurrentIndex(self._lessons.index(row))

    def _on_current(self, now: QModelIndex) -> None:
        self.chosen.emit(self._lessons.run(now.row()))
