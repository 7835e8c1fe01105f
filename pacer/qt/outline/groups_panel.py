"""Groups and times: the second half of an outline and the block's times, folded under the outline."""

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QLineEdit, QPlainTextEdit, QSizePolicy, QVBoxLayout, QWidget

from pacer.frames.words.outline import head_words
from pacer.plan.draft.draft import Draft
from pacer.plan.draft.listed_lines import LISTED_FIELDS, listed_text, says_listed
from pacer.qt.kit import theme
from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.widgets import button, set_look
from pacer.qt.outline.head import caption, line_field, show_value, usual_words
from pacer.qt.outline.text_pane import PageKeys, notes_editor, put_text
from pacer.text import _

TIMES = ("move", "groups", "swap", "clean_up", "share", "share_floor", "visit_floor")
WORDS = ("move_words", "move_picture", "share_prompt", "order")
LINES = (*TIMES, *WORDS)
TEXT_PX = 84


def _help(name: str) -> str:
    return {
        "move": _("Minutes for the transition to the groups"),
        "groups": _("How many groups come to the table"),
        "swap": _("Minutes for each change of groups"),
        "clean_up": _("Minutes for putting away"),
        "share": _("Minutes for the share at the end"),
        "move_words": _("Two words for the Wall while children walk to their groups"),
        "move_picture": _("A picture beside the outline, on the Wall while children walk"),
        "share_prompt": _("What everybody tells in the share; the Wall shows it"),
        "order": _("Names with commas between; the others come after, as they are listed"),
        "visit_floor": _("Minutes: under it a visit is not worth the walk, and one group fewer is offered"),
        "share_floor": _("Minutes the share keeps however late it is; all of them when nothing is written"),
        "named_groups": _("One a line: name | where it sits | picture. A neutral name, never a level"),
        "stations": _("One a line: name | two words for the Wall | picture | teacher, at your own table"),
    }[name]


class GroupsPanel(QWidget):
    """``edited`` carries (field, text); ``rotation_asked`` comes when the order of a whole week is wanted.

    ``file_asked`` comes when a picture of the transition is wanted. ``table_list`` is an editor of the page's
    that stands here, too.
    """

    edited = Signal(str, str)
    rotation_asked = Signal()
    file_asked = Signal()

    def __init__(self, keys: PageKeys, table_list: QPlainTextEdit) -> None:
        super().__init__()
        self.setAccessibleName(_("Groups and times"))
        self._table_list = table_list
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
        self.lines["move_words"].setPlaceholderText(_("Small groups"))
        for name in TIMES:
            self.lines[name].setPlaceholderText(usual_words(name))
        self.choose = button(_("Choose…"), self.file_asked.emit, "small", _("Choose a picture"))
        tip = _("Ctrl+R: who is at which station in which visit of the week")
        self.rotation_button = button(_("&Rotation…"), self.rotation_asked.emit, "small", tip)
        self._lay_out()

    def _lay_out(self) -> None:
        """A row of times, a row of words, and the lists below them."""
        times = [(_under(name, self.lines[name]), 1) for name in TIMES]
        beside = {"order": [self.rotation_button], "move_picture": [self.choose]}
        words = [(_under(name, self.lines[name], *beside.get(name, [])), 1) for name in WORDS]
        lists = [
            (_under(name, self.texts[name]), share) for name, share in zip(LISTED_FIELDS, (5, 6), strict=True)
        ]
        for editor in (*self.texts.values(), self._table_list):
            editor.setFixedHeight(TEXT_PX)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(6)
        grid.addLayout(row_of(*times, gap=12), 0, 0)
        # Two and two, so that each is wide enough to be read on a narrow page.
        grid.addLayout(row_of(*words[:2], gap=12), 1, 0)
        grid.addLayout(row_of(*words[2:], gap=12), 2, 0)
        grid.addLayout(row_of(*lists, (_under("table_list", self._table_list), 5), gap=12), 3, 0)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)

    def show_draft(self, draft: Draft, problems: Mapping[tuple[str | None, str | None], str]) -> None:
        """Show a draft's groups, stations and share, and mark what is wrong with them."""
        self._draft = draft
        for name, field in self.lines.items():
            show_value(field, name, str(getattr(draft.block, name)))
        self.lines["share_floor"].setPlaceholderText(draft.block.share or usual_words("share"))
        for name, editor in self.texts.items():
            if not says_listed(draft, name, editor.toPlainText()):
                put_text(editor, listed_text(draft, name))
        for name, widget in (*self.lines.items(), *self.texts.items()):
            wrong = problems.get((None, name), "")
            set_look(widget, "wrong", bool(wrong))
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
