"""The field into which a lesson is pasted, dropped or typed."""

from PySide6.QtCore import QMimeData, Signal

from pacer.qt.kit import theme
from pacer.qt.kit.bounded_edit import BoundedEdit
from pacer.qt.taken.from_mime import is_lesson
from pacer.text import _


class PasteEditor(BoundedEdit):
    """Plain text; ``lesson_came`` carries what is pasted or dropped if that is more than a word."""

    lesson_came = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("What you have"))
        self.setAccessibleDescription(_("Paste, drop or type a lesson here, or open its file"))
        self.setPlaceholderText(
            _("Paste your lesson here: lines, a list or a table. Or drop its file.\n\n"
              "Text, .docx, .odt, .rtf, .xlsx, .ods, .csv, web pages, calendars and PDF are read.")
        )  # fmt: skip
        self.setTabChangesFocus(True)
        self.setFont(theme.font(16))

    def canInsertFromMimeData(self, source: QMimeData) -> bool:
        """Take whatever comes: what can't be read is said in words."""
        return is_lesson(source) or source.hasImage() or super().canInsertFromMimeData(source)

    def insertFromMimeData(self, source: QMimeData) -> None:
        if is_lesson(source) or (source.hasImage() and not source.hasText()):
            self.lesson_came.emit(source)
        else:
            super().insertFromMimeData(source)
