"""The page Library: outlines found, renamed, copied, put away, deleted and mended; templates stand apart."""

from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path

from PySide6.QtCore import QPoint, Signal
from PySide6.QtGui import QHideEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QLineEdit, QStackedWidget, QWidget

from pacer.editing.library.listing import Listing
from pacer.editing.library.mend import BrokenFile
from pacer.editing.library.shelf import Library
from pacer.editing.library.steps import Told
from pacer.frames.library import LibraryShelf
from pacer.frames.words.broken import words_about
from pacer.qt.kit.empty_page import EmptyPage
from pacer.qt.kit.files import ask_outline
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.style import suit_type
from pacer.qt.kit.widgets import button, label, shortcut
from pacer.qt.library.actions_menu import ActionsMenu
from pacer.qt.library.details import Details
from pacer.qt.library.shelf_side import ShelfSide
from pacer.qt.library.text_view import TextView
from pacer.run.clock import Clock, local_now
from pacer.text import _

OPENS = ("edit", "look", "back", "text")  # what Enter does, the first that is offered


class LibraryPage(QWidget):
    """The teacher's outlines as files.

    ``edit_asked``, ``teach_asked`` and ``card_asked`` carry a path; ``new_asked`` lines that become an
    outline, none for an empty one; ``moving`` comes before a file changes, ``moved`` with its path before
    and after, the latter None where it is gone. ``past`` gives the day on which each file, or title, was
    last taught.
    """

    edit_asked = Signal(object)
    teach_asked = Signal(object)
    card_asked = Signal(object)
    new_asked = Signal(object)
    moving = Signal()
    moved = Signal(object, object)

    def __init__(
        self, own_folder: Path, library: Library, clock: Clock, past: Callable[[], Mapping[str, date]]
    ) -> None:
        super().__init__()
        self.setAccessibleName(_("Library"))
        self._own, self._clock = own_folder, clock
        self.library = library
        self.place: LibraryShelf = "own"
        self._listing = Listing(own_folder, library.broken, past)
        self.seen = self._listing.seen
        self._broken: BrokenFile | None = None
        self._build()
        self._connect()
        self.reload()

    def _build(self) -> None:
        self.notice = label("", "notice", wrap=True)
        self.side, self.details, self.text = ShelfSide(), Details(), TextView()
        self.new_button = button(_("&New outline"), self._on_new, tip=_("Ctrl+N"))
        self.open_button = button(_("Open a &file…"), self._on_open, tip=_("Ctrl+O: from anywhere"))
        self.undo_button = button(_("Undo"), self.undo, tip=_("Ctrl+Z"))
        self.redo_button = button(_("Redo"), self.redo, tip=_("Ctrl+Y or Ctrl+Shift+Z"))
        self.empty = EmptyPage(
            _("Your outlines will stand here: one for each lesson, found by title, subject or unit."),
            "library", _("Write the first one"), tip=_("Ctrl+N"),
        )  # fmt: skip
        self.empty.asked.connect(self._on_new)
        self.right = QStackedWidget()
        self.right.addWidget(self.details)
        self.right.addWidget(self.empty)
        browse = self._browse = QWidget()
        steps = self.undo_button, self.redo_button
        top = row_of(self.new_button, self.open_button, *steps, STRETCH, self.side.sort, gap=8)
        columns = row_of((self.side, 10), (self.right, 17), gap=24)
        column_of(top, self.notice, (columns, 1), gap=10, inside=browse)
        self.middle = QStackedWidget()
        self.middle.addWidget(browse)
        self.middle.addWidget(self.text)
        column_of((self.middle, 1), inside=self, margins=(36, 14, 36, 20))
        self.notice.hide()

    def _connect(self) -> None:
        self.side.chosen.connect(self._on_chosen)
        self.side.activated.connect(self._on_enter)
        self.side.place_asked.connect(self.show_place)
        self.side.menu_asked.connect(self._on_menu)
        self.details.asked.connect(self.act)
        self.details.head_typed.connect(self._on_head)
        self.details.head_left.connect(self._to_list)
        self.text.saved.connect(self._on_text)
        self.text.left.connect(self._leave_text)
        for keys, act in (
            ("Ctrl+N", self._on_new), ("Ctrl+O", self._on_open), ("Ctrl+F", self._on_search),
            ("Ctrl+P", self._on_card), ("Ctrl+Z", self.undo), ("Ctrl+Y", self.redo),
            ("Ctrl+Shift+Z", self.redo), ("Ctrl+D", self._on_copy), ("F2", self._on_rename),
        ):  # fmt: skip
            shortcut(keys, self._browse, act)
        for keys, act in (("Delete", self._on_delete), ("Ctrl+Backspace", self._on_away)):
            shortcut(keys, self.side.list, act, in_children=False)
        shortcut("Escape", self.side.search, self._on_clear, in_children=False)
        shortcut("Return", self.side.search, self._to_list, in_children=False)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        suit_type(self)

    # --- showing

    def reload(self, wanted: Path | None = None) -> None:
        """Read the folders again; an outline that is wanted is chosen, wherever it lies."""
        listing = self._listing
        listing.read()
        if wanted is not None:
            self.place = listing.place_of(wanted) or self.place
        self.side.show_counts(listing.counts)
        rows = listing.rows(self.place, local_now(self._clock).date())
        self.side.show_place(self.place, rows, wanted)
        is_empty = self.place == "own" and not rows
        self.right.setCurrentWidget(self.empty if is_empty else self.details)
        self._show_undo()

    def show_place(self, place: LibraryShelf) -> None:
        """Show the teacher's own outlines, the templates, or those that were put away."""
        self.place = place
        self.tell("")
        self.reload()

    def show_path(self, path: Path, *, text: bool = False) -> None:
        """Choose an outline; with ``text`` show the text of its file, where there is a text."""
        self.side.clear_search()
        self.reload(path)
        row = self.side.row()
        if row is None or row.path != path:
            words = _("It lies in another folder: put it among your outlines, and it can be mended here.")
            self.tell(f"{words_about(path)} {words}".strip())
            return
        if text and self._broken is not None and self._broken.has_text:
            self.open_text()
        self.side.list.setFocus()

    def _on_chosen(self) -> None:
        row = self.side.row()
        wrong = row is not None and row.outline is None
        self._broken = self.library.broken(row.path) if row is not None and wrong else None
        self.details.show_row(self.place, row, self._broken)

    def tell(self, words: str) -> None:
        """Say what came of something; empty takes it away."""
        self.notice.setText(words)
        self.notice.setAccessibleDescription(words)
        self.notice.setVisible(bool(words))

    def _show_undo(self) -> None:
        undo, redo = self.library.undo_words, self.library.redo_words
        self.undo_button.setText(_("Undo: {what}", what=undo) if undo else _("Undo"))
        self.redo_button.setText(_("Redo: {what}", what=redo) if redo else _("Redo"))
        self.undo_button.setEnabled(bool(undo))
        self.redo_button.setEnabled(bool(redo))

    def showEvent(self, event: QShowEvent) -> None:
        """Look whether files came, went or were changed meanwhile."""
        super().showEvent(event)
        self.reload_if_changed()

    def reload_if_changed(self) -> None:
        """Read the folders again where something in them changed; what was chosen stays chosen."""
        if self._listing.is_old:
            self.reload()

    def hideEvent(self, event: QHideEvent) -> None:
        """What was typed in a field counts when another page is shown, too."""
        focus = self.focusWidget()
        if isinstance(focus, QLineEdit):
            focus.clearFocus()
        super().hideEvent(event)

    # --- doing

    def act(self, action: str) -> None:
        """Do something with the chosen outline, where it can be done with it."""
        row = self.side.row()
        if action == "more":
            more = self.details.buttons["more"]
            self._on_menu(more.mapToGlobal(more.rect().bottomLeft()))
            return
        if row is None or action not in self.details.offered:
            return
        path, library = row.path, self.library
        match action:
            case "edit" | "look":
                self.edit_asked.emit(path)
            case "teach":
                self.teach_asked.emit(path)
            case "card":
                self.card_asked.emit(path)
            case "rename":
                self.details.edit_title()
            case "text":
                self.open_text()
            case "list":
                self.new_asked.emit(self._broken.lines if self._broken is not None else ())
            case "use":
                self._do(path, lambda: library.take_template(path), is_same=True)
            case "duplicate":
                self._do(path, lambda: library.duplicate(path), is_same=True)
            case "away":
                self._do(path, lambda: library.put_away(path), stay=True)
            case "back":
                self._do(path, lambda: library.bring_back(path))
            case "delete":
                self._do(path, lambda: library.delete(path), stay=True)
            case "keep":
                self.seen.own(path)
                self.reload(path)
            case "before":
                before = self.seen.changed[path]
                self._do(path, lambda: library.go_back(path, before))
            case "mend":
                self._do(path, lambda: library.mend(path))
            case "version":
                version = self._broken.version if self._broken is not None else None
                if version is not None:
                    self._do(path, lambda: library.bring_version(path, version))

    def _do(
        self, path: Path | None, act: Callable[[], Told], *, is_same: bool = False, stay: bool = False
    ) -> None:
        """Act on a file, say what came of it, and show where it is now; ``is_same``: the old one is, too."""
        self.moving.emit()
        told = act()
        self.tell(told.words)
        old = told.was or path
        for changed in (old, told.path):
            if told.done and changed is not None:
                self.seen.own(changed)
        if told.done:
            self.moved.emit(None if is_same else old, None if stay else told.path)
        self.reload(None if stay else told.path or path)

    def undo(self) -> None:
        """Take back what was done last."""
        self._do(None, self.library.undo)

    def redo(self) -> None:
        """Do again what was taken back last."""
        self._do(None, self.library.redo)

    def _on_head(self, name: str, text: str) -> None:
        row = self.side.row()
        if row is None:
            return
        path = row.path
        if name == "title":
            self._do(path, lambda: self.library.rename(path, text))
        else:
            self._do(path, lambda: self.library.set_head(path, name, text))

    # --- the text of a file

    def open_text(self) -> None:
        """Show the text of the chosen file, at the line in question."""
        row, broken = self.side.row(), self._broken
        if row is None or broken is None:
            return
        wrong = self.text.read(row.path)
        if wrong:
            self.tell(wrong)
            return
        self.middle.setCurrentWidget(self.text)
        self.text.begin(None if broken.damage is None else broken.damage.line)

    def _on_text(self, text: str) -> None:
        path, before = self.text.path, self.text.before
        self._do(path, lambda: self.library.write_text(path, text, before))
        self._leave_text()

    def _leave_text(self) -> None:
        self.middle.setCurrentIndex(0)
        self.side.list.setFocus()

    # --- keys and menus

    def _on_menu(self, at: QPoint) -> None:
        ActionsMenu(self, self.details.offered, self.act).popup(at)

    def _on_enter(self) -> None:
        """Open it, however it can be opened; nothing is changed by a slip."""
        for action in OPENS:
            if action in self.details.offered:
                self.act(action)
                return

    def _on_new(self) -> None:
        self.new_asked.emit(())

    def _on_open(self) -> None:
        path = ask_outline(self, self._own)
        if path is not None:
            self.edit_asked.emit(path)

    def _on_search(self) -> None:
        self.side.search.setFocus()
        self.side.search.selectAll()

    def _on_clear(self) -> None:
        self.side.clear_search()
        self.side.list.setFocus()

    def _to_list(self) -> None:
        self.side.list.setFocus()

    def _on_rename(self) -> None:
        self.act("rename")

    def _on_copy(self) -> None:
        self.act("use" if self.place == "templates" else "duplicate")

    def _on_card(self) -> None:
        self.act("card")

    def _on_delete(self) -> None:
        self.act("delete")

    def _on_away(self) -> None:
        self.act("away")
