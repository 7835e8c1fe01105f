"""What is pasted or dropped on the Outline page: a lesson is looked at, a picture goes to its phase."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEvent, QMimeData, QObject, QPoint
from PySide6.QtGui import QDragMoveEvent, QDropEvent, QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QLineEdit, QPlainTextEdit, QWidget

from pacer.qt.kit.widgets import shortcut
from pacer.qt.outline.view import OutlineView
from pacer.qt.taken.from_mime import files_in, is_lesson, is_shown
from pacer.text import _


class TakeIn(QObject):
    """Filters what the page and its fields are given.

    Files never become text in a field: the page gets them. A lesson that is pasted into a field of one line,
    or where nothing is written, is looked at in its window; the pane of lines reads what is pasted itself.
    ``ask`` opens that window, ``attach`` gives a file to the phase of a key, ``key_of_line`` names the phase
    at a place among the typed ones.
    """

    def __init__(
        self,
        page: OutlineView,
        ask: Callable[[QMimeData | None], object],
        attach: Callable[[str, Path], None],
        key_of_line: Callable[[int | None], str | None],
    ) -> None:
        super().__init__(page)
        self._page, self._ask, self._give, self._key_of_line = page, ask, attach, key_of_line
        page.setAcceptDrops(True)
        page.installEventFilter(self)
        self._fields: list[QWidget] = [*page.findChildren(QLineEdit)]
        self._fields += [editor.viewport() for editor in page.findChildren(QPlainTextEdit)]
        for field in self._fields:
            field.installEventFilter(self)
        shortcut("Ctrl+V", page, self._on_paste)
        shortcut("Ctrl+Shift+V", page, self._on_paste_or_ask)

    def ask(self) -> None:
        """Open the window for what she has."""
        self._ask(None)

    def _on_paste(self) -> None:
        mime = QGuiApplication.clipboard().mimeData()
        file = next(iter(files_in(mime)), None)
        if file is not None and is_shown(file):
            self._attach(file, self._page.table.current_key())
        elif is_lesson(mime) or mime.hasImage():
            self._ask(mime)

    def _on_paste_or_ask(self) -> None:
        mime = QGuiApplication.clipboard().mimeData()
        self._ask(mime if is_lesson(mime) else None)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if isinstance(event, QKeyEvent):
            if event.type() != QEvent.Type.ShortcutOverride:
                return False
            is_paste = isinstance(watched, QLineEdit) and event.matches(QKeySequence.StandardKey.Paste)
            if is_paste and is_lesson(QGuiApplication.clipboard().mimeData()):
                event.ignore()  # several lines are no title: the page takes them
                return True
            return False
        if not isinstance(event, QDropEvent):  # entering and moving are of its kind, too
            return False
        if watched is not self._page:
            if files_in(event.mimeData()):
                event.ignore()  # the page's: it becomes no text of a field
                return True
            return False
        return self._on_drag(event)

    def _on_drag(self, event: QDropEvent) -> bool:
        """Nothing moves while something is dragged: only where it is let go is anything done or said."""
        mime = event.mimeData()
        if not (files_in(mime) or mime.hasText() or mime.hasImage()):
            return False
        event.acceptProposedAction()
        if not isinstance(event, QDragMoveEvent):
            self._drop(event)
        return True

    def _drop(self, event: QDropEvent) -> None:
        mime, page = event.mimeData(), self._page
        shown = [file for file in files_in(mime) if is_shown(file)]
        if not shown:
            self._ask(mime)
            return
        key = self.phase_at(event.position().toPoint())
        if key is not None:
            self._attach(shown[0], key)
            return
        words = _(
            "Drop {file} on its phase, in the table or in its line. To read a lesson in it: Take what I have."
        )
        page.notice.tell(words.format(file=shown[0].name), "open")

    def phase_at(self, at: QPoint) -> str | None:
        """The key of the phase at a place of the page: its row, its line, the details of the chosen one."""
        page = self._page
        row = page.table.indexAt(page.table.viewport().mapFrom(page, at)).row()
        if page.table.viewport().rect().contains(page.table.viewport().mapFrom(page, at)):
            return page.table.phases.key_at(row)
        if _is_in(page.details, page, at):
            return page.table.current_key()
        if _is_in(page.pane.editor, page, at):
            return self._key_of_line(page.pane.line_at(page.pane.editor.viewport().mapFrom(page, at)))
        return None

    def _attach(self, file: Path, key: str | None) -> None:
        page = self._page
        if key is None:
            page.notice.tell(_("Choose a phase first, then paste the picture."), "open")
        else:
            self._give(key, file)


def _is_in(widget: QWidget, page: QWidget, at: QPoint) -> bool:
    return widget.isVisible() and widget.rect().contains(widget.mapFrom(page, at))
