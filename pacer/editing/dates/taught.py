"""Which lessons were taught on which date, from the day records; read again once a record has changed."""

from collections.abc import Callable
from datetime import date

from pacer.frames.words.wording import local_time
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.plan.dates.taught import TaughtLesson


class Taught:
    """Asks the day records; ``records`` gives them, None where there are none.

    ``name_of`` gives the planned name of the outline of a lesson by its start (UTC, ms), where it is known.
    Rehearsals are left out; invented lessons count in a demo alone.
    """

    def __init__(
        self,
        records: Callable[[], DayRecords | None],
        name_of: Callable[[int], str | None] = lambda _start: None,
        *,
        demo: bool = False,
    ) -> None:
        self._records, self._name_of, self._demo = records, name_of, demo
        self._mark: tuple[int, int] | None = None
        self._lessons: tuple[TaughtLesson, ...] = ()

    def lessons(self) -> tuple[TaughtLesson, ...]:
        """All of them, the earliest first; none where they can't be read, which Look back tells."""
        records = self._records()
        if records is None:
            return ()
        try:
            mark = records.change_mark()
            if mark != self._mark:
                rows = [row for row in records.runs() if row.mode != "rehearsal"]
                self._lessons = tuple(
                    TaughtLesson(
                        local_time(row.started_utc_ms, row.utc_offset_s).date(),
                        row.title,
                        run_id=row.id,
                        started_utc_ms=row.started_utc_ms,
                    )
                    for row in reversed(rows)
                    if (row.mode == "demo") == self._demo
                )
                self._mark = mark
        except LogError:
            return ()
        return tuple(map(self._named, self._lessons))

    def _named(self, lesson: TaughtLesson) -> TaughtLesson:
        name = self._name_of(lesson.started_utc_ms)
        return lesson._replace(name=name) if name else lesson

    def on(self, day: date) -> tuple[TaughtLesson, ...]:
        """The lessons of a date, in order."""
        return tuple(lesson for lesson in self.lessons() if lesson.day == day)
