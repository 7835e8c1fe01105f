"""One lesson of Look back in words: its line in the list, when it was, and why groups started then."""

from collections.abc import Sequence

from pacer.frames.pictures.late_steps import sentence
from pacer.frames.record import Record
from pacer.frames.words.choice import date_words
from pacer.frames.words.wording import clock_seconds, clock_words, local_time, mode_words
from pacer.log.day_records import RunRow
from pacer.plan.durations import format_duration
from pacer.review.day_book import work_out
from pacer.run.corrections import Correction, Corrections
from pacer.run.events import Event
from pacer.run.state import LessonState
from pacer.text import _


def run_words(run: RunRow) -> str:
    """A lesson in two lines of a list."""
    start = local_time(run.started_utc_ms, run.utc_offset_s)
    clock = clock_words(run.started_utc_ms, run.utc_offset_s)
    day = f"{date_words(start.date().isoformat())}  {clock}"
    mode = mode_words(run.mode)
    return f"{run.title}\n{day}" + (f" · {mode}" if mode else "")


def lesson_sentence(events: Sequence[Event], corrections: Sequence[Correction]) -> str:
    """Why the groups started late, in one sentence; empty for a lesson that never ended."""
    day = work_out(0, events, corrections)
    return sentence(day) if day.ended else ""


def about_words(lesson: Record, state: LessonState, after: Corrections, marks: str) -> str:
    """When the lesson was and how long it took, then what else was pressed and said."""
    start = clock_seconds(state.utc_ms(0), state.utc_offset_s).removeprefix("0").removesuffix(":00")
    about = _("{date} · planned {planned_start}, started {start} · {actual} of {planned} planned").format(
        date=date_words(lesson.date),
        planned_start=lesson.planned_start,
        start=start,
        actual=format_duration(lesson.actual),
        planned=format_duration(lesson.planned),
    )
    notes = [_("repaired: the times shown were mended")] if after.is_repaired else []
    notes += [_("not like other days: nothing is learned from it")] if after.flagged else []
    return "\n".join(line for line in (about, marks, " · ".join(notes)) if line)


def tomorrow_note_words(run: RunRow | None, text: str) -> str:
    """What the teacher wanted to change, with the day on which she wrote it; empty where there is none."""
    if run is None or not text:
        return ""
    day = date_words(local_time(run.started_utc_ms, run.utc_offset_s).date().isoformat())
    return _("One thing for tomorrow, written after {date}: {text}", date=day, text=text)
