"""Endings of lessons taught before Pacer, imported from files: a file's new rows are all kept or none."""

import sqlite3
from collections import Counter
from collections.abc import Sequence
from dataclasses import astuple, dataclass
from datetime import date
from pathlib import Path
from typing import Protocol, get_args

from pacer.log import database
from pacer.run.events import Ending
from pacer.text import _

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


class OpenFile(Protocol):
    """What is asked of the file of day records that this stands in."""

    path: Path
    can_write: bool
    notice: str

    def is_in_place(self) -> bool:
        """Whether the file is still the one under its name."""
        ...


class ImportedEndings:
    """The imported endings of an open file of day records."""

    def __init__(self, file: OpenFile, connection: sqlite3.Connection) -> None:
        self._file = file
        self._connection = connection

    def add(
        self, rows: Sequence[ImportedEnding], file: str, content_sha256: str, imported_utc_ms: int
    ) -> Imported:
        """Write all rows in one transaction, or none. Raises LogError and its kinds.

        The same content is never written twice; neither is a row that an earlier file holds, so that a
        longer copy of an earlier file only adds what is new in it.
        """
        if not self._file.can_write:
            raise database.UnwritableFolder(self._file.notice)
        if not self._file.is_in_place():
            raise database.UnwritableFolder(
                _("The day records were moved or deleted: {path}. Put the file back.").format(
                    path=self._file.path
                )
            )
        with database.in_plain_words(self._file.path):
            return self._insert(rows, (file, content_sha256, imported_utc_ms))

    def all(self) -> list[tuple[int, ImportedEnding]]:
        """All rows with the number of their import, in the order of import. Raises LogError.

        A row that somebody damaged must not hide the others, so it is left out.
        """
        query = f"SELECT batch_id, {_FIELDS} FROM imported_ending ORDER BY batch_id, number"
        with database.in_plain_words(self._file.path):
            found = self._connection.execute(query).fetchall()
        return [(row[0], ImportedEnding(*row[1:])) for row in found if _is_sound(row[1:])]

    def _insert(self, rows: Sequence[ImportedEnding], batch: tuple[str, str, int]) -> Imported:
        connection = self._connection
        with database.transaction(connection):
            query = "SELECT file FROM import_batch WHERE content_sha256 = ?"
            earlier = connection.execute(query, (batch[1],)).fetchone()
            fresh = [] if earlier else self._fresh(rows)
            batch_id = self._insert_fresh(fresh, batch) if fresh else None
        if earlier:
            return Imported(None, 0, len(rows), True, str(earlier[0]))
        return Imported(batch_id, len(fresh), len(rows) - len(fresh))

    def _fresh(self, rows: Sequence[ImportedEnding]) -> list[ImportedEnding]:
        """The rows that no earlier import holds; of equal ones, those beyond the number held."""
        held = Counter(self._connection.execute(f"SELECT {_FIELDS} FROM imported_ending"))
        found = []
        for row in rows:
            if held[astuple(row)] > 0:
                held[astuple(row)] -= 1
            else:
                found.append(row)
        return found

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
    texts = isinstance(day, str) and isinstance(phase, str) and isinstance(kind, str)
    return texts and ending in get_args(Ending) and _is_date(day) and _are_numbers(planned_s, actual_s)


def _are_numbers(*values: object) -> bool:
    return all(isinstance(value, float) for value in values)


def _is_date(day: object) -> bool:
    try:
        return date.fromisoformat(str(day)).isoformat() == day
    except ValueError:
        return False
