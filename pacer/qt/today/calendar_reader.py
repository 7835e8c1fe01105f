"""Reads a calendar file in a thread, so that the window goes on; of an unchanged file only once."""

import contextlib
import os
import threading
from datetime import date
from pathlib import Path

from PySide6.QtCore import QObject, Qt, Signal

from pacer.plan.problems import Problem
from pacer.qt.kit.collecting import collecting
from pacer.text import _

Stamp = tuple[object, ...]


class CalendarReader(QObject):
    """Reads one file at a time; what is asked for last is what comes.

    ``arrived`` carries the path and what ``read_calendar`` says of it.
    """

    arrived = Signal(object, object)
    _found = Signal(object)

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
        stamp = (path, first, last, _stamp(path))
        self._wanted = stamp
        if self._kept is not None and self._kept[0] == stamp:
            self._found.emit(self._kept)
            return
        collecting().put_off()
        work = (stamp, path, first, last)
        threading.Thread(target=self._work, args=work, name="calendar", daemon=True).start()

    def forget(self) -> None:
        """Want nothing any more; what is being read comes to nothing."""
        self._wanted = None

    def _work(self, stamp: Stamp, path: Path, first: date, last: date) -> None:
        """Runs in the thread. How long it can take is bounded by counted work."""
        trouble, fix = _("The calendar could not be read."), _("Export it once more, or one term of it.")
        read: object = [Problem(str(path), None, trouble, fix)]
        try:
            # Loaded here, for the library is large and seldom wanted.
            from dateutil.tz import tzlocal

            from pacer.plan.calendar_file import read_calendar

            read = read_calendar(path, first, last, tzlocal())
        finally:
            with contextlib.suppress(RuntimeError):  # the page may be gone
                self._found.emit((stamp, read))
            collecting().go_on()

    def _on_found(self, found: tuple[Stamp, object]) -> None:
        self._kept = found
        stamp, read = found
        if stamp == self._wanted:
            self._wanted = None
            self.arrived.emit(stamp[0], read)


def _stamp(path: Path) -> object:
    """Size and time of a file, by which it is known to be the same."""
    try:
        status = os.stat(path)  # noqa: PTH116 - Path.stat hides why some names can't be looked up
    except (OSError, ValueError):
        return None
    return status.st_mtime_ns, status.st_size
