"""The text of an outline's file, for a line that nobody but a person can mend."""

from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QFont, QFontDatabase, QTextCursor
from PySide6.QtWidgets import QPlainTextEdit, QWidget

from pacer.frames.words.broken import damage_words
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.draft.mend import damage_of, decoded
from pacer.plan.file.reader import MAX_BYTES
from pacer.qt.kit.bounded_edit import BoundedEdit
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import button, label, named, shortcut
from pacer.text import _


class TextView(QWidget):
    """``saved`` carries the text when it is to be kept; ``left`` comes when the teacher goes back."""

    saved = Signal(str)
    left = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("The text of a file"))
        self.path = Path()
        self.before = b""
        self.heading = label("", "large")
        self.words = label("", "notice", wrap=True)
        self.editor = named(BoundedEdit(), _("The file's text"))
        self.editor.setTabChangesFocus(True)
        self.editor.setLineWrapMode(QPlainTextEdit.LineWrapMode.NoWrap)
        self.editor.setFont(_mono())
        self.editor.textChanged.connect(self._tell)
        self.aside = button(
            _("Set this &line aside"), self._on_aside, tip=_("Ctrl+/: it stays in the file as a remark")
        )
        self.keep = button(_("&Save"), self._on_save, tip=_("Ctrl+S"))
        self.back = button(_("&Back without saving"), self.left.emit, tip=_("Escape"))
        shortcut("Ctrl+S", self, self._on_save)
        shortcut("Ctrl+/", self, self._on_aside)
        shortcut("Escape", self, self.left.emit)
        column_of(
            self.heading, self.words, (self.editor, 1),
            row_of(self.keep, self.aside, self.back, STRETCH, gap=8), gap=8, inside=self,
        )  # fmt: skip

    def read(self, path: Path) -> str:
        """Take a file's text. Returns why it can't be read, or nothing."""
        try:
            self.before = read_bounded(path, MAX_BYTES)
        except UnreadableFileError as error:
            return f"{error.what} {error.fix}"
        self.path = path
        self.heading.setText(path.name)
        self.editor.setPlainText(decoded(self.before))
        return ""

    def begin(self, line: int | None) -> None:
        """Give the keyboard to the text, the cursor in a line."""
        self.go_to(line or 1)
        self.editor.setFocus()

    def go_to(self, line: int) -> None:
        """Put the cursor in a line, all of it chosen."""
        block = self.editor.document().findBlockByNumber(line - 1)
        cursor = QTextCursor(block if block.isValid() else self.editor.document().firstBlock())
        cursor.movePosition(QTextCursor.MoveOperation.EndOfBlock, QTextCursor.MoveMode.KeepAnchor)
        self.editor.setTextCursor(cursor)
        self.editor.centerCursor()

    def _tell(self) -> None:
        damage = damage_of(self.editor.toPlainText(), str(self.path))
        good = _("Everything in it can be read. Save it.")
        todo = _("Change the line, or set it aside, then save.")
        self.words.setText(good if damage is None else f"{damage_words(damage, self.path.name)} {todo}")

    def _on_aside(self) -> None:
        """Make the line under the cursor a remark."""
        cursor = self.editor.textCursor()
        cursor.setPosition(cursor.selectionStart())
        cursor.movePosition(QTextCursor.MoveOperation.StartOfBlock)
        cursor.insertText("# ")
        damage = damage_of(self.editor.toPlainText(), str(self.path))
        if damage is not None and damage.line is not None:
            self.go_to(damage.line)
        self.editor.setFocus()

    def _on_save(self) -> None:
        self.saved.emit(self.editor.toPlainText())


def _mono() -> QFont:
    font = QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont)
    font.setPixelSize(16)
    return font
