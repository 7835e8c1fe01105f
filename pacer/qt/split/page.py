"""Split: which part of the curriculum's lesson all children hear, and what becomes of the rest."""

from collections.abc import Sequence
from itertools import islice

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QStackedWidget, QWidget

from pacer.frames.words.split import line_words, verdict
from pacer.plan.draft.draft import minutes_text
from pacer.plan.split.sheet import SplitSheet, staying
from pacer.plan.split.split import Where
from pacer.plan.split.text import SplitText, outline_lines, read_parts, table_lines, title_line, with_move
from pacer.qt.kit import theme
from pacer.qt.kit.bounded_edit import BoundedEdit
from pacer.qt.kit.empty.page import EmptyPage
from pacer.qt.kit.flow import Flow
from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.widgets import button, label, named, notice, shortcut, show_words, spin_box
from pacer.qt.split.fate_columns import FateColumns
from pacer.text import _, ngettext

MOST_PROBLEMS_SHOWN = 3
LOW_PX = 560  # of the page; below it the columns need the room


class SplitPage(QWidget):
    """The parts as text on the left, their columns on the right.

    ``changed`` comes when the text or a number changed; ``outline_asked`` carries the lines of tomorrow's
    outline, those of the table list, and the fields of its block: the minutes for all, how many groups.
    """

    changed = Signal()
    outline_asked = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Split"))
        self.sheet = SplitSheet()
        self.fates: tuple[Where, ...] = ()
        self._lines: tuple[int, ...] = ()
        self._moves = False
        self._build()
        self._refresh()

    def _build(self) -> None:
        self.text = named(BoundedEdit(), _("Parts of the lesson, one a line"))
        self.text.setFont(theme.font(16))
        self.text.setTabChangesFocus(True)
        self.text.setPlaceholderText(
            _("Fold the paper 5\nName the halves 8 [everyone]\nMark thirds 10 value 3 needs 2")
        )
        self.text.textChanged.connect(self._on_change)
        self.text.cursorPositionChanged.connect(self._explain)
        self.explained = label("", wrap=True)
        self.problems = notice()
        self.columns = FateColumns()
        self.columns.moved.connect(self._on_moved)
        self.columns.chosen.connect(self._explain)
        self.empty = EmptyPage(
            _("Here each part of the curriculum's lesson gets its place: said once to all, at the table, "
              "or not taught."),
            "split",
            _("&Paste the lesson"),
            tip=_("Ctrl+V: from a document or a table, or type a part a line, such as Mark thirds 10"),
        )  # fmt: skip
        self.empty.asked.connect(self._on_paste)
        self.verdict = label("", "large", wrap=True)
        self.details = label("", wrap=True)
        self.make_button = button(
            _("&Make tomorrow's outline"),
            self._on_make,
            tip=_("Ctrl+Enter: what all hear becomes its phases"),
        )
        for keys, act in (
            ("Ctrl+Return", self.make_button.click), ("Ctrl+Z", self.text.undo), ("Ctrl+Y", self.text.redo),
            ("Ctrl+Shift+Z", self.text.redo),
        ):  # fmt: skip
            shortcut(keys, self, act)
        heading = label(_("The curriculum's &lesson"), bold=True, of=self.text)
        marks = _(
            "value 3 core, 1 extra · needs 2: not without part 2 · "
            "[everyone] [materials] [independent] [extension]"
        )
        marked = label(marks, "quiet", wrap=True)
        left = column_of(heading, marked, (self.text, 1), self.explained, self.problems, gap=6)
        keys = _("Drag a part, or move it: Alt+Left, Alt+Right. P pins it, Delete lets the split decide.")
        self._keys_line = label(keys, "quiet", wrap=True)
        self.columns.setAccessibleDescription(keys)
        filled = QWidget()
        column_of(self._build_rooms(), (self.columns, 1), self._keys_line, gap=8, inside=filled)
        self._right = QStackedWidget()
        self._right.addWidget(filled)
        self._right.addWidget(self.empty)
        self.notice = notice()
        sides = row_of((left, 3), (self._right, 7), gap=28)
        foot = row_of((column_of(self.verdict, self.details, gap=2), 1), self.make_button, gap=24)
        column_of(self.notice, (sides, 1), foot, gap=14, inside=self, margins=(36, 18, 36, 24))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The keys are told where there is room for them beside the parts."""
        super().resizeEvent(event)
        self._keys_line.setVisible(self.height() >= LOW_PX)

    def _build_rooms(self) -> Flow:
        """How much room there is: for all, at the table, and how many tables; on two lines if need be."""
        sheet = self.sheet
        name, unit = _("Minutes for the whole group"), _(" min")
        self.whole_minutes = spin_box(sheet.whole_group_s // 60, 1, 180, name, unit)
        name = _("Minutes of one visit at the table")
        self.table_minutes = spin_box(sheet.table_s // 60, 0, 180, name, unit)
        self.tables = spin_box(sheet.tables, 0, 12, _("How many tables"))
        fields = []
        for words, spin in (
            (_("&Whole group"), self.whole_minutes),
            (_("table &visit"), self.table_minutes),
            (_("table&s"), self.tables),
        ):
            spin.valueChanged.connect(self._on_change)
            # They stay together when the row goes on in the next line.
            field = QWidget()
            row_of(label(words, of=spin), spin, gap=10, inside=field)
            fields.append(field)
        return Flow(*fields, gap=16)

    def show_text(
        self, text: str, whole_group_s: int, table_s: int, tables: int, fates: Sequence[Where] = ()
    ) -> None:
        """Show a lesson and the room for it, without telling of a change; its parts stay where they were."""
        fields = self.text, self.whole_minutes, self.table_minutes, self.tables
        blocked = [QSignalBlocker(field) for field in fields]
        self.text.setPlainText(text)
        self.whole_minutes.setValue(whole_group_s // 60)
        self.table_minutes.setValue(table_s // 60)
        self.tables.setValue(tables)
        del blocked
        self.sheet = SplitSheet(parts=read_parts(text).parts)
        self._refresh(fates)

    def tell(self, text: str) -> None:
        """Say what went wrong with keeping the sheet; empty takes it away."""
        show_words(self.notice, text)

    def _refresh(self, fates: Sequence[Where] | None = None) -> None:
        """Split anew. Around a part that was moved by hand the others stay, where that is as good."""
        read = read_parts(self.text.toPlainText())
        before = self.fates if fates is None else fates
        stay = self._moves or fates is not None or any(part.moved_to for part in read.parts)
        self._lines = read.lines
        self.sheet = SplitSheet(
            whole_group_s=self.whole_minutes.value() * 60,
            table_s=self.table_minutes.value() * 60,
            tables=self.tables.value(),
            parts=staying(read.parts, self.sheet, before) if stay else read.parts,
        )
        outcome = self.sheet.outcome()
        self.fates = outcome.fates
        self._right.setCurrentIndex(0 if read.parts else 1)
        self.columns.show_sheet(self.sheet, outcome)
        first, *others = verdict(self.sheet, outcome)
        self.verdict.setText(first)
        self.details.setText("\n".join(others))
        show_words(self.problems, "\n".join(_told(read)))
        self.make_button.setEnabled("whole group" in outcome.fates)
        self._explain()

    def _explain(self) -> None:
        """Say of the part at the cursor what its value and its needs mean for it."""
        at = self.columns.part()
        if at is None:
            line = self.text.textCursor().blockNumber()
            at = next((part for part, there in enumerate(self._lines) if there == line), None)
        words = "" if at is None or at >= len(self.fates) else line_words(self.sheet, at, self.fates[at])
        show_words(self.explained, words)

    def _on_paste(self) -> None:
        """Put what is on the clipboard among the lines; the keyboard goes there in any case."""
        self.text.setFocus()
        self.text.paste()
        if not self.sheet.parts and not self.text.toPlainText().strip():
            words = _("Nothing to paste yet. Copy the lesson, or type a part a line: Mark thirds 10")
            show_words(self.problems, words)

    def _on_change(self) -> None:
        self._refresh()
        self.changed.emit()

    def _on_moved(self, at: int, to: Where | None) -> None:
        self._moves = True
        text = with_move(self.text.toPlainText(), self._lines[at], to)
        cursor = self.text.textCursor()
        # As one edit, so that Ctrl+Z takes the move back.
        cursor.beginEditBlock()
        cursor.select(cursor.SelectionType.Document)
        cursor.insertText(text)
        cursor.endEditBlock()
        self._moves = False

    def _on_make(self) -> None:
        title = title_line(self.text.toPlainText())
        phases = outline_lines(self.sheet)
        block = {"mini_lesson": minutes_text(self.sheet.whole_group_s)}
        if self.sheet.tables:
            block["groups"] = str(self.sheet.tables)
        self.outline_asked.emit(((title, *phases) if title else phases, table_lines(self.sheet), block))


def _told(read: SplitText) -> list[str]:
    """The lines that became no part, then those to look at; lines of one reason together."""
    by_why: dict[str, list[str]] = {}
    for line in (*read.problems, *read.doubts):
        by_why.setdefault(line.why, []).append(str(line.line))
    words = (
        ngettext("Line {n}: {why}", "Lines {n}: {why}", len(numbers)).format(n=", ".join(numbers), why=why)
        for why, numbers in by_why.items()
    )
    return list(islice(words, MOST_PROBLEMS_SHOWN))
