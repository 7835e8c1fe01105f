"""The right side of Library: the chosen outline with title, subject and unit, or what is wrong with it."""

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLineEdit, QPushButton, QWidget

from pacer.editing.library.mend import BrokenFile
from pacer.frames.library import LibraryRow, LibraryShelf
from pacer.frames.words.outline import head_words
from pacer.frames.words.shelf import about_words
from pacer.qt.kit.flow import Flow
from pacer.qt.kit.plan_view import PlanView
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import button, label, named, scrolled, shortcut, show_words
from pacer.qt.library.actions_menu import action_words
from pacer.text import _

FIELDS = ("title", "subject", "unit")
NARROW_PX, MOST_NARROW = 520, 2  # in less room the buttons after the first two are a menu


def place_words(place: LibraryShelf) -> str:
    """What it means for an outline to lie there; nothing of the teacher's own."""
    return {
        "own": "",
        "templates": _(
            "This is a template. Looking at it copies nothing, nor does teaching it; a change makes a copy "
            "of yours."
        ),
        "away": _("This is put away: it is offered nowhere else until you bring it back."),
    }[place]


def actions_for(place: LibraryShelf, row: LibraryRow, broken: BrokenFile | None) -> tuple[str, ...]:
    """What can be done with an outline, the usual first."""
    if place == "templates":
        return "look", "use", "teach", "card"
    if place == "away":
        return "back", "delete"
    change = ("keep", "before") if row.is_changed else ()
    if row.outline is not None:
        return *change, "edit", "teach", "rename", "duplicate", "card", "away", "delete"
    found = ["before"] if change else []
    if broken is not None:
        found += ["edit"] if broken.opens else []
        found += ["mend"] if broken.mend_words else []
        found += ["version"] if broken.version is not None else []
        found += ["list"] if broken.lines else []
        found += ["text"] if broken.has_text else []
    return (*found, "rename", "away", "delete")


class Details(QWidget):
    """``asked`` carries the name of an action, ``head_typed`` a field of the head and its new text.

    ``head_left`` comes when the keyboard is to go back to the list.
    """

    asked = Signal(str)
    head_typed = Signal(str, str)
    head_left = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("The chosen outline"))
        self.heading = label("", "large", wrap=True)
        self.kind = label("", "quiet", wrap=True)
        self.fields = {name: self._field(name) for name in FIELDS}
        self._title_caption = label(head_words("title"), "quiet", of=self.fields["title"])
        self._more = QWidget()
        columns = []
        for name in FIELDS[1:]:
            caption = label(head_words(name), "quiet", of=self.fields[name])
            columns.append((column_of(caption, self.fields[name], gap=2), 1))
        row_of(*columns, gap=10, inside=self._more)
        self._head = QWidget()
        column_of(self._title_caption, self.fields["title"], self._more, gap=2, inside=self._head)
        self.words = label("", wrap=True)
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByKeyboard)
        self.words.setAccessibleName(_("What is wrong with it"))
        self.plan = PlanView()
        self.offered: tuple[str, ...] = ()
        self._texts = dict.fromkeys(FIELDS, "")
        self.buttons: dict[str, QPushButton] = {}
        self._flow = Flow()
        body = QWidget()
        above = self.heading, self.kind, self._head, self.words
        column_of(*above, (self.plan, 100), (row_of(STRETCH), 1), gap=8, inside=body)
        self._column = column_of((scrolled(body, _("The chosen outline")), 1), self._flow, gap=8, inside=self)

    def _field(self, name: str) -> QLineEdit:
        field = named(QLineEdit(), head_words(name))
        field.setProperty("field", name)
        field.editingFinished.connect(self._on_typed)
        field.returnPressed.connect(self.head_left.emit)
        shortcut("Escape", field, self._on_escape, in_children=False)
        return field

    def _on_typed(self) -> None:
        field = self.sender()
        if isinstance(field, QLineEdit) and field.isModified():
            field.setModified(False)
            self.head_typed.emit(field.property("field"), field.text())

    def _on_escape(self) -> None:
        """The field says again what the file says."""
        for name, field in self.fields.items():
            field.setText(self._texts[name])
        self.head_left.emit()

    def show_row(self, place: LibraryShelf, row: LibraryRow | None, broken: BrokenFile | None) -> None:
        """Show an outline, a file that is broken, or nothing."""
        outline = None if row is None else row.outline
        is_own = row is not None and place == "own"
        self._head.setVisible(is_own)
        self._more.setVisible(outline is not None)
        self._title_caption.setText(_("Name of the file") if outline is None else head_words("title"))
        show_words(self.heading, "" if row is None or is_own else row.title)
        parts = [about_words(outline)] if outline is not None else []
        parts += [place_words(place)] if row is not None else []
        if row is not None and row.is_changed:
            parts.append(_("Another program changed this file while Pacer was open."))
        show_words(self.kind, "\n".join(part for part in parts if part))
        self.plan.setVisible(outline is not None)
        self._texts = {name: getattr(outline, name, "") for name in FIELDS}
        if outline is None and row is not None:
            self._texts["title"] = row.path.stem
        for name, field in self.fields.items():
            if field.text() != self._texts[name]:
                with QSignalBlocker(field):
                    field.setText(self._texts[name])
                    field.setCursorPosition(0)
            field.setModified(False)
        if outline is not None:
            self.plan.show_outline(outline)
        words = "" if broken is None else broken.words
        if broken is not None and broken.mend_words:
            words += "\n" + _("If Pacer mends it: {what}", what=broken.mend_words)
        show_words(self.words, words)
        self._show_actions(() if row is None else actions_for(place, row, broken))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._show_actions(self.offered)

    def _show_actions(self, actions: tuple[str, ...]) -> None:
        is_narrow = self.width() < NARROW_PX and len(actions) > MOST_NARROW + 1
        shown = (*actions[:MOST_NARROW], "more") if is_narrow else actions
        self.offered, before = actions, tuple(self.buttons)
        if shown == before:
            return
        had_focus = self._flow.isAncestorOf(self.focusWidget()) if self.focusWidget() else False
        said = {name: action_words(name) for name in shown}
        self.buttons = {name: button(words, self._on_action, tip=tip) for name, (words, tip) in said.items()}
        flow = named(Flow(*self.buttons.values()), _("What can be done with it"))
        self._column.replaceWidget(self._flow, flow)
        self._flow.hide()
        self._flow.deleteLater()
        self._flow = flow
        flow.show()
        if had_focus and shown:
            self.buttons[shown[0]].setFocus()

    def _on_action(self) -> None:
        name = next((name for name, pressed in self.buttons.items() if pressed is self.sender()), None)
        if name is not None:
            self.asked.emit(name)

    def edit_title(self) -> None:
        """Put the keyboard into the title, all of it chosen, as F2 does everywhere."""
        field = self.fields["title"]
        field.setFocus()
        field.selectAll()
