"""Makes the day's copy of the day records beside everything else."""

from pathlib import Path
from threading import Thread

from PySide6.QtCore import QObject, Signal

from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.qt.kit.threads import tell_main
from pacer.run.clock import Clock, local_now


class DailyCopy(QObject):
    """The one thread that copies. ``failed`` comes from it, with the reason in words."""

    failed = Signal(str)

    def __init__(self, clock: Clock, parent: QObject) -> None:
        super().__init__(parent)
        self._clock = clock
        self._thread: Thread | None = None

    def make(self, records: DayRecords | None) -> None:
        """Begin it if it is due."""
        is_copying = self._thread is not None and self._thread.is_alive()
        if records is None or not records.can_write or is_copying:
            return
        from pacer.log import backups  # late: no start waits for what comes seconds after it

        today = local_now(self._clock).date()

        def copy(path: Path) -> None:
            try:
                backups.copy_today(path, today)
            except LogError as error:
                tell_main(self.failed, str(error))

        if backups.is_due(records.path, today):
            self._thread = Thread(target=copy, args=(records.path,), daemon=True)
            self._thread.start()

    def give_way(self) -> None:
        """Stop what is being copied; it is made again when next asked for."""
        if self._thread is not None:
            from pacer.log import backups

            backups.stop_copying()

    def wait(self) -> None:
        """Wait until nothing is being copied."""
        if self._thread is not None:
            self._thread.join()
