"""Endings of lessons taught before Pacer, imported from files: a file's new rows are all kept or none."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import astuple, dataclass
from datetime import date
from typing import get_args

from pacer.log.part import RecordsPart
from pacer.run.event_words import Ending

_FIELDS = "date, phase, kind, planned_s, actual_s, ending"


@dataclass(frozen=True)
class ImportedEnding:
    """One row of an imported file. ``date`` is written like 2026-03-09, durations are seconds."""

    date: str
    phase: str
    kind: str
    planned_s: float
    actual_s: float
    ending: Ending


@dataclass(frozen=True)
class Imported:
    """What an import came to. ``batch_id`` is None where nothing was written.

    ``known`` rows were left out because an earlier import has them; ``twice`` says that the very same
    content was imported before, as the file ``earlier_file``.
    """

    batch_id: int | None
    added: int
    known: int = 0
    twice: bool = False
    earlier_file: str = ""


class ImportedEndings(RecordsPart):
    """The imported endings of an open file of day records."""

    def add(
        self, rows: Sequence[ImportedEnding], file: str, content_sha256: str, imported_utc_ms: int
    ) -> Imported:
        """Write all rows in one transaction, or none. Raises LogError and its kinds.

        The same content is never written twice; neither is a row that an earlier file holds, so that a
        longer copy of an earlier file only adds what is new in it.
        """
        with self._writing():
            return self._insert(rows, (file, content_sha256, imported_utc_ms))

    def all(self) -> list[tuple[int, ImportedEnding]]:
        """All rows with the number of their import, in the order of import. Raises LogError.

        A row that somebody damaged must not hide the others, so it is left out.
        """
        query = f"SELECT batch_id, {_FIELDS} FROM imported_ending ORDER BY batch_id, number"
        return [(row[0], ImportedEnding(*row[1:])) for row in self._rows(query) if _is_sound(row[1:])]

    def _insert(self, rows: Sequence[ImportedEnding], batch: tuple[str, str, int]) -> Imported:
        query = "SELECT file FROM import_batch WHERE content_sha256 = ?"
        if earlier := self._rows(query, (batch[1],)):
            return Imported(None, 0, len(rows), True, str(earlier[0][0]))
        fresh = self._fresh(rows)
        batch_id = self._insert_fresh(fresh, batch) if fresh else None
        return Imported(batch_id, len(fresh), len(rows) - len(fresh))

    def _fresh(self, rows: Sequence[ImportedEnding]) -> list[ImportedEnding]:
        """The rows that no earlier import holds; of equal ones, those beyond the number held."""
        held = Counter(self._connection.execute(f"SELECT {_FIELDS} FROM imported_ending"))
        fresh = []
        for row in rows:
            if held[astuple(row)] > 0:
                held[astuple(row)] -= 1
            else:
                fresh.append(row)
        return fresh

    def _insert_fresh(self, rows: Sequence[ImportedEnding], batch: tuple[str, str, int]) -> int:
        query = (
            "INSERT INTO import_batch (file, content_sha256, imported_utc_ms) VALUES (?, ?, ?) RETURNING id"
        )
        # Fetched to its end: a statement still open would keep the transaction from ending.
        ((batch_id,),) = self._connection.execute(query, batch).fetchall()
        self._connection.executemany(
            f"INSERT INTO imported_ending (batch_id, number, {_FIELDS}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            [(batch_id, number, *astuple(row)) for number, row in enumerate(rows)],
        )
        return int(batch_id)


def _is_sound(row: Sequence[object]) -> bool:
    day, phase, kind, planned_s, actual_s, ending = row
    texts = all(isinstance(text, str) for text in (day, phase, kind))
    numbers = all(isinstance(seconds, float) for seconds in (planned_s, actual_s))
    return texts and numbers and ending in get_args(Ending) and _is_date(day)


def _is_date(day: object) -> bool:
    try:
        return date.fromisoformat(str(day)).isoformat() == day
    except ValueError:
        return False
