"""The left side of Today: the outlines to choose from, and what is done with their folder."""

from pathlib import Path

from PySide6.QtCore import QSignalBlocker, QSize, Qt, Signal
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from pacer.frames.words.shelf import entry_words
from pacer.qt.kit.rows import column_of
from pacer.qt.kit.widgets import button, label, named
from pacer.settings.outline_shelf import ShelfEntry, shelf
from pacer.text import _

_ENTRY = Qt.ItemDataRole.UserRole
_ROW = QSize(0, 52)  # two lines


class TodayShelf(QWidget):
    """``chosen`` comes with another choice, ``activated`` with Enter on it; the others with their buttons."""

    chosen = Signal()
    activated = Signal()
    copy_asked = Signal()
    folder_asked = Signal()
    shapes_asked = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Outlines"))
        self.list = named(QListWidget(), _("Outlines"))
        self.list.currentItemChanged.connect(self._on_choice)
        self.list.itemActivated.connect(self._on_activated)
        self.copy_button = button(_("&Copy to my outlines"), self.copy_asked.emit)
        self.folder_button = button(_("&Open my folder"), self.folder_asked.emit)
        self.shapes_button = button(_("Da&y shapes…"), self.shapes_asked.emit)
        heading = label(_("Outli&nes"), bold=True, of=self.list)
        buttons = self.copy_button, self.folder_button, self.shapes_button
        column_of(heading, (self.list, 1), *buttons, gap=10, inside=self)

    def entry(self) -> ShelfEntry | None:
        """The chosen entry."""
        item = self.list.currentItem()
        entry = None if item is None else item.data(_ENTRY)
        return entry if isinstance(entry, ShelfEntry) else None

    def reload(self, own_folder: Path, wanted: Path) -> bool:
        """Read the folders again and choose the wanted file, or else the first; False where there is none."""
        with QSignalBlocker(self.list):  # the rows that go would each be chosen for a moment
            self.list.clear()
        chosen: QListWidgetItem | None = None
        for entry in shelf(own_folder):
            item = QListWidgetItem(entry_words(entry))
            item.setData(_ENTRY, entry)
            item.setSizeHint(_ROW)
            self.list.addItem(item)
            if entry.path == wanted:
                chosen = item
        if self.list.count():
            self.list.setCurrentItem(chosen or self.list.item(0))
        return self.list.count() > 0

    def _on_choice(self, *_items: object) -> None:
        self.chosen.emit()

    def _on_activated(self, _item: QListWidgetItem) -> None:
        self.activated.emit()
