"""How far from its planned time the bell was heard, in the lessons taught last."""

from pacer.log import database
from pacer.log.day_records import DamagedRecord, DayRecords
from pacer.run.fold import fold

LESSONS = 60  # the newest in which presses are looked for: about a term
MOST = 12  # more than the rule needs, as slips among them don't count


def bell_presses(records: DayRecords) -> list[int]:
    """Seconds after the planned bell, one a lesson, the newest last. Raises LogError.

    Lessons that nobody taught, and presses that were undone, are left out.
    """
    query = """
        SELECT id FROM (
            SELECT id, started_utc_ms FROM run
            WHERE mode IN ('live', 'baseline') AND id NOT IN (SELECT run_id FROM trash)
            ORDER BY started_utc_ms DESC, id DESC LIMIT ?
        ) WHERE EXISTS (SELECT 1 FROM event WHERE run_id = id AND kind = 'bell_rang')
        ORDER BY started_utc_ms DESC, id DESC LIMIT ?
    """
    with database.in_plain_words(records.path):
        runs = [run for (run,) in records.connection.execute(query, (LESSONS, MOST))]
    offsets = (_pressed(records, run) for run in runs)
    return [offset for offset in offsets if offset is not None][::-1]


def _pressed(records: DayRecords, run: int) -> int | None:
    try:
        return fold(records.events(run)).bell_offset_s
    except (DamagedRecord, LookupError):
        return None  # the list of lessons tells of it
