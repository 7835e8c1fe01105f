"""Groups and share: the second half of an outline, in the place of a phase's details."""

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLineEdit, QPlainTextEdit, QSizePolicy, QVBoxLayout, QWidget

from pacer.frames.words.outline import head_words
from pacer.plan.draft.draft import Draft
from pacer.plan.draft.listed_lines import LISTED_FIELDS, listed_text, says_listed
from pacer.plan.durations import brief_duration
from pacer.plan.outline import VISIT_FLOOR_S
from pacer.qt.kit import theme
from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.widgets import button
from pacer.qt.outline.head import caption, line_field, mark, show_value
from pacer.qt.outline.text_pane import PageKeys, notes_editor, put_text
from pacer.text import _

LINES = ("share_prompt", "order", "visit_floor", "share_floor")
TIME_PX = 104


def _help(name: str) -> str:
    return {
        "share_prompt": _("What everybody tells in the share; the Wall shows it"),
        "order": _("Names with commas between; the others come after, as they are listed"),
        "visit_floor": _("Minutes: under it a visit is not worth the walk, and one group fewer is offered"),
        "share_floor": _("Minutes the share keeps however late it is; all of them when nothing is written"),
        "named_groups": _("One a line: name | where it sits | picture. A neutral name, never a level"),
        "stations": _("One a line: name | two words for the Wall | picture | teacher, at your own table"),
    }[name]


class GroupsPanel(QWidget):
    """``edited`` carries (field, text); ``rotation_asked`` comes when the order of a whole week is wanted."""

    edited = Signal(str, str)
    rotation_asked = Signal()

    def __init__(self, keys: PageKeys) -> None:
        super().__init__()
        self.setAccessibleName(_("Groups and share"))
        self.lines = {name: line_field(head_words(name), _help(name), keys) for name in LINES}
        self.texts = {name: notes_editor(head_words(name), keys) for name in LISTED_FIELDS}
        self._draft = Draft()
        for field in self.lines.values():
            field.textEdited.connect(self._on_line)
        for name, editor in self.texts.items():
            editor.setFont(theme.font(14))
            editor.setToolTip(_help(name))
            editor.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
            editor.textChanged.connect(self._on_text)
        self.texts["named_groups"].setPlaceholderText(_("Circle | carpet\nTriangle | window table"))
        self.texts["stations"].setPlaceholderText(_("Our table | with me | | teacher\nGames | with dice"))
        self.lines["order"].setPlaceholderText(_("Triangle, Circle"))
        self.lines["visit_floor"].setPlaceholderText(brief_duration(VISIT_FLOOR_S))
        tip = _("Ctrl+R: who is at which station in which visit of the week")
        self.rotation_button = button(_("&Rotation…"), self.rotation_asked.emit, "small", tip)
        self._lay_out()

    def _lay_out(self) -> None:
        """Two rows, as the details have, so that the table above stays as high as it is."""
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(16)
        grid.setVerticalSpacing(6)
        for name in ("visit_floor", "share_floor"):
            self.lines[name].setFixedWidth(TIME_PX)
        for row, names in enumerate((("share_prompt", "visit_floor"), ("order", "share_floor"))):
            beside = [self.rotation_button] if names[0] == "order" else []
            grid.addLayout(_under(name := names[0], self.lines[name], *beside), row, 0)
            grid.addLayout(_under(name := names[1], self.lines[name]), row, 3)
        for column, name in enumerate(LISTED_FIELDS, start=1):
            grid.addLayout(_under(name, self.texts[name]), 0, column, 2, 1)
            self.texts[name].setMinimumHeight(60)
        for column, share in enumerate((5, 5, 7, 0)):
            grid.setColumnStretch(column, share)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)

    def show_draft(self, draft: Draft, problems: Mapping[tuple[str | None, str | None], str]) -> None:
        """Show a draft's groups, stations and share, and mark what is wrong with them."""
        self._draft = draft
        for name, field in self.lines.items():
            show_value(field, name, str(getattr(draft.block, name)))
        share = draft.block.share or brief_duration(300)
        self.lines["share_floor"].setPlaceholderText(share)
        for name, editor in self.texts.items():
            if not says_listed(draft, name, editor.toPlainText()):
                put_text(editor, listed_text(draft, name))
        for name, widget in (*self.lines.items(), *self.texts.items()):
            wrong = problems.get((None, name), "")
            mark(widget, bool(wrong))
            widget.setAccessibleDescription(wrong or _help(name))

    def begin(self) -> None:
        """Put the keyboard into the first field."""
        self.lines[LINES[0]].setFocus()

    def _on_line(self, text: str) -> None:
        name = next((name for name, field in self.lines.items() if field is self.sender()), None)
        if name is not None:
            self.edited.emit(name, text)

    def _on_text(self) -> None:
        name = next((name for name, editor in self.texts.items() if editor is self.sender()), None)
        if name is not None and not says_listed(self._draft, name, self.texts[name].toPlainText()):
            self.edited.emit(name, self.texts[name].toPlainText())


def _under(name: str, field: QLineEdit | QPlainTextEdit, *beside: QWidget) -> QVBoxLayout:
    return column_of(caption(head_words(name), field), row_of((field, 1), *beside, gap=6), gap=2)
