"""The Outline page's top row: title, subject and the block's fields, with what is wrong in words."""

from collections.abc import Mapping

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from pacer.frames.outline_words import head_words
from pacer.plan.draft.check import DraftCheck
from pacer.plan.draft.draft import Draft
from pacer.plan.draft.fields import BLOCK_FIELDS, tidied
from pacer.plan.durations import brief_duration
from pacer.plan.file.model import BlockTable
from pacer.qt.kit import theme
from pacer.qt.kit.widgets import label, named
from pacer.qt.outline.text_pane import PageKeys
from pacer.text import _

FIELD_PX, LEAST_FIELD_PX = 92, 58


def _help(name: str) -> str:
    return {
        "title": _("The lesson's title"),
        "subject": _("What it is a lesson of"),
        "minutes": _("Minutes from the start of the block to the bell"),
        "mini_lesson": _("Minutes for all together; the sum of the budgets when nothing is written"),
        "move": _("Minutes for moving to the groups"),
        "groups": _("How many groups come to the table"),
        "swap": _("Minutes for each change of groups"),
        "clean_up": _("Minutes for putting away"),
        "share": _("Minutes for the share at the end"),
    }[name]


def _usual(name: str) -> str:
    value = getattr(BlockTable(), name)
    if value is None:
        return ""
    return str(value) if name == "groups" else brief_duration(value)


def line_field(name: str, help_words: str, keys: PageKeys) -> QLineEdit:
    """A line that leaves undo to the page."""
    made = QLineEdit()
    made.setFont(theme.font(15))
    made.installEventFilter(keys)
    made.setToolTip(help_words)
    made.setAccessibleDescription(help_words)
    named(made, name)
    return made


def show_value(field: QLineEdit, name: str, value: str) -> None:
    """Show a value unless the field says it already, in its own way."""
    if tidied(name, field.text()) != value:
        blocked = QSignalBlocker(field)
        field.setText(value)
        field.setCursorPosition(0)  # its beginning is what tells it apart
        del blocked


def mark(field: QWidget, wrong: bool) -> None:
    """Mark a field as wrong; the sheet shows it by its border and its ground."""
    if bool(field.property("wrong")) != wrong:
        field.setProperty("wrong", wrong)
        field.style().unpolish(field)
        field.style().polish(field)


class OutlineHead(QWidget):
    """``edited`` carries (field, text); the fields are told apart by their names."""

    edited = Signal(str, str)

    def __init__(self, keys: PageKeys) -> None:
        super().__init__()
        self.fields: dict[str, QLineEdit] = {}
        self._names: dict[QLineEdit, str] = {}
        row = QHBoxLayout()
        row.setSpacing(12)
        for name in ("title", "subject", *BLOCK_FIELDS):
            field = line_field(head_words(name), _help(name), keys)
            field.textEdited.connect(self._on_edited)
            self.fields[name], self._names[field] = field, name
            if name in BLOCK_FIELDS:
                field.setMinimumWidth(LEAST_FIELD_PX)
                field.setMaximumWidth(FIELD_PX)
                field.setPlaceholderText(_usual(name))
            caption = label(head_words(name), "quiet")
            caption.setFont(theme.font(13))
            caption.setBuddy(field)
            column = QVBoxLayout()
            column.setSpacing(2)
            column.addWidget(caption)
            column.addWidget(field)
            row.addLayout(column, {"title": 5, "subject": 3}.get(name, 1))
        self.told = label("", wrap=True)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(4)
        whole.addLayout(row)
        whole.addWidget(self.told)

    def show_draft(self, draft: Draft, look: DraftCheck) -> None:
        """Show a draft's fields and what is wrong with them."""
        for name, field in self.fields.items():
            part = draft.block if name in BLOCK_FIELDS else draft
            show_value(field, name, str(getattr(part, name)))
        outline = look.outline
        planned = brief_duration(outline.mini_lesson_s) if outline and not draft.block.mini_lesson else ""
        self.fields["mini_lesson"].setPlaceholderText(planned)
        self._tell(draft, look.problems)

    def _tell(self, draft: Draft, problems: Mapping[tuple[str | None, str | None], str]) -> None:
        found = {name: words for (key, name), words in problems.items() if key is None and name}
        if not draft.phases:  # an outline that is just being begun isn't wrong
            found.pop("title", None)
        for name, field in self.fields.items():
            mark(field, name in found)
            field.setAccessibleDescription(found.get(name) or _help(name))
        lines = [f"{head_words(name)}: {words}" for name, words in found.items()]
        self.told.setText("   ".join(lines))
        self.told.setVisible(bool(lines))

    def _on_edited(self, text: str) -> None:
        field = self.sender()
        if isinstance(field, QLineEdit):
            self.edited.emit(self._names[field], text)
