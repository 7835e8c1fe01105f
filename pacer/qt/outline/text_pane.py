"""Editors of the Outline page that leave undo to the page, and the pane with one phase a line."""

from functools import lru_cache

from PySide6.QtCore import QEvent, QObject, QPoint, QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QFont, QKeyEvent, QResizeEvent, QSyntaxHighlighter, QTextCharFormat, QTextCursor
from PySide6.QtWidgets import QPlainTextEdit, QWidget

from pacer.plan.draft.with_text import read
from pacer.plan.typed.read_typed import read_typed
from pacer.qt.kit import theme
from pacer.qt.kit.bounded_edit import BoundedEdit
from pacer.qt.kit.rows import column_of
from pacer.qt.kit.widgets import label, named, show_words
from pacer.text import _, ngettext

MOST_TOLD = 2
GAP_PX = 14  # between a phase's minutes and what is said behind them
_ALT = Qt.KeyboardModifier.AltModifier
_CTRL = Qt.KeyboardModifier.ControlModifier
_CTRL_SHIFT = _CTRL | Qt.KeyboardModifier.ShiftModifier
# Keys that editors would take for themselves and that mean something for the whole page.
_OF_PAGE = {(Qt.Key.Key_Z, _CTRL), (Qt.Key.Key_Z, _CTRL_SHIFT), (Qt.Key.Key_Y, _CTRL), (Qt.Key.Key_U, _CTRL)}


class PageKeys(QObject):
    """An event filter that keeps an editor from taking the page's shortcuts."""

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        if not isinstance(event, QKeyEvent) or event.type() != QEvent.Type.ShortcutOverride:
            return False
        if (Qt.Key(event.key()), event.modifiers()) in _OF_PAGE:
            event.ignore()
            return True
        return False


class LowEditor(BoundedEdit):
    """An editor that is a few lines high unless its layout has room for more."""

    def sizeHint(self) -> QSize:
        return QSize(120, 66)


def notes_editor(name: str, keys: PageKeys, editor: LowEditor | None = None) -> LowEditor:
    """An editor of several lines: Tab leaves it, and the page undoes for it."""
    editor = named(LowEditor() if editor is None else editor, name)
    editor.setTabChangesFocus(True)
    editor.setUndoRedoEnabled(False)
    editor.installEventFilter(keys)
    return editor


def put_text(editor: QPlainTextEdit, text: str) -> None:
    """Put another text in, changing only what differs, so that the cursor stays where it was."""
    old = editor.toPlainText()
    if old == text:
        return
    start = 0
    while start < min(len(old), len(text)) and old[start] == text[start]:
        start += 1
    end = 0
    while end < min(len(old), len(text)) - start and old[-1 - end] == text[-1 - end]:
        end += 1
    with QSignalBlocker(editor):
        cursor = QTextCursor(editor.document())
        cursor.setPosition(_units(old[:start]))
        cursor.setPosition(_units(old[: len(old) - end]), QTextCursor.MoveMode.KeepAnchor)
        cursor.insertText(text[start : len(text) - end])


def _units(text: str) -> int:
    """The length of a text in UTF-16 units, in which Qt counts."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


class LineEditor(LowEditor):
    """An editor of lines, of which the one at the cursor moves: ``moved`` carries ``up`` or ``down``."""

    moved = Signal(str)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        ways = {Qt.Key.Key_Up: "up", Qt.Key.Key_Down: "down"}
        way = ways.get(Qt.Key(event.key()))
        if way is not None and event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier == _ALT:
            self.moved.emit(way)
        else:
            super().keyPressEvent(event)


class ApartLines(QSyntaxHighlighter):
    """Sets what stands behind a phase's minutes apart, so that "4:30 34 + 20" reads as a time and a task."""

    def highlightBlock(self, text: str) -> None:
        task = _task_of(text)
        at = text.rfind(task) if task else -1
        if at < 1:
            return
        gap, quiet = QTextCharFormat(), QTextCharFormat()
        gap.setFontLetterSpacingType(QFont.SpacingType.AbsoluteSpacing)
        gap.setFontLetterSpacing(GAP_PX)
        quiet.setForeground(theme.SECONDARY)
        self.setFormat(_units(text[: at - 1]), 1, gap)
        self.setFormat(_units(text[:at]), _units(text[at:]), quiet)
        budget = text[:at].rstrip(" |,·(-–—").rsplit(" ", 1)[-1]
        strong = QTextCharFormat()
        strong.setFont(theme.font(self.document().defaultFont().pixelSize(), theme.SEMIBOLD))
        begin = text[:at].rfind(budget)
        if begin > 0:
            self.setFormat(_units(text[:begin]), _units(budget), strong)


@lru_cache(maxsize=256)
def _task_of(line: str) -> str:
    """What a line that is read alone says to the class behind its minutes; empty where it is no phase."""
    phases = () if not line.strip() or line[0].isspace() else read_typed(line).phases
    return phases[0].class_line if len(phases) == 1 and phases[0].seconds is not None else ""


class TextPane(QWidget):
    """One phase a line. ``typed`` carries the text; ``line_chosen`` the number of the phase at the cursor.

    ``line_moved`` carries ``up`` or ``down`` for that phase.
    """

    typed = Signal(str)
    line_chosen = Signal(int)
    line_moved = Signal(str)

    def __init__(self, keys: PageKeys) -> None:
        super().__init__()
        lines = LineEditor()
        self.editor = notes_editor(_("Outline as text, one phase a line"), keys, lines)
        self.editor.setFont(theme.font(16))
        lines.moved.connect(self.line_moved.emit)
        self.apart = ApartLines(self.editor.document())
        self.editor.setPlaceholderText(_("Warm-up 2\nReview 3\nModel 7 adding thirds\nPractice 8"))
        self.editor.setAccessibleDescription(_("Type or paste a title and its minutes on each line"))
        self.told = label("", "quiet", wrap=True)
        self.told.setFont(theme.font(14))
        self.told.setAccessibleName(_("Lines that were not understood"))
        heading = label(_("One phase a &line"), bold=True, of=self.editor)
        column_of(heading, (self.editor, 1), self.told, gap=4, inside=self)
        self.editor.textChanged.connect(self._on_typed)
        self.editor.cursorPositionChanged.connect(self._on_cursor)

    def show_text(self, text: str) -> None:
        """Show another text, and which lines were not understood."""
        put_text(self.editor, text)
        self._tell()

    def _on_typed(self) -> None:
        self.typed.emit(self.editor.toPlainText())

    def _on_cursor(self) -> None:
        self._tell()
        at = self.phase_at_cursor()
        if at is not None and self.editor.hasFocus():
            self.line_chosen.emit(at)

    def _numbers(self) -> list[int]:
        """The numbers of the lines, from 1, on which phases begin."""
        return [each.number for each in read(self.editor.toPlainText()).lines for _phase in each.phases]

    def line_at(self, at: QPoint) -> int | None:
        """The place among the phases of the one whose lines stand at a point of the editor; None for none."""
        line = self.editor.cursorForPosition(at).blockNumber() + 1
        before = sum(number <= line for number in self._numbers()) - 1
        return before if before >= 0 else None

    def phase_at_cursor(self) -> int | None:
        """The number of the phase whose lines the cursor is in, from 0; None above the first."""
        at = sum(number <= self._line() for number in self._numbers()) - 1
        return at if at >= 0 else None

    def go_to_phase(self, at: int) -> None:
        """Put the cursor at the end of a phase's first line."""
        numbers = self._numbers()
        if at < len(numbers):
            block = self.editor.document().findBlockByNumber(numbers[at] - 1)
            cursor = QTextCursor(block)
            cursor.movePosition(QTextCursor.MoveOperation.EndOfBlock)
            self.editor.setTextCursor(cursor)

    def _line(self) -> int:
        return self.editor.textCursor().blockNumber() + 1

    def _tell(self) -> None:
        """Name the lines that became nothing, then those to look at; the line being typed isn't done yet."""
        typed = read(self.editor.toPlainText())
        writing = self._line() if self.editor.hasFocus() else 0
        lines = [line for line in typed.not_understood if line.number != writing]
        lines += [line for line in typed.to_look_at if line.number != writing]
        by_why: dict[str, list[str]] = {}
        for line in lines:
            by_why.setdefault(line.why, []).append(str(line.number))
        words = [_told(numbers, why) for why, numbers in by_why.items()]
        if len(words) > MOST_TOLD:
            words[MOST_TOLD:] = [_("and {n} more").format(n=len(words) - MOST_TOLD)]
        show_words(self.told, "\n".join(words))
        self._make_room()

    def _make_room(self) -> None:
        """Set the label's least height: Qt cuts wrapped words off otherwise."""
        self.told.setMinimumHeight(max(0, self.told.heightForWidth(max(1, self.width()))))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._make_room()


def _told(numbers: list[str], why: str) -> str:
    words = ngettext("Line {n}: {why}", "Lines {n}: {why}", len(numbers))
    return words.format(n=", ".join(numbers), why=why)
