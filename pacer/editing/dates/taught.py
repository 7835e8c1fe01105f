"""Which lessons were taught on which date, from the day records; read again once a record has changed."""

from collections.abc import Callable
from datetime import date
from typing import NamedTuple

from pacer.frames.words.wording import local_time
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords


class TaughtLesson(NamedTuple):
    """A lesson that was begun before a class, under the title it had."""

    run_id: int
    day: date
    title: str


class Taught:
    """Asks the day records; ``records`` gives them, None where there are none.

    Rehearsals are left out; invented lessons count in a demo alone.
    """

    def __init__(self, records: Callable[[], DayRecords | None], *, demo: bool = False) -> None:
        self._records, self._demo = records, demo
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
                    TaughtLesson(row.id, local_time(row.started_utc_ms, row.utc_offset_s).date(), row.title)
                    for row in reversed(rows)
                    if (row.mode == "demo") == self._demo
                )
                self._mark = mark
        except LogError:
            return ()
        return self._lessons

    def on(self, day: date) -> tuple[str, ...]:
        """The titles taught on a date, in order."""
        return tuple(lesson.title for lesson in self.lessons() if lesson.day == day)
