"""The parts of the Outline page and their layout."""

from pathlib import Path

from PySide6.QtWidgets import QSizePolicy, QStackedWidget, QWidget

from pacer.frames.outline_feedback import OutlineFeedback
from pacer.frames.words.outline import head_words
from pacer.plan.draft.check import DraftCheck
from pacer.plan.draft.draft import DraftPhase
from pacer.plan.draft.with_text import TypedDraft
from pacer.qt.kit.rows import RIGHT, column_of, row_of
from pacer.qt.kit.style import coloured
from pacer.qt.kit.widgets import button, label, named, scrolled, show_words
from pacer.qt.outline.bar import NoticeBar, OutlineBar
from pacer.qt.outline.fit_bar import FitBar
from pacer.qt.outline.groups_panel import GroupsPanel
from pacer.qt.outline.head import OutlineHead
from pacer.qt.outline.phase_details import PhaseDetails
from pacer.qt.outline.phase_model import PhaseModel
from pacer.qt.outline.phase_table import PhaseTable
from pacer.qt.outline.text_pane import PageKeys, TextPane, notes_editor, put_text
from pacer.qt.outline.versions_panel import VersionsPanel
from pacer.qt.outline.what_moves import MoveMenu
from pacer.settings.draft_store import DraftStore
from pacer.text import _

_SHEET = """
QPushButton[role="small"] {{ padding: 3px 12px; min-height: 22px; border-width: 1px; }}
QPushButton[role="small"]:focus {{ padding: 2px 11px; border-width: 2px; }}
QPushButton[role="small"]::menu-indicator {{ subcontrol-position: right center; right: 4px; }}
QLineEdit {{ border: 1px solid {outline}; border-radius: 5px; padding: 3px 6px; min-height: 20px; }}
QLineEdit:focus {{ border: 2px solid {ink}; padding: 2px 5px; }}
QPlainTextEdit:focus {{ border: 2px solid {ink}; }}
*[wrong="true"] {{ background: {sand}; border: 2px solid {ink}; }}
QTableView {{ border: 1px solid {outline}; border-radius: 6px; outline: 0; }}
QTableView:focus {{ border: 2px solid {ink}; }}
QTableView::item {{ padding: 0 8px; }}
QTableView::item:selected {{ background: {closing}; color: {ink}; }}
QTableView::item:focus {{ border: 2px solid {square}; }}
QTableView QLineEdit {{ border-radius: 0; padding: 0 5px; min-height: 0; }}
QTableView QComboBox {{ border-radius: 0; min-height: 0; }}
QHeaderView::section {{ padding: 4px 11px; }}
QComboBox {{ border: 1px solid {outline}; border-radius: 5px; padding: 3px 6px; min-height: 20px; }}
QComboBox::drop-down {{ border: 0; width: 18px; }}
QComboBox:focus {{ border: 2px solid {ink}; padding: 2px 5px; }}
"""


class OutlineView(QWidget):
    """The parts of the page."""

    def __init__(self, own_folder: Path, store: DraftStore) -> None:
        super().__init__()
        self.setAccessibleName(_("Outline"))
        self.setStyleSheet(coloured(_SHEET))
        self._page_keys = PageKeys(self)
        self._build(own_folder, store)

    def _build(self, own_folder: Path, store: DraftStore) -> None:
        self.bar, self.notice = OutlineBar(own_folder), NoticeBar()
        self.tomorrow_note_line = named(label("", bold=True, wrap=True), _("One thing tomorrow"))
        self.tomorrow_note_line.hide()
        self.head = OutlineHead(self._page_keys)
        self.pane = TextPane(self._page_keys)
        self.model = PhaseModel(self)
        self.table = PhaseTable(self.model)
        self.row_line = named(label("", "quiet", wrap=True), _("The chosen phase"))
        self.whole_line = label("", bold=True, wrap=True)
        self.whole_line.setAlignment(RIGHT)
        self.move_menu = MoveMenu(self)
        self.move_button = button(_("Choose &what moves"), role="small")
        self.move_button.setMenu(self.move_menu)
        self.details = PhaseDetails(self._page_keys)
        self.groups_panel = GroupsPanel(self._page_keys)
        self.below_table = QStackedWidget()
        self.below_table.addWidget(self.details)
        self.below_table.addWidget(self.groups_panel)
        self.below_table.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.groups_button = button("", self._on_groups, "small")
        self._fold_groups()
        self.fit_bar = FitBar()
        self.versions = VersionsPanel(store)
        self.middle = QStackedWidget()
        self.middle.addWidget(self._build_middle())
        self.middle.addWidget(self.versions)
        inner = QWidget()
        above = self.bar, self.notice, self.tomorrow_note_line, self.head
        column_of(*above, (self.middle, 1), self.fit_bar, gap=8, inside=inner, margins=(36, 8, 36, 12))
        # In a window smaller than all this, the page is scrolled: a page never makes its window grow.
        column_of(scrolled(inner, _("Outline")), inside=self)

    def _build_middle(self) -> QWidget:
        self.table_list = notes_editor(head_words("table_list"), self._page_keys)
        self.table_list.setMaximumHeight(50)
        caption = label(head_words("table_list"), "quiet", of=self.table_list)
        tip = _("Ctrl+Shift+V: read a lesson that you paste, or a document, a spreadsheet, a calendar")
        self.take_button = button(_("Ta&ke what I have…"), role="small", tip=tip)
        left = column_of((self.pane, 1), self.take_button, caption, self.table_list, gap=4)
        below = row_of((self.row_line, 6), (self.whole_line, 7), self.move_button, self.groups_button, gap=12)
        right = column_of((self.table, 1), below, gap=4)
        middle = QWidget()
        column_of((row_of((left, 3), (right, 10), gap=20), 1), self.below_table, gap=8, inside=middle)
        # From the table Tab goes on into the chosen phase's details.
        self.setTabOrder(self.groups_panel.texts["stations"], self.groups_button)
        return middle

    def _on_groups(self) -> None:
        """Show the groups and the share in the place of a phase's details, or fold them away again."""
        if self.below_table.currentWidget() is self.groups_panel:
            self._fold_groups()
            return
        self.below_table.setCurrentWidget(self.groups_panel)
        self._say_groups(_("&Phase"), _("Alt+P: the details of the chosen phase"))
        self.groups_panel.begin()

    def _fold_groups(self) -> None:
        self.below_table.setCurrentWidget(self.details)
        self._say_groups(_("&Groups"), _("Alt+G: groups and share"))

    def _say_groups(self, words: str, tip: str) -> None:
        """Say what the button leads to; it is short, since the words beside it need the room."""
        self.groups_button.setText(words)
        self.groups_button.setToolTip(tip)
        self.groups_button.setAccessibleDescription(tip)

    def show_outline(self, sheet: TypedDraft, look: DraftCheck, feedback: OutlineFeedback) -> None:
        """Show all of an outline but its text: what is wrong with it, what fits, what the past says of it."""
        self.head.show_draft(sheet, look)
        self.groups_panel.show_draft(sheet.plain, look.problems)
        if self.table_list.toPlainText() != sheet.table_list:
            put_text(self.table_list, sheet.table_list)
        self.model.show(sheet, look, feedback.past)
        self.fit_bar.show_frame(feedback.fit)
        if not sheet.phases:
            self.fit_bar.verdict.setText(_("Type or paste one phase a line, or begin with a copy."))
        show_words(self.whole_line, feedback.whole)
        self.move_menu.phases = sheet.phases
        self.move_button.setVisible(feedback.must_move)

    def show_row(self, phase: DraftPhase | None, look: DraftCheck, feedback: OutlineFeedback) -> None:
        """Show the details of the chosen phase, and a line about it."""
        problems = look.of(phase.key) if phase else {}
        self.details.show_phase(phase, problems)
        self.row_line.setText(feedback.row_words(phase, problems) if phase else "")

    def show_tomorrow_note(self, words: str) -> None:
        """Show what the teacher wanted to change since the last lesson; nothing: no line."""
        show_words(self.tomorrow_note_line, words)
