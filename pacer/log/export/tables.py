"""Every table of the day records, to be taken along; `files.py` makes CSV or JSON of them."""

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from pacer.log import database
from pacer.log.date_span import LOCAL_DATE, DateSpan
from pacer.log.day_records import DayRecords

CellValue = str | int | float | bool | None


class _WorkedOut(Protocol):
    """A lesson as it was worked out (a ``Day``): a tuple with names, its phases and forecasts too."""

    @property
    def run(self) -> int: ...
    @property
    def date(self) -> str: ...
    @property
    def phases(self) -> Sequence[Any]: ...
    @property
    def forecasts(self) -> Sequence[Any]: ...
    @property
    def visits(self) -> Sequence[Any]: ...
    @property
    def ribbon(self) -> Sequence[tuple[int, int, str]]: ...
    def _asdict(self) -> dict[str, Any]: ...


@dataclass(frozen=True)
class ExportTable:
    """A table by its name, which is its file's name too. The headings name the units."""

    name: str
    headings: tuple[str, ...]
    rows: tuple[tuple[CellValue, ...], ...]


def tables(
    records: DayRecords, days: Sequence[_WorkedOut] = (), span: DateSpan | None = None
) -> list[ExportTable]:
    """Every table; with ``span`` only what belongs to its dates. Raises LogError.

    Lessons in the trash are in it, and so is what is damaged: rows are given as they stand in the file.
    ``days`` are the lessons as they were worked out, which the caller reads.
    """
    reach = DateSpan() if span is None else span
    days_in_span = [day for day in days if day.date in reach]
    with database.in_plain_words(records.path):
        stored = [_read(records, table, None if span is None else reach) for table in _STORED]
    return [
        *stored,
        days_table(days_in_span),
        phases_table(days_in_span),
        visits_table(days_in_span),
        _numbered("forecasts", [(day, day.forecasts) for day in days_in_span], _FORECAST),
        _ribbon_table(days_in_span),
    ]


@dataclass(frozen=True)
class _Stored:
    """A table that is read from the file; ``where`` keeps it to the dates named ``?1`` and ``?2``."""

    name: str
    headings: tuple[str, ...]
    query: str
    where: str
    order: str


_OF_RUNS = f"run_id IN (SELECT id FROM run WHERE {LOCAL_DATE} BETWEEN ?1 AND ?2)"
_STORED = (
    _Stored(
        "lessons",
        ("run", "date", "title", "subject", "mode", "started_utc_ms", "planned_utc_ms", "utc_offset_s",
         "in_trash"),
        f"SELECT id, {LOCAL_DATE}, title, subject, mode, started_utc_ms, planned_utc_ms, utc_offset_s, "
        "id IN (SELECT run_id FROM trash) FROM run",
        f"{LOCAL_DATE} BETWEEN ?1 AND ?2",
        "id",
    ),
    _Stored(
        "events",
        ("run", "number", "t_ms", "mono_ms", "utc_ms", "kind", "body_json"),
        "SELECT run_id, seq, t_ms, mono_ms, utc_ms, kind, body FROM event",
        _OF_RUNS,
        "run_id, seq",
    ),
    _Stored(
        "after_school",
        ("run", "number", "utc_ms", "kind", "body_json"),
        "SELECT run_id, number, utc_ms, kind, body FROM after_event",
        _OF_RUNS,
        "run_id, number",
    ),
    _Stored("trash", ("run", "put_there_utc_ms"), "SELECT run_id, utc_ms FROM trash", _OF_RUNS, "run_id"),
    _Stored(
        "accepted_budgets",
        ("number", "utc_ms", "target", "phase", "kind", "old_s", "new_s", "lessons", "cut_off"),
        "SELECT id, utc_ms, target, phase, kind, old_s, new_s, lessons, cut_off FROM accepted_budget",
        "date(utc_ms / 1000, 'unixepoch') BETWEEN ?1 AND ?2",
        "id",
    ),
    _Stored(
        "imported_endings",
        ("import", "number", "date", "phase", "kind", "planned_s", "actual_s", "ending", "file",
         "imported_utc_ms"),
        "SELECT batch_id, number, date, phase, kind, planned_s, actual_s, ending, file, imported_utc_ms "
        "FROM imported_ending JOIN import_batch ON import_batch.id = batch_id",
        "date BETWEEN ?1 AND ?2",
        "batch_id, number",
    ),
)  # fmt: skip
TABLE_NAMES = (*(each.name for each in _STORED), "days", "phases", "visits", "forecasts", "talk_ribbon")


def _read(records: DayRecords, stored: _Stored, span: DateSpan | None) -> ExportTable:
    where, values = ("", ()) if span is None else (f"WHERE {stored.where}", (span.since, span.until))
    query = f"{stored.query} {where} ORDER BY {stored.order}"
    rows = [tuple(_cell(value) for value in row) for row in records.connection.execute(query, values)]
    if stored.name == "lessons":
        rows = [(*row[:-1], bool(row[-1])) for row in rows]
    return ExportTable(stored.name, stored.headings, tuple(rows))


def _cell(value: object) -> CellValue:
    """A value as it is written; what is no value of a table (damaged bytes, endless numbers) as text."""
    if isinstance(value, bytes):
        return value.decode("utf-8", "replace")
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    if value is None or isinstance(value, (str, int, float)):
        return value
    return json.dumps(value, ensure_ascii=False)


# --- lessons as they were worked out

_BLOCK = ("block_length_s", "block_move_s", "block_groups", "block_swap_s", "block_clean_up_s",
          "block_share_s")  # fmt: skip
_TALK = ("teacher_ms", "unmarked_ms", "total_ms", "longest_ms", "longest_from_ms", "wide_ms", "wide_from_ms")
_HALF = ("transition_s", "swaps", "swaps_s", "share_s", "kept_share_s", "bell_cut")
_VISIT = ("group", "planned_s", "had_s", "begin_s", "out")
_DAY = ("run", "date", "title", "subject", "mode", "shape", "planned_s", "late_s", "mini_lesson_s",
        "mini_end_s", "group_late_s", "causes", "review_s", "review_cap_s", "cues", "length_s", "ended",
        "flagged", "repaired", "thing", "paused_s", "groups", "problems", "problems_s")  # fmt: skip
_PHASE = ("id", "title", "kind", "planned_s", "floor_s", "actual_s", "begin_s", "end_s", "added_s", "ending",
          "stage", "mini", "left", "fate", "reason")  # fmt: skip
_FORECAST = ("phase", "low", "high", "lessons", "in_time")


def days_table(days: Sequence[_WorkedOut]) -> ExportTable:
    """A row for each lesson."""
    names = tuple(f"{name}_json" if name in ("causes", "groups") else name for name in _DAY)
    rows = []
    for day in days:
        figures = day._asdict()
        own = tuple(_cell(figures[name]) for name in _DAY)
        talk = tuple(_cell(getattr(figures["talk"], name)) for name in _TALK)
        rest = figures["half"]
        half = (rest and rest.transition_s, *(getattr(rest, name, None) for name in _HALF[1:]))
        rows.append((*own, *map(_cell, figures["block"]), *talk, *half))
    return ExportTable("days", (*names, *_BLOCK, *(f"talk_{name}" for name in _TALK), *_HALF), tuple(rows))


def phases_table(days: Sequence[_WorkedOut]) -> ExportTable:
    """A row for each phase of each lesson; ``number`` counts them from 1."""
    return _numbered("phases", [(day, day.phases) for day in days], _PHASE)


def visits_table(days: Sequence[_WorkedOut]) -> ExportTable:
    """A row for each group of each lesson whose visits were timed, in the order of the outline."""
    rows = tuple(
        (day.run, day.date, *(_cell(getattr(visit, name)) for name in _VISIT))
        for day in days
        for visit in day.visits
    )
    return ExportTable("visits", ("run", "date", *_VISIT), rows)


def _numbered(name: str, of: Sequence[tuple[_WorkedOut, Sequence[Any]]], keys: Sequence[str]) -> ExportTable:
    rows = tuple(
        (day.run, day.date, number, *(_cell(getattr(part, key)) for key in keys))
        for day, parts in of
        for number, part in enumerate(parts, start=1)
    )
    return ExportTable(name, ("run", "date", "number", *keys), rows)


def _ribbon_table(days: Sequence[_WorkedOut]) -> ExportTable:
    rows = tuple((day.run, day.date, *map(_cell, stretch)) for day in days for stretch in day.ribbon)
    return ExportTable("talk_ribbon", ("run", "date", "begin_s", "end_s", "talk"), rows)
