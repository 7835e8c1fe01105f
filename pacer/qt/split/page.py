"""Split: which part of the curriculum's lesson all children hear, and what becomes of the rest."""

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QPlainTextEdit, QSpinBox, QVBoxLayout, QWidget

from pacer.frames.words.split import verdict
from pacer.plan.split.sheet import SplitSheet
from pacer.plan.split.split import Where
from pacer.plan.split.text import outline_lines, read_parts, table_lines, title_line, with_move
from pacer.qt.kit import theme
from pacer.qt.kit.flow import Flow
from pacer.qt.kit.widgets import button, label, named
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
        self.text = QPlainTextEdit()
        self.text.setFont(theme.font(16))
        self.text.setTabChangesFocus(True)
        self.text.setPlaceholderText(
            _("Fold a strip 5\nName the parts 8 [everyone]\nMark thirds 10 value 3 needs 2")
        )
        named(self.text, _("Parts of the lesson, one a line"))
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
        left = QVBoxLayout()
        left.setSpacing(6)
        heading = label(_("The curriculum's &lesson"), bold=True)
        heading.setBuddy(self.text)
        left.addWidget(heading)
        marks = _("[everyone] [materials] [extension] [independent], value 3, needs 2")
        left.addWidget(label(marks, "quiet", wrap=True))
        left.addWidget(self.text, 1)
        left.addWidget(self.problems)
        right = QVBoxLayout()
        right.addWidget(self._build_rooms())
        right.addWidget(self.columns, 1)
        right.addWidget(
            label(
                _("Alt+Left, Alt+Right or the mouse move a part; Delete leaves it to the split."),
                "quiet",
                wrap=True,
            )
        )
        sides = QHBoxLayout()
        sides.setSpacing(28)
        sides.addLayout(left, 3)
        sides.addLayout(right, 7)
        foot = QHBoxLayout()
        foot.setSpacing(24)
        words = QVBoxLayout()
        words.addWidget(self.verdict)
        words.addWidget(self.details)
        foot.addLayout(words, 1)
        foot.addWidget(self.make_button)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(36, 18, 36, 24)
        whole.setSpacing(14)
        self.notice = label("", "notice", wrap=True)
        self.notice.hide()
        whole.addWidget(self.notice)
        whole.addLayout(sides, 1)
        whole.addLayout(foot)

    def _build_rooms(self) -> Flow:
        """How much room there is: for all, at the table, and how many tables; on two lines if need be."""
        fields = []
        self.whole_minutes = self._spin(
            self.sheet.whole_group_s // 60, 1, 180, _("Minutes for the whole group")
        )
        self.table_minutes = self._spin(
            self.sheet.table_s // 60, 0, 180, _("Minutes of one visit at the table")
        )
        self.tables = self._spin(self.sheet.tables, 0, 12, _("How many tables"))
        for words, spin, unit in (
            (_("&Whole group"), self.whole_minutes, _("min")),
            (_("one visit at the &table"), self.table_minutes, _("min")),
            (_("table&s"), self.tables, ""),
        ):
            caption = label(words)
            caption.setBuddy(spin)
            fields.append(_side_by_side(caption, spin, label(unit, "quiet")))
        return Flow(*fields, gap=24)

    def _spin(self, value: int, low: int, high: int, name: str) -> QSpinBox:
        spin = QSpinBox()
        spin.setRange(low, high)
        spin.setValue(value)
        spin.valueChanged.connect(self._on_change)
        spin.lineEdit().setTextMargins(8, 0, 8, 0)
        named(spin, name)
        return spin

    def show_text(self, text: str, whole_group_s: int, table_s: int, tables: int) -> None:
        """Show a lesson and the room for it, without telling of a change."""
        blocked = [
            QSignalBlocker(w) for w in (self.text, self.whole_minutes, self.table_minutes, self.tables)
        ]
        self.text.setPlainText(text)
        self.whole_minutes.setValue(whole_group_s // 60)
        self.table_minutes.setValue(table_s // 60)
        self.tables.setValue(tables)
        del blocked
        self._refresh()

    def tell(self, text: str) -> None:
        """Say what went wrong with keeping the sheet; empty takes it away."""
        self.notice.setText(text)
        self.notice.setVisible(bool(text))

    def _refresh(self) -> None:
        read = read_parts(self.text.toPlainText())
        self._lines = read.lines
        self.sheet = SplitSheet(
            whole_group_s=self.whole_minutes.value() * 60,
            table_s=self.table_minutes.value() * 60,
            tables=self.tables.value(),
            parts=read.parts,
        )
        made = self.sheet.outcome()
        self.columns.show_sheet(self.sheet, made)
        first, *others = verdict(self.sheet, made)
        self.verdict.setText(first)
        self.details.setText("\n".join(others))
        shown = [
            _("Line {n}: {why}").format(n=p.line, why=p.why) for p in read.problems[:MOST_PROBLEMS_SHOWN]
        ]
        self.problems.setText("\n".join(shown))
        self.problems.setVisible(bool(shown))
        self.make_button.setEnabled("whole group" in made.fates)

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


def _side_by_side(*widgets: QWidget) -> QWidget:
    """Widgets that stay together when a row goes on in the next line."""
    holder = QWidget()
    row = QHBoxLayout(holder)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(10)
    for widget in widgets:
        row.addWidget(widget)
    return holder
