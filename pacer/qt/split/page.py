"""Split: which part of the curriculum's lesson all children hear, and what becomes of the rest."""

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QPlainTextEdit, QWidget

from pacer.frames.words.split import verdict
from pacer.plan.split.sheet import SplitSheet
from pacer.plan.split.split import Where
from pacer.plan.split.text import outline_lines, read_parts, table_lines, title_line, with_move
from pacer.qt.kit import theme
from pacer.qt.kit.flow import Flow
from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.widgets import button, label, named, show_words, spin_box
from pacer.qt.split.fate_columns import FateColumns
from pacer.text import _

MOST_PROBLEMS_SHOWN = 3


class SplitPage(QWidget):
    """The parts as text on the left, their columns on the right.

    ``changed`` comes when the text or a number changed; ``outline_asked`` carries the lines of tomorrow's
    outline and those of the table list.
    """

    changed = Signal()
    outline_asked = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Split"))
        self.sheet = SplitSheet()
        self._lines: tuple[int, ...] = ()
        self._build()
        self._refresh()

    def _build(self) -> None:
        self.text = named(QPlainTextEdit(), _("Parts of the lesson, one a line"))
        self.text.setFont(theme.font(16))
        self.text.setTabChangesFocus(True)
        self.text.setPlaceholderText(
            _("Fold a strip 5\nName the parts 8 [everyone]\nMark thirds 10 value 3 needs 2")
        )
        self.text.textChanged.connect(self._on_change)
        self.problems = label("", "notice", wrap=True)
        self.columns = FateColumns()
        self.columns.moved.connect(self._on_moved)
        self.verdict = label("", "large", wrap=True)
        self.details = label("", wrap=True)
        self.make_button = button(
            _("&Make tomorrow's outline"),
            self._on_make,
            tip=_("Ctrl+Enter: what all hear becomes its phases"),
        )
        shortcut = QShortcut(QKeySequence("Ctrl+Return"), self)
        shortcut.activated.connect(self.make_button.click)
        heading = label(_("The curriculum's &lesson"), bold=True, of=self.text)
        marks = _("[everyone] [materials] [extension] [independent], value 3, needs 2")
        left = column_of(heading, label(marks, "quiet", wrap=True), (self.text, 1), self.problems, gap=6)
        keys = _("Alt+Left, Alt+Right or the mouse move a part; Delete leaves it to the split.")
        right = column_of(self._build_rooms(), (self.columns, 1), label(keys, "quiet", wrap=True))
        self.notice = label("", "notice", wrap=True)
        self.notice.hide()
        sides = row_of((left, 3), (right, 7), gap=28)
        foot = row_of((column_of(self.verdict, self.details), 1), self.make_button, gap=24)
        column_of(self.notice, (sides, 1), foot, gap=14, inside=self, margins=(36, 18, 36, 24))

    def _build_rooms(self) -> Flow:
        """How much room there is: for all, at the table, and how many tables; on two lines if need be."""
        sheet = self.sheet
        self.whole_minutes = spin_box(sheet.whole_group_s // 60, 1, 180, _("Minutes for the whole group"))
        self.table_minutes = spin_box(sheet.table_s // 60, 0, 180, _("Minutes of one visit at the table"))
        self.tables = spin_box(sheet.tables, 0, 12, _("How many tables"))
        fields = []
        for words, spin, unit in (
            (_("&Whole group"), self.whole_minutes, _("min")),
            (_("one visit at the &table"), self.table_minutes, _("min")),
            (_("table&s"), self.tables, ""),
        ):
            spin.valueChanged.connect(self._on_change)
            # They stay together when the row goes on in the next line.
            field = QWidget()
            row_of(label(words, of=spin), spin, label(unit, "quiet"), gap=10, inside=field)
            fields.append(field)
        return Flow(*fields, gap=24)

    def show_text(self, text: str, whole_group_s: int, table_s: int, tables: int) -> None:
        """Show a lesson and the room for it, without telling of a change."""
        fields = self.text, self.whole_minutes, self.table_minutes, self.tables
        blocked = [QSignalBlocker(field) for field in fields]
        self.text.setPlainText(text)
        self.whole_minutes.setValue(whole_group_s // 60)
        self.table_minutes.setValue(table_s // 60)
        self.tables.setValue(tables)
        del blocked
        self._refresh()

    def tell(self, text: str) -> None:
        """Say what went wrong with keeping the sheet; empty takes it away."""
        show_words(self.notice, text)

    def _refresh(self) -> None:
        read = read_parts(self.text.toPlainText())
        self._lines = read.lines
        self.sheet = SplitSheet(
            whole_group_s=self.whole_minutes.value() * 60,
            table_s=self.table_minutes.value() * 60,
            tables=self.tables.value(),
            parts=read.parts,
        )
        outcome = self.sheet.outcome()
        self.columns.show_sheet(self.sheet, outcome)
        first, *others = verdict(self.sheet, outcome)
        self.verdict.setText(first)
        self.details.setText("\n".join(others))
        shown = [
            _("Line {n}: {why}").format(n=p.line, why=p.why) for p in read.problems[:MOST_PROBLEMS_SHOWN]
        ]
        show_words(self.problems, "\n".join(shown))
        self.make_button.setEnabled("whole group" in outcome.fates)

    def _on_change(self) -> None:
        self._refresh()
        self.changed.emit()

    def _on_moved(self, move: tuple[int, Where | None]) -> None:
        at, to = move
        text = with_move(self.text.toPlainText(), self._lines[at], to)
        cursor = self.text.textCursor()
        # As one edit, so that Ctrl+Z takes the move back.
        cursor.beginEditBlock()
        cursor.select(cursor.SelectionType.Document)
        cursor.insertText(text)
        cursor.endEditBlock()

    def _on_make(self) -> None:
        title = title_line(self.text.toPlainText())
        phases = outline_lines(self.sheet)
        self.outline_asked.emit(((title, *phases) if title else phases, table_lines(self.sheet)))
