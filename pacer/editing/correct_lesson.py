"""One lesson of the day records after school: shown as it was mended, and all that is said about it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from pacer.frames.after_school.lesson_words import about_words, lesson_sentence
from pacer.frames.after_school.timeline import START, timeline
from pacer.frames.record import RecordRow, marks_words, record
from pacer.frames.words.not_taught import LeftRow, answer_to, left_rows
from pacer.frames.words.record_half import leg_cells
from pacer.frames.words.wording import ending_words, over_words, took_words
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords, RunRow
from pacer.pace.stages import Stage
from pacer.plan.durations import format_duration
from pacer.review.left_over import left_over
from pacer.review.replay_with_stages import replay_with_stages
from pacer.run.corrections import (
    AnyAfter,
    BorderMoved,
    Correction,
    Corrections,
    StartMoved,
    TakenBack,
    TomorrowNoted,
    VisitSplit,
    effective,
)
from pacer.run.events import Event
from pacer.run.repair import early_ms, repaired
from pacer.run.state import LessonState
from pacer.run.table_list import LineKey
from pacer.text import _


class NotKeptError(Exception):
    """What was said could not be written and changed nothing; the message says what and why."""


@dataclass(frozen=True)
class Repair:
    """A lesson as its own presses have it, and what was said since.

    ``stages`` is what the Desk showed at unsaid endings, by phase; without it no guess is told. Times that
    are handed in are those shown, in ms from the real start; what is written counts from the press of Start.
    """

    original: LessonState
    after: Corrections
    stages: Mapping[int, Stage] | None = None

    @cached_property
    def mended(self) -> LessonState:
        """The lesson as it was mended."""
        return repaired(self.original, self.after)

    def border(self, visit: int, t_ms: int) -> StartMoved | BorderMoved:
        """What to write where a visit really ended then, or with START where the lesson really began."""
        from_press_ms = self._from_press(t_ms)
        if visit == START:
            return StartMoved(early_ms=-from_press_ms)
        return BorderMoved(visit=visit, t_ms=from_press_ms)

    def split(self, visit: int, t_ms: int, to: int) -> VisitSplit:
        """What to write where the class went on to another phase within a visit."""
        return VisitSplit(visit=visit, t_ms=self._from_press(t_ms), to=to)

    def _from_press(self, t_ms: int) -> int:
        return t_ms - early_ms(self.original, self.mended)

    def preview_words(self, visit: int, t_ms: int) -> str:
        """What a border that is being moved does to the phases on its two sides."""
        return timeline(self.original, self.mended).preview_words(visit, t_ms)


@dataclass(frozen=True)
class LessonFrame:
    """All that is shown of one lesson; ``cells`` has a row for each of its phases, and of
    its second half where that was run.

    ``left`` is asked about: what the lesson left over; ``still_open`` is how many lines of it have no answer.
    """

    title: str
    sentence: str
    about: str
    tomorrow_note: str
    phases: tuple[RecordRow, ...]
    cells: tuple[tuple[str, ...], ...]
    may_repair: bool
    left: tuple[LeftRow, ...]
    still_open: int


class CorrectedLesson:
    """The lesson chosen in the list of day records; ``run`` is None while there is none.

    ``repair`` is that lesson with what was said about it.
    """

    def __init__(self, records: DayRecords | None, utc_now_ms: Callable[[], int]) -> None:
        self._records, self._utc_now_ms = records, utc_now_ms
        self.run: RunRow | None = None
        self._events: list[Event] = []
        self._corrections: list[Correction] = []
        self._newest: int | None = None
        self.repair = Repair(LessonState(), Corrections())

    @property
    def can_write(self) -> bool:
        """Whether anything can be said."""
        return self._records is not None and self._records.can_write

    def read_list(self) -> tuple[list[RunRow], int]:
        """All lessons, the newest first, and which to show. Raises LogError.

        That is one taught since the list was last read, else the one shown; the newest where that is gone.
        """
        runs = [] if self._records is None else self._records.runs()
        newest, self._newest = self._newest, runs[0].id if runs else None
        shown = None if self.run is None or self._newest != newest else self.run.id
        return runs, next((row for row, run in enumerate(runs) if run.id == shown), 0)

    def open(self, run: RunRow) -> None:
        """Read another lesson. Raises LogError, and then there is none."""
        self.run = None
        if self._records is not None:
            self._events = self._records.events(run.id)
            self._corrections = self._records.after().of(run.id)
            self.run = run
            self._work_out()

    def close(self) -> None:
        """There is no lesson to show."""
        self.run = None

    def _work_out(self) -> None:
        state, stages = replay_with_stages(self._events)
        self.repair = Repair(state, effective(self._corrections), stages)

    def frame(self) -> LessonFrame:
        """The lesson as it was mended."""
        state, after = self.repair.mended, self.repair.after
        lesson = record(state, self._events[-1].t_ms)
        left = left_over(self.repair.original, state, after)
        sentence = lesson_sentence(self._events, self._corrections)
        # Why groups started late is said above, in a sentence.
        marks = marks_words(replace(lesson, lateness=()) if sentence else lesson)
        return LessonFrame(
            title=lesson.title,
            sentence=sentence,
            about=about_words(lesson, state, after, marks),
            tomorrow_note=after.thing,
            phases=tuple(lesson.phases),
            cells=(*map(_cells, lesson.phases), *map(leg_cells, lesson.visits)),
            may_repair=state.ended_ms is not None and self.can_write,
            left=left_rows(left),
            still_open=sum(each.is_open for each in left),
        )

    def is_other_tomorrow_note(self, typed: str) -> bool:
        """Whether another note for tomorrow is typed than was kept."""
        return self.run is not None and _tidied(typed) != self.repair.after.thing

    def say_tomorrow_note(self, typed: str) -> None:
        """Write the note for tomorrow. Raises NotKeptError."""
        self.say(TomorrowNoted(text=_tidied(typed)))

    def say_left(self, key: LineKey, went: str) -> None:
        """Write where what was left over went; empty takes that back. Raises NotKeptError."""
        self.say(answer_to(key, went))

    def take_back(self, number: int) -> None:
        """Take back what was said, which is said, too. Raises NotKeptError."""
        self.say(TakenBack(target=number))

    def say(self, body: AnyAfter) -> None:
        """Write something about the lesson. Raises NotKeptError."""
        if self.run is None or self._records is None:
            return
        try:
            self._corrections.append(self._records.after().say(self.run.id, body, self._utc_now_ms()))
        except LogError as error:
            # The text itself, too: another lesson may be shown by now.
            lost_words = f"“{body.text}”" if isinstance(body, TomorrowNoted) else _("What you entered")
            raise NotKeptError(_("{reason} {what} is not kept.", reason=error, what=lost_words)) from error
        self._work_out()


def _tidied(typed: str) -> str:
    return " ".join(typed.split())


def _cells(row: RecordRow) -> tuple[str, ...]:
    return (
        row.title,
        format_duration(row.planned),
        took_words(row.actual, cut_off=row.cut_off, reached=row.visits > 0),
        over_words(row.over),
        ending_words(row.ending),
    )
