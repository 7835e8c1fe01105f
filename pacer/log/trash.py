"""The trash: a day record put there can be taken out for 30 days, then it is gone."""

from collections.abc import Iterable
from dataclasses import dataclass

from pacer.log.part import RecordsPart, must_write

KEPT_DAYS = 30
_DAY_MS = 86_400_000
# The clock may have been wrong by years when a lesson was put there: then from the lesson itself on.
_SINCE = f"""
SELECT run_id, CASE WHEN typeof(utc_ms) = 'integer' AND utc_ms > last - {_DAY_MS} THEN utc_ms ELSE last END
FROM (
    SELECT run_id, utc_ms, coalesce(
        (SELECT utc_ms FROM event WHERE run_id = trash.run_id ORDER BY seq DESC LIMIT 1), 0
    ) AS last FROM trash
) ORDER BY 2 DESC, run_id DESC
"""


@dataclass(frozen=True)
class Trashed:
    """A lesson in the trash, since a UTC time in milliseconds."""

    run_id: int
    utc_ms: int

    def days_left(self, now_utc_ms: int) -> int:
        """Whole days until it is gone, at least 0; a clock that was set back keeps it longer."""
        return max(0, KEPT_DAYS - max(0, now_utc_ms - self.utc_ms) // _DAY_MS)


class Trash(RecordsPart):
    """The trash of an open file of day records. Every method raises LogError and its kinds."""

    def all(self) -> list[Trashed]:
        """What is in it, the newest first."""
        return [Trashed(int(run_id), int(utc_ms)) for run_id, utc_ms in self._rows(_SINCE)]

    def put(self, run_ids: Iterable[int], utc_ms: int) -> None:
        """Put lessons into the trash; those there already stay as long as they would have."""
        query = "INSERT OR IGNORE INTO trash (run_id, utc_ms) SELECT id, ? FROM run WHERE id = ?"
        with self._writing():
            self._connection.executemany(query, [(utc_ms, run_id) for run_id in run_ids])

    def take_out(self, run_id: int) -> None:
        """Put a lesson back among the others."""
        must_write(self._records)
        self._rows("DELETE FROM trash WHERE run_id = ?", (run_id,))

    def due(self, now_utc_ms: int) -> list[int]:
        """The numbers of the lessons that have been there for 30 days."""
        return [lesson.run_id for lesson in self.all() if lesson.days_left(now_utc_ms) == 0]

    def empty(self, now_utc_ms: int) -> list[int]:
        """Delete for good what is due, from this file alone; returns the run numbers."""
        if not self.all():
            return []
        with self._writing():
            # Looked up under the lock: another Pacer may have taken one out meanwhile.
            due = self.due(now_utc_ms)
            self._connection.executemany("DELETE FROM run WHERE id = ?", [(run,) for run in due])
        return due
