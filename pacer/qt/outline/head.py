"""The Outline page's top row: title, subject, block and mini lesson, with what is wrong in words."""

from collections.abc import Mapping

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QLabel, QLineEdit, QWidget

from pacer.frames.words.outline import head_words
from pacer.plan.draft.check import DraftCheck
from pacer.plan.draft.draft import Draft
from pacer.plan.draft.fields import tidied
from pacer.plan.durations import brief_duration
from pacer.plan.file.model import BlockTable
from pacer.qt.kit import theme
from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.widgets import label, named, set_look, show_words
from pacer.qt.outline.text_pane import PageKeys
from pacer.text import _

# The block's other fields stand with the groups and the share.
BLOCK_ROW = ("minutes", "mini_lesson")
FIELD_PX, LEAST_FIELD_PX = 116, 74


def _help(name: str) -> str:
    return {
        "title": _("The lesson's title"),
        "subject": _("What it is a lesson of"),
        "minutes": _("Minutes from the start of the block to the bell"),
        "mini_lesson": _("Minutes for all together; the sum of the budgets when nothing is written"),
    }[name]


def usual_words(name: str) -> str:
    """What a field of the block is where nothing is written; empty where that hangs on others."""
    value = getattr(BlockTable(), name)
    if value is None or not isinstance(value, int):
        return ""
    return str(value) if name == "groups" else brief_duration(value)


def line_field(name: str, help_words: str, keys: PageKeys) -> QLineEdit:
    """A line that leaves undo to the page."""
    line = named(QLineEdit(), name)
    line.setFont(theme.font(16))
    line.installEventFilter(keys)
    line.setToolTip(help_words)
    line.setAccessibleDescription(help_words)
    return line


def caption(words: str, field: QWidget) -> QLabel:
    """The small words above a field."""
    above = label(words, "quiet", of=field)
    above.setFont(theme.font(14))
    return above


def show_value(field: QLineEdit, name: str, value: str) -> None:
    """Show a value unless the field says it already, in its own way."""
    if tidied(name, field.text()) != value:
        blocked = QSignalBlocker(field)
        field.setText(value)
        field.setCursorPosition(0)  # its beginning is what tells it apart
        del blocked


class OutlineHead(QWidget):
    """``edited`` carries (field, text); the fields are told apart by their names."""

    edited = Signal(str, str)

    def __init__(self, keys: PageKeys) -> None:
        super().__init__()
        self.fields: dict[str, QLineEdit] = {}
        self._names: dict[QLineEdit, str] = {}
        fields = row_of(gap=12)
        for name in ("title", "subject", *BLOCK_ROW):
            field = line_field(head_words(name), _help(name), keys)
            field.textEdited.connect(self._on_edited)
            self.fields[name], self._names[field] = field, name
            if name in BLOCK_ROW:
                field.setMinimumWidth(LEAST_FIELD_PX)
                field.setMaximumWidth(FIELD_PX)
                field.setPlaceholderText(usual_words(name))
            under = column_of(caption(head_words(name), field), field, gap=2)
            fields.addLayout(under, {"title": 5, "subject": 3}.get(name, 1))
        self.told = label("", wrap=True)
        column_of(fields, self.told, gap=4, inside=self)

    def show_draft(self, draft: Draft, look: DraftCheck) -> None:
        """Show a draft's fields and what is wrong with them."""
        for name, field in self.fields.items():
            part = draft.block if name in BLOCK_ROW else draft
            show_value(field, name, str(getattr(part, name)))
        outline = look.outline
        planned = brief_duration(outline.mini_lesson_s) if outline and not draft.block.mini_lesson else ""
        self.fields["mini_lesson"].setPlaceholderText(planned)
        self._tell(draft, look.problems)

    def _tell(self, draft: Draft, problems: Mapping[tuple[str | None, str | None], str]) -> None:
        wrong = {name: words for (key, name), words in problems.items() if key is None and name}
        if not draft.phases:  # an outline that is just being begun isn't wrong
            wrong.pop("title", None)
            wrong.pop("format", None)  # where the file would have its first phase
        for name, field in self.fields.items():
            set_look(field, "wrong", name in wrong)
            field.setAccessibleDescription(wrong.get(name) or _help(name))
        lines = [f"{head_words(name)}: {words}" for name, words in wrong.items()]
        show_words(self.told, "   ".join(lines))

    def _on_edited(self, text: str) -> None:
        field = self.sender()
        if isinstance(field, QLineEdit):
            self.edited.emit(self._names[field], text)
