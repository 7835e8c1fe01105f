"""The left side of Today: the outlines to choose from, and what is done with their folder."""

from pathlib import Path

from PySide6.QtCore import QSignalBlocker, QSize, Qt, Signal
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from pacer.frames.words.shelf import row_words
from pacer.owner_only import make_folder
from pacer.qt.kit.rows import column_of
from pacer.qt.kit.widgets import button, label, named
from pacer.settings.outline_shelf import ShelfEntry, copy_to_own, stamp
from pacer.settings.shelf_rows import ShelfRow, shelf_rows
from pacer.settings.store import SettingsStore
from pacer.text import _

_OUTLINE = Qt.ItemDataRole.UserRole
_ROW = QSize(0, 52)  # two lines


class TodayShelf(QWidget):
    """The outlines, one of them chosen; the choice is kept in the settings.

    ``shown`` comes when another one is to be shown, or the same read anew, or none; ``changed`` when the
    teacher chose another one, before that is kept; ``activated`` with Enter on it. ``told`` carries what came
    of a button, ``shapes_asked`` comes with its own. ``wanted`` is the file that is to be chosen, there or
    not.
    """

    shown = Signal()
    changed = Signal()
    activated = Signal()
    told = Signal(str)
    shapes_asked = Signal()

    def __init__(self, own_folder: Path, settings: SettingsStore) -> None:
        super().__init__()
        self._own_folder, self._settings = own_folder, settings
        self.wanted = Path(settings.now.last_outline)
        self._seen: object = None
        self.setAccessibleName(_("Outlines"))
        self.list = named(QListWidget(), _("Outlines"))
        self.list.currentItemChanged.connect(self._on_choice)
        self.list.itemActivated.connect(self.activated)
        self.copy_button = button(_("&Copy to my outlines"), self._on_copy)
        self.folder_button = button(_("&Open my folder"), self._on_folder)
        self.shapes_button = button(_("Da&y shapes…"), self.shapes_asked.emit)
        heading = label(_("Outli&nes"), bold=True, of=self.list)
        buttons = self.copy_button, self.folder_button, self.shapes_button
        column_of(heading, (self.list, 1), *buttons, gap=10, inside=self)

    def _row(self) -> ShelfRow | None:
        item = self.list.currentItem()
        row = None if item is None else item.data(_OUTLINE)
        return row if isinstance(row, ShelfRow) else None

    def entry(self) -> ShelfEntry | None:
        row = self._row()
        return None if row is None else row.entry

    def path(self) -> Path | None:
        row = self._row()
        return None if row is None else row.path

    def reload(self) -> None:
        """Read the folders again and choose the wanted file, or else the first."""
        self._seen = stamp(self._own_folder)
        with QSignalBlocker(self.list):  # the rows that go would each be chosen for a moment
            self.list.clear()
        chosen: QListWidgetItem | None = None
        for row in shelf_rows(self._own_folder):
            item = QListWidgetItem(row_words(row))
            item.setData(_OUTLINE, row)
            item.setSizeHint(_ROW)
            self.list.addItem(item)
            if row.path == self.wanted:
                chosen = item
        if self.list.count():
            self.list.setCurrentItem(chosen or self.list.item(0))
        else:
            self.shown.emit()

    def reload_if_changed(self) -> None:
        """Read the folders again when a file came, went or was edited in another program."""
        if stamp(self._own_folder) != self._seen:
            self.reload()

    def choose(self, path: Path) -> None:
        """Choose an outline that was written elsewhere."""
        self._keep(path)
        self.reload()

    def _keep(self, path: Path) -> None:
        if path != self.wanted:
            self.wanted = path
            self._settings.change(last_outline=str(path))

    def _on_choice(self, *_items: object) -> None:
        self.shown.emit()
        path = self.path()
        if path is not None and path != self.wanted:
            self.changed.emit()
            self._keep(path)

    def _on_copy(self) -> None:
        path = self.path()
        if path is None:
            return
        try:
            target = copy_to_own(path, self._own_folder)
        except OSError as error:
            self.told.emit(_("The outline can't be copied: {reason}.", reason=error.strerror or error))
            return
        self.choose(target)
        self.told.emit(_("Copied to {path}. Change it on the page Outline.", path=target))

    def _on_folder(self) -> None:
        """Look into the own folder in the system's file window; it is made where there is none."""
        from PySide6.QtCore import QUrl
        from PySide6.QtGui import QDesktopServices

        try:
            make_folder(self._own_folder)
        except OSError as error:
            self.told.emit(_("Your folder can't be opened: {reason}.", reason=error.strerror or error))
            return
        QDesktopServices.openUrl(QUrl.fromLocalFile(str(self._own_folder)))
        self.told.emit(_("Your outlines are in {path}", path=self._own_folder))
