"""What the parts of an open file of day records share: rows read and written, told in plain words."""

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Protocol

from pacer.log import database
from pacer.text import _

LAST_UTC_MS = 253_370_764_800_000  # the year 9999


class OpenRecords(Protocol):
    """What is asked of the open file of day records that a part stands in."""

    path: Path
    can_write: bool
    notice: str

    @property
    def connection(self) -> sqlite3.Connection:
        """The open file."""

    def is_in_place(self) -> bool:
        """Whether the file is still the one under its name."""


def are_times(utc_ms: object, offset_s: object) -> bool:
    """Whether these can be a time of day and a time zone: from 1970 to 9999, within a day of UTC."""
    in_range = isinstance(utc_ms, int) and 0 <= utc_ms < LAST_UTC_MS
    return in_range and isinstance(offset_s, int) and abs(offset_s) <= 86_400


def must_write(records: OpenRecords) -> None:
    """Raises UnwritableFolder where nothing can be written to the open file."""
    if not records.can_write:
        raise database.UnwritableFolder(records.notice)
    if not records.is_in_place():
        raise database.UnwritableFolder(
            _("The day records were moved or deleted: {path}. Put the file back.", path=records.path)
        )


class RecordsPart:
    """One kind of rows in an open file of day records."""

    def __init__(self, records: OpenRecords) -> None:
        self._records = records
        self._connection = records.connection

    def _rows(self, query: str, values: Sequence[object] = ()) -> list[Any]:
        """Run one statement to its end and return its rows. Raises LogError and its kinds."""
        with database.in_plain_words(self._records.path):
            return self._connection.execute(query, values).fetchall()

    @contextmanager
    def _writing(self) -> Iterator[None]:
        """A transaction: all that is written within is kept, or none. Raises LogError and its kinds."""
        must_write(self._records)
        with database.in_plain_words(self._records.path), database.transaction(self._connection):
            yield
