"""What the last lessons left over, on its way to the next one: in words, and on its table list.

What goes to tomorrow's table is added to the list of the outline as it is taught, in the lesson's own copy:
the Desk lists it among the groups, it is ticked there like any line, and unticked it is asked about again.
So it needs no place of its own between two lessons, the teacher's file stays as she wrote it, and what is
taken back after school is not there the next time.
"""

from collections.abc import Callable
from dataclasses import dataclass

from pacer.log.database import LogError
from pacer.log.day_records import DayRecords, RunRow
from pacer.plan.outline import Outline


@dataclass(frozen=True)
class _Left:
    """What one lesson left: its line in words, and what it has for the next table list."""

    words: str
    lines: tuple[str, ...]


class CarriedOver:
    """Asks the lessons of the last day; they are read when first asked after `forget`.

    ``records`` gives the day records, None where there are none.
    """

    def __init__(self, records: Callable[[], DayRecords | None]) -> None:
        self._records = records
        self._read: dict[str, tuple[_Left, ...]] = {}

    def forget(self) -> None:
        """Read the lessons anew when next asked: one may have been taught or something said about it."""
        self._read = {}

    def words(self, subject: str = "") -> str:
        """What was left over on the last day with lessons of a subject, a line for each lesson."""
        return "\n".join(left.words for left in reversed(self._last_day(subject)) if left.words)

    def taught(self, outline: Outline) -> Outline:
        """The outline with what goes to this table on its list; as it is where that is nothing."""
        if not outline.has_second_half:
            return outline
        lines = [line.strip() for line in outline.table_list.splitlines() if line.strip()]
        own = len(lines)
        for left in reversed(self._last_day(outline.subject)):
            lines += [line for line in left.lines if line not in lines]
        return outline if len(lines) == own else outline.model_copy(update={"table_list": "\n".join(lines)})

    def _last_day(self, subject: str) -> tuple[_Left, ...]:
        """The lessons of the last day, the newest first."""
        key = subject.strip().casefold()
        if key not in self._read:
            records = self._records()
            try:
                self._read[key] = () if records is None else _last_day(records, key)
            except (LogError, LookupError):
                return ()  # Look back says what is wrong with the records
        return self._read[key]


def _last_day(records: DayRecords, subject: str) -> tuple[_Left, ...]:
    from pacer.frames.words.carried import carried_lines, carried_words
    from pacer.frames.words.wording import local_time
    from pacer.review.left_over import left_over
    from pacer.run.corrections import effective
    from pacer.run.fold import fold
    from pacer.run.repair import repaired

    rows = [row for row in records.runs() if row.mode != "rehearsal" and _is_of(row, subject)]
    dates = [local_time(row.started_utc_ms, row.utc_offset_s).date().isoformat() for row in rows]
    found: list[_Left] = []
    is_taken = False
    for row, date in zip(rows, dates, strict=True):
        if date != dates[0]:
            break
        state, after = fold(records.events(row.id)), effective(records.after().of(row.id))
        left = left_over(state, repaired(state, after), after)
        if is_taken:
            left = tuple(each for each in left if each.went != "table")
        found.append(_Left(carried_words(row.title, date, left), carried_lines(date, left)))
        # What was left for the table before this lesson stood on its own list.
        is_taken = is_taken or state.plan.has_second_half
    return tuple(found)


def _is_of(row: RunRow, subject: str) -> bool:
    """Whether a lesson is of a subject; where one of both names none, they are taken for the same."""
    own = row.subject.strip().casefold()
    return not own or not subject or own == subject
