"""Days that were worked out once, kept beside their events as stamped texts. Losing one loses nothing."""

import sqlite3
from collections.abc import Sequence
from contextlib import suppress

from pacer.log import database
from pacer.log.after_school import OpenRecords
from pacer.log.database import LogError


class KeptDays:
    """The kept days of an open file of day records, by run number. Reading raises LogError and its kinds."""

    def __init__(self, file: OpenRecords, connection: sqlite3.Connection) -> None:
        self._file = file
        self._connection = connection

    def all(self) -> dict[int, tuple[str, str]]:
        """The stamp and the text of each."""
        with database.in_plain_words(self._file.path):
            rows = self._connection.execute("SELECT run_id, stamp, body FROM day_worked_out").fetchall()
        return {run: (stamp, body) for run, stamp, body in rows}

    def last_events(self) -> dict[int, int]:
        """The number of each lesson's last event: looked up in the index, without reading the events."""
        query = "SELECT id, (SELECT max(seq) FROM event WHERE run_id = run.id) FROM run"
        with database.in_plain_words(self._file.path):
            return {run: last for run, last in self._connection.execute(query) if last is not None}

    def count(self) -> int:
        """How many lessons are not in the trash, damaged ones too."""
        query = "SELECT count(*) FROM run WHERE id NOT IN (SELECT run_id FROM trash)"
        with database.in_plain_words(self._file.path):
            return int(self._connection.execute(query).fetchone()[0])

    def keep(self, fresh: Sequence[tuple[int, str, str]]) -> None:
        """Keep run numbers with stamp and text; what can't be kept is worked out again next time."""
        if not fresh or not self._file.can_write or not self._file.is_in_place():
            return
        query = "INSERT OR REPLACE INTO day_worked_out (run_id, stamp, body) VALUES (?, ?, ?)"
        with suppress(sqlite3.Error, LogError), database.transaction(self._connection):
            self._connection.executemany(query, fresh)
