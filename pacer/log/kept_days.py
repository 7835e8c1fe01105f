"""Days that were worked out once, kept beside their events as stamped texts. Losing one loses nothing."""

import sqlite3
from collections.abc import Sequence
from contextlib import suppress

from pacer.log import database
from pacer.log.database import LogError
from pacer.log.part import RecordsPart


class KeptDays(RecordsPart):
    """The kept days of an open file of day records, by run number. Reading raises LogError and its kinds."""

    def all(self) -> dict[int, tuple[str, str]]:
        """The stamp and the text of each."""
        rows = self._rows("SELECT run_id, stamp, body FROM day_worked_out")
        return {run: (stamp, body) for run, stamp, body in rows}

    def last_events(self) -> dict[int, int]:
        """The number of each lesson's last event: looked up in the index, without reading the events."""
        query = "SELECT id, (SELECT max(seq) FROM event WHERE run_id = run.id) FROM run"
        return {run: last for run, last in self._rows(query) if last is not None}

    def count(self) -> int:
        """How many lessons are not in the trash, damaged ones too."""
        query = "SELECT count(*) FROM run WHERE id NOT IN (SELECT run_id FROM trash)"
        return int(self._rows(query)[0][0])

    def without_lesson(self) -> int:
        """How many lessons there are of which the file has events and no more: their numbers are damaged.

        One lookup in the index for each lesson, without reading the events.
        """
        query = """
            WITH RECURSIVE seen (id) AS (
                SELECT min(run_id) FROM event
                UNION ALL
                SELECT (SELECT min(run_id) FROM event WHERE run_id > seen.id) FROM seen WHERE id IS NOT NULL
            )
            SELECT count(id) FROM seen WHERE id NOT IN (SELECT id FROM run)
        """
        return int(self._rows(query)[0][0])

    def keep(self, fresh: Sequence[tuple[int, str, str]]) -> None:
        """Keep run numbers with stamp and text; what can't be kept is worked out again next time."""
        if not fresh or not self._records.can_write or not self._records.is_in_place():
            return
        query = "INSERT OR REPLACE INTO day_worked_out (run_id, stamp, body) VALUES (?, ?, ?)"
        with suppress(sqlite3.Error, LogError), database.transaction(self._connection):
            self._connection.executemany(query, fresh)
