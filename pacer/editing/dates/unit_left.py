"""What each taught lesson left over, for the unit at a glance; read again once a record has changed."""

from collections.abc import Callable, Iterable, Mapping

from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.plan.dates.taught import TaughtLesson

MOST_READ = 120  # of the newest lessons: more than a term has of one unit


class UnitLeft:
    """Asks the day records; ``records`` gives them, None where there are none."""

    def __init__(self, records: Callable[[], DayRecords | None]) -> None:
        self._records = records
        self._mark: tuple[int, int] | None = None
        self._kept: dict[int, tuple[str, ...]] = {}

    def of(self, lessons: Iterable[TaughtLesson]) -> Mapping[int, tuple[str, ...]]:
        """What lessons left over, in words, by their numbers; one that can't be read is told by Look back."""
        records = self._records()
        if records is None:
            return {}
        try:
            mark = records.change_mark()
        except LogError:
            return {}
        if mark != self._mark:
            self._mark, self._kept = mark, {}
        newest = sorted(lessons, key=lambda lesson: lesson.started_utc_ms)[-MOST_READ:]
        for run in (lesson.run_id for lesson in newest):
            if run not in self._kept:
                self._kept[run] = _left(records, run)
        return self._kept


def _left(records: DayRecords, run: int) -> tuple[str, ...]:
    # Late: the first page needs nothing of a lesson.
    from pacer.frames.words.carried import left_parts
    from pacer.review.left_over import left_over
    from pacer.run.corrections import effective
    from pacer.run.fold import fold
    from pacer.run.repair import repaired

    try:
        state, after = fold(records.events(run)), effective(records.after().of(run))
    except (LogError, LookupError):
        return ()
    return left_parts(left_over(state, repaired(state, after), after))
