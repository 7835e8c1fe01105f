"""Reads a teacher's file in a thread, so that the window goes on; a PDF in the attachments' process."""

from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Qt, Signal

from pacer.plan.taken.read_file import text_of
from pacer.plan.taken.taken import NotTakenError, Taken, broken
from pacer.qt.kit.collecting import work_beside
from pacer.qt.taken.pdf_text import pdf_text
from pacer.text import _


class FileReader(QObject):
    """Reads one file at a time; what is asked for last is what comes.

    ``arrived`` carries the path and what was taken of it, or a NotTakenError.
    """

    arrived = Signal(object, object)
    _found = Signal(object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._found.connect(self._on_found, Qt.ConnectionType.QueuedConnection)
        self._wanted: Path | None = None

    def ask(self, path: Path) -> None:
        """Read a file; the answer comes later."""
        self._wanted = path
        work_beside("taken", self._found, path, partial(_read, path), broken(path.suffix or _("file")))

    def _on_found(self, path: Path, found: object) -> None:
        if path == self._wanted:
            self._wanted = None
            self.arrived.emit(path, found)


def _read(path: Path) -> Taken | NotTakenError:
    """Runs in the thread. How long it can take is bounded by counted work, or by the process's end."""
    try:
        from dateutil.tz import tzlocal

        return text_of(path, tzlocal(), pdf_text)
    except NotTakenError as error:
        return error
