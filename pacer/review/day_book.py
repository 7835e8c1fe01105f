"""All ended lessons as days, in order of time: each worked out from its events once and kept beside them."""

import gc
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

from pacer.log.day_records import DamagedRecord, DayRecords
from pacer.review.days import FORMAT, Day, day_from_text, day_to_text
from pacer.review.replay_with_stages import replay_with_stages
from pacer.review.work_out import day_of
from pacer.run.corrections import Correction, effective
from pacer.run.events import Event
from pacer.run.repair import repaired


@dataclass(frozen=True)
class DayBook:
    """The ended lessons, the oldest first, those that never ended, and how many can't be read."""

    days: tuple[Day, ...]
    unended: tuple[Day, ...] = ()
    damaged: int = 0


class KeptBook:
    """The day book as it was read last; it is read again only once anything was written to its records."""

    def __init__(self) -> None:
        self._records: DayRecords | None = None
        self._mark: tuple[int, int] | None = None
        self._book = DayBook(())

    def read(self, records: DayRecords) -> DayBook:
        """All lessons that are not in the trash, as they are now. Raises LogError."""
        mark = records.change_mark()
        if records is not self._records or mark != self._mark:
            self._book = read_days(records)
            # Keeping what was worked out is no change; what another program wrote meanwhile is one.
            self._records, self._mark = records, (mark[0], records.change_mark()[1])
        return self._book


def read_days(records: DayRecords) -> DayBook:
    """Read all lessons that are not in the trash. Raises LogError.

    What was worked out before is taken from beside the events as long as nothing was added to them or said
    about them; the rest is worked out now and kept where something can be written.
    """
    with _no_garbage():
        return _read(records)


@contextmanager
def _no_garbage() -> Iterator[None]:
    """Pause the garbage collector while many long-lived values are built."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _read(records: DayRecords) -> DayBook:
    kept_days = records.kept_days()
    count = kept_days.count()
    rows = records.runs()
    corrections = records.after().all()
    kept, lengths = kept_days.all(), kept_days.last_events()
    ended: list[tuple[int, int, Day]] = []
    fresh: list[tuple[int, str, str]] = []
    unended: list[Day] = []
    damaged = max(0, count - len(rows))  # the list leaves out what makes no sense: it is told, too
    for row in rows:
        corrections_of_run = corrections.get(row.id, [])
        stamp = f"{FORMAT}.{lengths.get(row.id, 0)}.{len(corrections_of_run)}"
        day = _read_back(kept.get(row.id), stamp)
        if day is None:
            try:
                day = work_out(row.id, records.events(row.id), corrections_of_run)
            except (DamagedRecord, LookupError):
                damaged += 1
                continue
            if not day.ended:
                unended.append(day)
                continue
            fresh.append((row.id, stamp, day_to_text(day)))
        ended.append((row.started_utc_ms, row.id, day))
    if unended:
        # The last press of one may have become another lesson's by a single damaged number: that is told.
        damaged += kept_days.without_lesson()
    kept_days.keep(fresh)
    ended.sort(key=lambda each: each[:2])
    return DayBook(tuple(day for _at, _id, day in ended), tuple(unended[::-1]), damaged)


def work_out(run: int, events: Sequence[Event], corrections: Sequence[Correction]) -> Day:
    """One lesson from its events, as it was mended. Raises LookupError where it never began."""
    state, stages = replay_with_stages(events)
    after = effective(corrections)
    return day_of(run, repaired(state, after), after, stages)


def _read_back(kept: tuple[str, str] | None, stamp: str) -> Day | None:
    if kept is None or kept[0] != stamp:
        return None
    try:
        return day_from_text(kept[1])
    except (ValueError, TypeError):
        return None  # damaged: worked out again
