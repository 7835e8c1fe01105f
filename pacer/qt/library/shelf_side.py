"""The left side of Library: what is looked for, and the outlines that are found."""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QEvent, QPoint, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QSizePolicy,
    QToolButton,
    QWidget,
)

from pacer.frames.library import (
    ALL,
    LibraryChoice,
    LibraryRow,
    LibraryShelf,
    Sort,
    chosen_rows,
    subjects_in,
    units_in,
)
from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.widgets import fill_choices, label, named, show_words
from pacer.text import _, counted

PLACES: tuple[LibraryShelf, ...] = ("own", "templates", "away")
_ROW = Qt.ItemDataRole.UserRole
_AROUND_PX = 14  # above and below the lines of a row


def place_words(place: LibraryShelf, count: int) -> str:
    """The name of a part of the library, with how many outlines it holds."""
    return {
        "own": _("Mine ({n})", n=count),
        "templates": _("Templates ({n})", n=count),
        "away": _("Put away ({n})", n=count),
    }[place]


class ShelfSide(QWidget):
    """``chosen`` comes with another choice, ``activated`` with Enter or a double click on it.

    ``place_asked`` carries which part of the library is wanted, ``menu_asked`` where on the screen a menu is.
    """

    chosen = Signal()
    activated = Signal()
    place_asked = Signal(str)
    menu_asked = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Outlines"))
        self.rows: Sequence[LibraryRow] = ()
        self.is_sorted = True  # by when they were taught, where that is chosen
        self._group = QButtonGroup(self)
        self.places = {place: self._place_button(place) for place in PLACES}
        self.places["own"].setChecked(True)
        self.search = named(QLineEdit(), _("Search"))
        self.search.setPlaceholderText(_("Search (Ctrl+F)"))
        self.search.setClearButtonEnabled(True)
        self.search.textChanged.connect(self.refill)
        self.subject, self.unit, self.sort = (
            self._box(name) for name in (_("Subject"), _("Unit"), _("Order"))
        )
        self.sort.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)  # it stands above
        fill_choices(self.sort, ((_("last taught first"), "taught"), (_("by title"), "name")))
        self.list = named(QListWidget(), _("Outlines"))
        self.list.currentItemChanged.connect(self._on_choice)
        self.list.itemActivated.connect(self._on_activated)
        self.list.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        self.list.customContextMenuRequested.connect(self._on_menu)
        self.nothing = label("", "quiet", wrap=True)
        places = row_of(*self.places.values(), gap=4)
        boxes = row_of((self.subject, 1), (self.unit, 1), gap=6)
        column_of(places, self.search, boxes, self.nothing, (self.list, 1), gap=6, inside=self)

    def _place_button(self, place: LibraryShelf) -> QToolButton:
        button = QToolButton()
        button.setText(place_words(place, 0))
        button.setProperty("role", "part")
        button.setProperty("place", place)
        button.setCheckable(True)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        button.clicked.connect(self._on_place)
        self._group.addButton(button)
        return button

    def _box(self, name: str) -> QComboBox:
        box = named(QComboBox(), name)
        box.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        box.setMinimumWidth(90)
        box.currentIndexChanged.connect(self.refill)
        return box

    def _on_place(self) -> None:
        button = self.sender()
        if isinstance(button, QToolButton):
            self.place_asked.emit(button.property("place"))

    def choice(self) -> LibraryChoice:
        """What is looked for."""
        subject, unit = self.subject.currentData() or ALL, self.unit.currentData() or ALL
        sort: Sort = "taught" if self.is_sorted and self.sort.currentData() == "taught" else "name"
        return LibraryChoice(self.search.text(), subject, unit, sort)

    def row(self) -> LibraryRow | None:
        """The chosen outline."""
        item = self.list.currentItem()
        row = None if item is None else item.data(_ROW)
        return row if isinstance(row, LibraryRow) else None

    def show_place(self, place: LibraryShelf, rows: Sequence[LibraryRow], wanted: Path | None) -> None:
        """List a part of the library, and choose an outline of it where it is there."""
        self.rows = rows
        self.places[place].setChecked(True)
        choice = self.choice()
        fill_choices(
            self.subject,
            [(_("all subjects"), ALL), *((name, name) for name in subjects_in(rows))],
            choice.subject,
        )
        units = units_in(rows, self.choice().subject)
        fill_choices(self.unit, [(_("all units"), ALL), *((name, name) for name in units)], choice.unit)
        self.subject.setVisible(self.subject.count() > 1)
        self.unit.setVisible(self.unit.count() > 1)
        self.is_sorted = place == "own"
        self.sort.setVisible(self.is_sorted)
        self.refill(wanted=wanted)

    def show_counts(self, counts: dict[LibraryShelf, int]) -> None:
        """Say how many outlines each part holds."""
        for place, button in self.places.items():
            button.setText(place_words(place, counts[place]))

    def refill(self, *_what: object, wanted: Path | None = None) -> None:
        """List what is found now; what was chosen stays chosen, else the one in its place, else the first."""
        before = self.row()
        at = max(0, self.list.currentRow())
        wanted = wanted or (None if before is None else before.path)
        found = chosen_rows(self.rows, self.choice())
        with QSignalBlocker(self.list):
            self.list.clear()
            row_size = self._row_size()
            for row in found:
                item = QListWidgetItem(row.words)
                item.setData(_ROW, row)
                item.setSizeHint(row_size)
                item.setToolTip(row.title)
                self.list.addItem(item)
        paths = [row.path for row in found]
        if found:
            number = paths.index(wanted) if wanted in paths else min(at, len(found) - 1)
            self.list.setCurrentRow(number)
        show_words(self.nothing, "" if found or not self.rows else self._nothing_words())
        if not found or before == self.row():
            self.chosen.emit()

    def _nothing_words(self) -> str:
        count = counted("{n} outline is", "{n} outlines are", len(self.rows))
        return _("Nothing is found. {count} here: clear the search, or choose all subjects.", count=count)

    def clear_search(self) -> None:
        """Look for everything again."""
        for box in (self.subject, self.unit):
            with QSignalBlocker(box):
                box.setCurrentIndex(0)
        self.search.clear()
        self.refill()

    def _on_choice(self, *_items: object) -> None:
        self.chosen.emit()

    def _row_size(self) -> QSize:
        """Of a row with two lines; said once, for measuring many takes long."""
        return QSize(0, 2 * self.fontMetrics().lineSpacing() + _AROUND_PX)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange and "list" in vars(self):
            row_size = self._row_size()
            for row in range(self.list.count()):
                self.list.item(row).setSizeHint(row_size)

    def _on_activated(self, _item: QListWidgetItem) -> None:
        self.activated.emit()

    def _on_menu(self, at: QPoint) -> None:
        item = self.list.itemAt(at)
        if item is not None:
            self.list.setCurrentItem(item)
        current = self.list.currentItem()
        if current is not None:
            by_key = item is None  # the key for the menu says no place
            where = self.list.visualItemRect(current).center() if by_key else at
            self.menu_asked.emit(self.list.viewport().mapToGlobal(where))
