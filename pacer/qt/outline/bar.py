"""The Outline page's own row of buttons, and the notice below it with what can be done."""

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QAction, QResizeEvent
from PySide6.QtWidgets import QMenu, QPushButton, QSizePolicy, QWidget

from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.widgets import button, label, named
from pacer.settings.outline_shelf import ShelfEntry, shelf
from pacer.text import _

Action = tuple[str, Callable[[], object]]


class ShelfMenu(QMenu):
    """The outlines to choose from, looked up when the menu opens. ``chosen`` carries a path."""

    chosen = Signal(object)
    elsewhere = Signal()

    def __init__(self, parent: QWidget, own_folder: Path, *, with_templates: bool) -> None:
        super().__init__(parent)
        self._folder, self._with_templates = own_folder, with_templates
        self.aboutToShow.connect(self.fill)
        self.triggered.connect(self._on_triggered)

    def fill(self) -> None:
        """List the outlines."""
        self.clear()
        for entry in shelf(self._folder):
            if self._with_templates or not entry.is_template:
                action = self.addAction(_entry_words(entry))
                action.setData(str(entry.path))
        if self.isEmpty():
            self.addAction(_("There is no outline yet")).setEnabled(False)
        self.addSeparator()
        self.addAction(_("Another file…"))

    def _on_triggered(self, action: QAction) -> None:
        if action.data() is None:
            self.elsewhere.emit()
        else:
            self.chosen.emit(Path(str(action.data())))


def _entry_words(entry: ShelfEntry) -> str:
    title = entry.path.name if entry.outline is None else entry.outline.title
    title = title.replace("&", "&&")
    if entry.is_template:
        return _("{title}  (template)").format(title=title)
    return f"{title}  ·  {entry.path.name}" if entry.outline is not None else title


class OutlineBar(QWidget):
    """Buttons on the left, "Saved 19:02" on the right. ``asked`` carries the name of the button pressed."""

    asked = Signal(str)

    def __init__(self, own_folder: Path) -> None:
        super().__init__()
        self.open_menu = ShelfMenu(self, own_folder, with_templates=False)
        self.copy_menu = ShelfMenu(self, own_folder, with_templates=True)
        self.buttons: dict[str, QPushButton] = {}
        self._saved_words = "", ""
        for action, words, tip in (
            ("new", _("&New"), _("Ctrl+N: begin an empty outline")),
            ("open", _("&Open"), _("Ctrl+O: go on with an earlier outline")),
            ("copy", _("&Copy of"), _("Begin with a copy of an earlier outline or a template")),
            ("versions", _("&Earlier versions"), _("What this outline said before")),
            ("undo", _("Undo"), _("Ctrl+Z")),
            ("redo", _("Redo"), _("Ctrl+Y")),
            ("kinds", _("&Kinds"), _("What a new phase of each kind gets")),
            ("text", _("Copy as te&xt"), _("Ctrl+Shift+C: the phases as plain text, to paste elsewhere")),
        ):
            self.buttons[action] = button(words, self._on_pressed, "small", tip)
        self.buttons["open"].setMenu(self.open_menu)
        self.buttons["copy"].setMenu(self.copy_menu)
        self.saved = named(label("", "quiet"), _("Whether it is saved"))
        self.saved.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.saved.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.done = button(_("&Done"), self._on_pressed, "small", _("Ctrl+W: save and leave the page"))
        row_of(*self.buttons.values(), (self.saved, 1), 8, self.done, gap=8, inside=self)
        self.buttons["done"] = self.done

    def _on_pressed(self) -> None:
        action = next((action for action, pressed in self.buttons.items() if pressed is self.sender()), None)
        if action is not None:
            self.asked.emit(action)

    def show_saved(self, words: str, name: str = "") -> None:
        """Show whether the outline is saved, and the file's name where there is room."""
        whole = "  ·  ".join(filter(None, [words, name]))
        has_room = self.saved.fontMetrics().horizontalAdvance(whole) <= self.saved.width()
        self._saved_words = words, name
        self.saved.setText(whole if has_room else words)
        self.saved.setToolTip(name)
        self.saved.setAccessibleDescription(whole)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.show_saved(*self._saved_words)

    def show_steps(self, undo: str, redo: str) -> None:
        """Say in the tips what undo and redo would do; without words a button is disabled."""
        for action, words, keys in (("undo", undo, "Ctrl+Z"), ("redo", redo, "Ctrl+Y")):
            self.buttons[action].setEnabled(bool(words))
            self.buttons[action].setToolTip(f"{keys}: {words}" if words else keys)


class NoticeBar(QWidget):
    """One notice at a time and what can be done about it; the page stays usable meanwhile."""

    def __init__(self) -> None:
        super().__init__()
        self.words = named(label("", "notice", wrap=True), _("Notice"))
        self.words.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.row = row_of(gap=8)
        self.buttons: list[QPushButton] = []
        column_of(row_of((self.words, 1), self.row, gap=12), gap=6, inside=self)
        self.which = ""
        self.hide()

    def tell(self, words: str, which: str = "", actions: Sequence[Action] = ()) -> None:
        """Show a notice with its buttons; empty words take it away."""
        if words == self.words.text() and which == self.which and self.isVisible() == bool(words):
            return
        self.which = which
        for old in self.buttons:
            self.row.removeWidget(old)
            old.hide()
            old.deleteLater()
        self.buttons = [button(text, act, "small") for text, act in actions]
        for new in self.buttons:
            self.row.addWidget(new)
        self.words.setText(words)
        self.words.setAccessibleDescription(words)
        self.setVisible(bool(words))
