"""Years of invented day records: a term of 90 lessons, written by the engine, copied to later dates."""

from pathlib import Path

from pacer.log.day_records import DayRecords
from pacer.review.day_book import read_days
from pacer.verbs.headless_demo import load_demo_outlines
from pacer.verbs.invented_days import write_invented_days

TERM = 90
TERM_MS = 130 * 86_400_000  # 90 school days and their weekends, and some days between the terms
ENDS_UTC_MS = 1_000_000_000_000  # in 2001: twenty years of copies still lie in the past


def write_many_days(folder: Path, terms: int, *, worked_out: bool = True) -> int:
    """Write so many terms into a data folder; returns how many lessons that are.

    ``worked_out``: every day has been read once, as after any earlier visit to Look back.
    """
    with DayRecords.open(folder) as records:
        write_invented_days(records, load_demo_outlines(), TERM, until_utc_ms=ENDS_UTC_MS, foreseen=True)
        connection = records.connection
        connection.execute("BEGIN")
        for copy in range(1, terms):
            shift, more = copy * TERM_MS, copy * TERM
            connection.execute(
                "INSERT INTO run (id, title, subject, mode, started_utc_ms, planned_utc_ms, utc_offset_s) "
                "SELECT id + ?1, title, subject, mode, started_utc_ms + ?2, planned_utc_ms + ?2, "
                "utc_offset_s FROM run WHERE id <= ?3",
                (more, shift, TERM),
            )
            connection.execute(
                "INSERT INTO event (run_id, seq, t_ms, mono_ms, utc_ms, kind, body) "
                "SELECT run_id + ?1, seq, t_ms, mono_ms, utc_ms + ?2, kind, CASE WHEN seq = 0 THEN "
                "json_set(body, '$.planned_utc_ms', json_extract(body, '$.planned_utc_ms') + ?2) "
                "ELSE body END "
                "FROM event WHERE run_id <= ?3",
                (more, shift, TERM),
            )
        connection.execute("COMMIT")
        if worked_out:
            assert len(read_days(records).days) == terms * TERM
    return terms * TERM
