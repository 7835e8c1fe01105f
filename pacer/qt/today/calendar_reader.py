"""Reads a calendar file in a thread, so that the window goes on; of an unchanged file only once."""

from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import QObject, Qt, Signal

from pacer.plan.problems import Problem
from pacer.qt.kit.collecting import work_beside
from pacer.qt.kit.files import file_stamp
from pacer.text import _

Stamp = tuple[object, ...]


class CalendarReader(QObject):
    """Reads one file at a time; what is asked for last is what comes.

    ``arrived`` carries the path and what ``read_calendar`` says of it.
    """

    arrived = Signal(object, object)
    _found = Signal(object, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._found.connect(self._on_found, Qt.ConnectionType.QueuedConnection)
        self._wanted: Stamp | None = None
        self._kept: tuple[Stamp, object] | None = None

    @property
    def is_busy(self) -> bool:
        """Whether something is asked for and not yet there."""
        return self._wanted is not None

    def ask(self, path: Path, first: date, last: date) -> None:
        """Read a file's days from one date to another; the answer comes later."""
        stamp = self._wanted = (path, first, last, *file_stamp(path))
        if self._kept is not None and self._kept[0] == stamp:
            self._found.emit(*self._kept)
            return
        trouble, fix = _("The calendar could not be read."), _("Export it once more, or one term of it.")
        unread = [Problem(str(path), None, trouble, fix)]
        work_beside("calendar", self._found, stamp, partial(_read, path, first, last), unread)

    def forget(self) -> None:
        """Want nothing any more; what is being read comes to nothing."""
        self._wanted = None

    def _on_found(self, stamp: Stamp, read: object) -> None:
        self._kept = stamp, read
        if stamp == self._wanted:
            self._wanted = None
            self.arrived.emit(stamp[0], read)


def _read(path: Path, first: date, last: date) -> object:
    """Runs in the thread. How long it can take is bounded by counted work."""
    # Loaded here, for the library is large and seldom wanted.
    from dateutil.tz import tzlocal

    from pacer.plan.calendar_file import read_calendar

    return read_calendar(path, first, last, tzlocal())
