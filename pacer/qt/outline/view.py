"""The parts of the Outline page and their layout."""

from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QPushButton, QStackedWidget, QWidget

from pacer.frames.outline_feedback import OutlineFeedback
from pacer.frames.words.outline import head_words
from pacer.plan.draft.check import DraftCheck
from pacer.plan.draft.draft import DraftPhase
from pacer.plan.draft.with_text import TypedDraft
from pacer.qt.kit import theme
from pacer.qt.kit.rows import RIGHT, STRETCH, column_of, row_of
from pacer.qt.kit.style import coloured
from pacer.qt.kit.widgets import button, label, named, scrolled, show_words
from pacer.qt.outline.bar import NoticeBar, OutlineBar
from pacer.qt.outline.fit_bar import FitBar
from pacer.qt.outline.groups_panel import GroupsPanel
from pacer.qt.outline.head import OutlineHead
from pacer.qt.outline.phase_details import PhaseDetails
from pacer.qt.outline.phase_model import PhaseTableModel
from pacer.qt.outline.phase_table import PhaseTableView
from pacer.qt.outline.preview.panel import ClassPreview
from pacer.qt.outline.text_pane import PageKeys, TextPane, notes_editor, put_text
from pacer.qt.outline.versions_panel import VersionsPanel
from pacer.qt.outline.what_moves import MoveMenu
from pacer.settings.draft_store import DraftStore
from pacer.text import _

# Sizes of the text's and the table's letters by the least width of the page, in pixels.
TYPE_PX = ((1600, 22, 19), (1200, 18, 16), (0, 16, 15))
HIGH_PX = 900  # of a page on which the sums are always seen

_SHEET = """
QLineEdit {{ border: 1px solid {outline}; border-radius: 5px; padding: 3px 6px; min-height: 20px; }}
QLineEdit:focus {{ border: 2px solid {ink}; padding: 2px 5px; }}
*[wrong="true"] {{ background: {sand}; border: 2px dashed {outline}; }}
QTableView {{ border: 1px solid {outline}; border-radius: 6px; outline: 0; padding: 1px; }}
QTableView:focus {{ border: 2px solid {ink}; padding: 0; }}
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
        self._page_keys = PageKeys(self)
        self._build(own_folder, store)
        self.setStyleSheet(coloured(_SHEET))

    def _build(self, own_folder: Path, store: DraftStore) -> None:
        self.bar, self.notice = OutlineBar(own_folder), NoticeBar()
        self.tomorrow_note_line = named(label("", bold=True, wrap=True), _("One thing tomorrow"))
        self.tomorrow_note_line.hide()
        self.head = OutlineHead(self._page_keys)
        self.pane = TextPane(self._page_keys)
        self.model = PhaseTableModel(self)
        self.table = PhaseTableView(self.model)
        self.row_line = named(label("", "quiet", wrap=True), _("The chosen phase"))
        self.whole_line = label("", bold=True, wrap=True)
        self.whole_line.setAlignment(RIGHT)
        self.move_menu = MoveMenu(self)
        self.move_button = button(_("Choose &what moves"), role="small")
        self.move_button.setMenu(self.move_menu)
        self.table_list = notes_editor(head_words("table_list"), self._page_keys)
        self.details = PhaseDetails(self._page_keys)
        self.groups_panel = GroupsPanel(self._page_keys, self.table_list)
        tip = _("Alt+P: what the chosen phase has beside its title and minutes")
        self.details_button = button(_("More of this &phase"), self._on_fold, "small", tip)
        tip = _("Alt+G: groups, stations, share, and the times of the block")
        self.groups_button = button(_("&Groups and times"), self._on_fold, "small", tip)
        self.folded: dict[QPushButton, PhaseDetails | GroupsPanel] = {
            self.details_button: self.details,
            self.groups_button: self.groups_panel,
        }
        for opens, panel in self.folded.items():
            opens.setCheckable(True)
            panel.hide()
        self.fit_bar = FitBar()
        self.preview = ClassPreview()
        self.versions = VersionsPanel(store)
        self.middle = QStackedWidget()
        self.middle.addWidget(self._build_middle())
        self.middle.addWidget(self.versions)
        inner = QWidget()
        above = self.bar, self.notice, self.tomorrow_note_line, self.head, self.fit_bar
        column_of(*above, (self.middle, 1), gap=8, inside=inner, margins=(36, 8, 36, 12))
        # In a window smaller than all this, the page is scrolled: a page never makes its window grow.
        self.area = scrolled(inner, _("Outline"))
        column_of(self.area, inside=self)

    def _build_middle(self) -> QWidget:
        """Text, phases and the Wall's picture side by side; what is folded stands below them."""
        tip = _("Ctrl+Shift+V: read a lesson that you paste, or a document, a spreadsheet, a calendar")
        self.take_button = button(_("Take w&hat I have…"), role="small", tip=tip)
        said = row_of((self.row_line, 6), (self.whole_line, 6), self.move_button, gap=12)
        folds = row_of(self.details_button, self.groups_button, STRETCH, self.take_button, gap=8)
        middle = QWidget()
        self._columns = row_of((self.pane, 4), (self.table, 6), (self.preview, 5), gap=20)
        panels = self.fit_bar.notices, said, folds, self.details, self.groups_panel, self.fit_bar.details
        column_of((self._columns, 1), *panels, gap=8, inside=middle)
        return middle

    def _on_fold(self) -> None:
        """Open what a button leads to in the place of what is open, or fold it away again."""
        pressed = self.sender()
        for opens, panel in self.folded.items():
            if opens is not pressed:
                opens.setChecked(False)
            panel.setVisible(opens.isChecked())
            if panel.isVisible():
                # It is laid out by now only where it was open before.
                QTimer.singleShot(0, panel, self._show_folded)
                panel.begin()
        self._show_sums()

    def _show_folded(self) -> None:
        """Scroll to what was opened, as far as its buttons stay in sight."""
        for opens, panel in self.folded.items():
            if panel.isVisible():
                self.area.ensureWidgetVisible(panel, 0, 8)
                self.area.ensureWidgetVisible(opens, 0, 8)

    def _show_sums(self) -> None:
        """The sums stand under the bar where the block's times are edited, or where there is room for all."""
        self.fit_bar.details.setVisible(self.groups_button.isChecked() or self.height() >= HIGH_PX)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The wider the page, the larger its type."""
        super().resizeEvent(event)
        text, table = next(sizes for least, *sizes in TYPE_PX if self.width() >= least)
        self.pane.editor.setFont(theme.font(text))
        self.table.set_type(table)
        self._show_sums()

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
        self.details.show_phase(phase, problems, look.phases.get(phase.key) if phase else None)
        self.details_button.setEnabled(phase is not None)
        self.row_line.setText(feedback.row_words(phase, problems) if phase else "")

    def show_tomorrow_note(self, words: str) -> None:
        """Show what the teacher wanted to change since the last lesson; nothing: no line."""
        show_words(self.tomorrow_note_line, words)
