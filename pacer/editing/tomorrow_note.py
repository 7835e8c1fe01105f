"""The note for tomorrow on its way from Look back to Today and the next outline, and its tick."""

from collections.abc import Callable

from pacer.log.database import LogError
from pacer.log.day_records import DayRecords


class TomorrowNote:
    """Reads what was written after the last lessons, and writes that it was done.

    ``records`` gives the day records, None where there are none.
    """

    def __init__(self, records: Callable[[], DayRecords | None], utc_now_ms: Callable[[], int]) -> None:
        self._records, self._utc_now_ms = records, utc_now_ms
        self._run = 0

    def text(self) -> str:
        """The note for tomorrow that was written last and is not done, in words; empty without one."""
        self._run, records = 0, self._records()
        if records is None:
            return ""
        try:
            run_id, text = records.after().newest_tomorrow_note()
            if not text:
                return ""
            from pacer.frames.after_school.lesson_words import tomorrow_note_words

            self._run = run_id
            return tomorrow_note_words(next((row for row in records.runs() if row.id == run_id), None), text)
        except LogError:
            return ""  # Look back says what is wrong with the records

    def tick(self, done: bool) -> None:
        """Write whether the note that was read last is done. Raises LogError."""
        records = self._records()
        if records is not None and self._run:
            from pacer.run.corrections import TomorrowNoteDone

            records.after().say(self._run, TomorrowNoteDone(done=done), self._utc_now_ms())
