"""Which outline comes on a day: all of them in a list, narrowed by what is typed."""

from datetime import date
from pathlib import Path

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QDrag, QKeyEvent
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLineEdit, QListWidget, QListWidgetItem, QWidget

from pacer.frames.words.dates import day_words
from pacer.frames.words.shelf import entry_words
from pacer.qt.kit.rows import column_of
from pacer.qt.kit.widgets import fit_to_screen, label, named, without_pictures
from pacer.qt.week.day_list import mime_of
from pacer.qt.week.wrapped_rows import WrappedRows
from pacer.settings.outline_shelf import shelf
from pacer.settings.planned_days import name_of
from pacer.text import _

_NAME = Qt.ItemDataRole.UserRole
_TITLE = Qt.ItemDataRole.UserRole + 1


class OutlineList(QListWidget):
    """The outlines that can be planned; each can be dragged to a day."""

    def __init__(self) -> None:
        super().__init__()
        named(self, _("Outlines to plan"))
        self.setWordWrap(True)
        self.setDragEnabled(True)
        self.setItemDelegate(WrappedRows(self))
        self.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    def reload(self, own_folder: Path) -> None:
        """Read the folders again; a file that can't be used is left out, as Today tells it."""
        chosen = self.chosen()
        self.clear()
        for entry in shelf(own_folder):
            if entry.outline is None:
                continue
            item = QListWidgetItem(entry_words(entry))
            item.setData(_NAME, name_of(entry.path))
            item.setData(_TITLE, entry.outline.title)
            self.addItem(item)
            if chosen is not None and chosen[0] == item.data(_NAME):
                self.setCurrentItem(item)
        if self.currentRow() < 0:
            self.setCurrentRow(0)

    def narrow(self, typed: str) -> None:
        """Show only those that have all words typed."""
        words = typed.casefold().split()
        for row in range(self.count()):
            text = self.item(row).text().casefold()
            self.item(row).setHidden(not all(word in text for word in words))
        seen = (row for row in range(self.count()) if not self.item(row).isHidden())
        self.setCurrentRow(next(seen, -1))

    def chosen(self) -> tuple[str, str] | None:
        """Name and title of the chosen outline."""
        item = self.currentItem()
        return None if item is None or item.isHidden() else (item.data(_NAME), item.data(_TITLE))

    def startDrag(self, _actions: Qt.DropAction) -> None:
        """Take the chosen outline by the mouse."""
        chosen = self.chosen()
        if chosen is not None:
            drag = QDrag(self)
            drag.setMimeData(mime_of(chosen[0]))
            drag.exec(Qt.DropAction.CopyAction)


class OutlinePicker(QDialog):
    """Type, choose, Enter."""

    def __init__(self, own_folder: Path, day: date, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(_("A lesson for {day}", day=day_words(day)))
        self.typed = named(QLineEdit(), _("Words of the outline"))
        self.typed.setPlaceholderText(_("Type some words of it"))
        self.list = OutlineList()
        self.list.reload(own_folder)
        self.typed.textChanged.connect(self.list.narrow)
        self.typed.installEventFilter(self)
        self.list.itemDoubleClicked.connect(self.accept)
        ok, cancel = QDialogButtonBox.StandardButton.Ok, QDialogButtonBox.StandardButton.Cancel
        self.buttons = without_pictures(QDialogButtonBox(ok | cancel))
        self.buttons.accepted.connect(self.accept)
        self.buttons.rejected.connect(self.reject)
        heading = label(_("Which &outline?"), bold=True, of=self.typed)
        parts = heading, self.typed, (self.list, 1), self.buttons
        column_of(*parts, gap=10, inside=self, margins=(24, 20, 24, 20))
        fit_to_screen(self, 520, 480)

    @classmethod
    def ask(cls, own_folder: Path, day: date, parent: QWidget) -> tuple[str, str] | None:
        """Ask for an outline. Returns its name and title; None where none is chosen."""
        dialog = cls(own_folder, day, parent)
        try:
            accepted = dialog.exec() == QDialog.DialogCode.Accepted
            return dialog.list.chosen() if accepted else None
        finally:
            dialog.deleteLater()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Up and down walk the list while words are typed."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()))
            if step is not None:
                seen = [row for row in range(self.list.count()) if not self.list.item(row).isHidden()]
                if seen:
                    at = seen.index(self.list.currentRow()) if self.list.currentRow() in seen else 0
                    self.list.setCurrentRow(seen[max(0, min(len(seen) - 1, at + step))])
                return True
        return super().eventFilter(watched, event)
