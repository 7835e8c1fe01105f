"""All ended lessons as days, in order of time: each worked out from its events once and kept beside them."""

import gc
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass

from pacer.log import database
from pacer.log.database import LogError
from pacer.log.day_records import DamagedRecord, DayRecords
from pacer.review.days import FORMAT, Day, day_from_text, day_to_text
from pacer.review.replay_with_stages import folded
from pacer.review.work_out import day_of
from pacer.run.corrections import AfterEvent, repaired, standing
from pacer.run.events import Event


@dataclass(frozen=True)
class DayBook:
    """The ended lessons, the oldest first, those that never ended, and how many can't be read."""

    days: tuple[Day, ...]
    unended: tuple[Day, ...] = ()
    damaged: int = 0


def read_days(records: DayRecords) -> DayBook:
    """Read all lessons that are not in the trash. Raises LogError.

    What was worked out before is taken from beside the events as long as nothing was added to them or said
    about them; the rest is worked out now and kept where something can be written.
    """
    with _no_garbage():
        return _read(records)


@contextmanager
def _no_garbage() -> Iterator[None]:
    """Years of days are many thousand values and none of them garbage: nobody need look through them."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _read(records: DayRecords) -> DayBook:
    count = _count(records)
    rows = records.runs()
    after = records.after().all()
    kept, lengths = _kept(records), _lengths(records)
    found: list[tuple[int, int, Day]] = []
    fresh: list[tuple[int, str, str]] = []
    unended: list[Day] = []
    damaged = max(0, count - len(rows))  # the list leaves out what makes no sense: it is told, too
    for row in rows:
        said = after.get(row.id, [])
        stamp = f"{FORMAT}.{lengths.get(row.id, 0)}.{len(said)}"
        day = _read_back(kept.get(row.id), stamp)
        if day is None:
            try:
                day = work_out(row.id, records.events(row.id), said)
            except (DamagedRecord, LookupError):
                damaged += 1
                continue
            if not day.ended:
                unended.append(day)
                continue
            fresh.append((row.id, stamp, day_to_text(day)))
        found.append((row.started_utc_ms, row.id, day))
    _keep(records, fresh)
    found.sort(key=lambda each: each[:2])
    return DayBook(tuple(day for _at, _id, day in found), tuple(unended[::-1]), damaged)


def work_out(run: int, events: Sequence[Event], said: Sequence[AfterEvent]) -> Day:
    """One lesson from its events, as it was mended. Raises LookupError where it never began."""
    state, stages = folded(events)
    after = standing(said)
    return day_of(run, repaired(state, after), after, stages)


def _read_back(kept: tuple[str, str] | None, stamp: str) -> Day | None:
    if kept is None or kept[0] != stamp:
        return None
    try:
        return day_from_text(kept[1])
    except (ValueError, TypeError):
        return None  # damaged: worked out again


def _kept(records: DayRecords) -> dict[int, tuple[str, str]]:
    with database.in_plain_words(records.path):
        rows = records.connection.execute("SELECT run_id, stamp, body FROM day_worked_out").fetchall()
    return {run: (stamp, body) for run, stamp, body in rows}


def _lengths(records: DayRecords) -> dict[int, int]:
    """The number of each lesson's last event: looked up in the index, without reading the events."""
    query = "SELECT id, (SELECT max(seq) FROM event WHERE run_id = run.id) FROM run"
    with database.in_plain_words(records.path):
        return {run: last for run, last in records.connection.execute(query) if last is not None}


def _count(records: DayRecords) -> int:
    """How many lessons are not in the trash, damaged ones too."""
    query = "SELECT count(*) FROM run WHERE id NOT IN (SELECT run_id FROM trash)"
    with database.in_plain_words(records.path):
        return int(records.connection.execute(query).fetchone()[0])


def _keep(records: DayRecords, fresh: Sequence[tuple[int, str, str]]) -> None:
    """Keep what was worked out; where that can't be, it is worked out again next time."""
    if not fresh or not records.can_write or not records.is_in_place():
        return
    query = "INSERT OR REPLACE INTO day_worked_out (run_id, stamp, body) VALUES (?, ?, ?)"
    with suppress(sqlite3.Error, LogError), database.transaction(records.connection):
        records.connection.executemany(query, fresh)
