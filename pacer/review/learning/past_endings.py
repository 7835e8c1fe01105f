"""Past endings in order of time, from the days and from what was imported from files."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from pacer.log.accepted import Accepted
from pacer.log.day_records import DayRecords
from pacer.log.imported import ImportedEnding
from pacer.pace.forecasts.past import PastEnding
from pacer.review.choice import LIVE, LessonChoice
from pacer.review.day_book import read_days, work_out
from pacer.review.days import Day
from pacer.run.corrections import Correction
from pacer.run.events import Event, Mode

__all__ = ["LIVE", "PastEndings", "endings_of", "history", "imported_lessons"]


@dataclass(frozen=True)
class PastEndings:
    """What a file of day records says about durations; ``endings`` stand in order of time.

    ``kept_apart`` counts the lessons of other modes or left out, ``set_aside`` those from which nothing is
    learned because they were flagged or repaired, ``damaged`` those that can't be read; ``accepted`` are the
    budgets that were accepted.
    """

    endings: tuple[PastEnding, ...]
    kept_apart: int
    damaged: int
    set_aside: int = 0
    accepted: tuple[Accepted, ...] = ()


def history(
    records: DayRecords,
    modes: Collection[Mode] = LIVE,
    without: Collection[int] = (),
    *,
    repaired: bool = False,
    flagged: bool = False,
) -> PastEndings:
    """Read all lessons of some modes, but for the run numbers in ``without`` (today's lesson).

    Flagged days and repaired ones teach nothing unless asked for. What was imported counts among live
    lessons. Raises LogError.
    """
    book = read_days(records)
    choice = LessonChoice(modes=tuple(modes), flagged=flagged, repaired=repaired)
    every = [*book.days, *book.unended]
    wanted = [day for day in every if day.mode in modes and day.run not in without]
    learned = choice.learning(wanted)
    lessons: list[tuple[tuple[str, int, int], list[PastEnding]]] = []
    for day in learned:
        endings = endings_of_day(day)
        if endings:
            lessons.append(((day.date, day.planned_s + day.late_s, day.run), endings))
    if "live" in modes:
        # They know a day and no hour, so they come first on it.
        for lesson in imported_lessons(records.imported().all()):
            lessons.append(((lesson[0].date, -86_400, -lesson[0].run), lesson))
    lessons.sort(key=lambda lesson: lesson[0])
    endings = [past for _when, lesson in lessons for past in lesson]
    return PastEndings(
        endings=tuple(endings),
        kept_apart=len(every) - len(wanted),
        damaged=book.damaged,
        set_aside=len(wanted) - len(learned),
        accepted=tuple(records.accepted().all()),
    )


def endings_of(run: int, events: Sequence[Event], corrections: Sequence[Correction] = ()) -> list[PastEnding]:
    """How each phase of one lesson ended at its last visit, in the order of its outline.

    A phase that still runs, or was not reached in a lesson that has not ended, has no ending and is left out.
    """
    return endings_of_day(work_out(run, events, corrections))


def endings_of_day(day: Day) -> list[PastEnding]:
    """The same of a day that was worked out before."""
    return [
        PastEnding(
            run=day.run,
            date=day.date,
            phase=phase.id,
            kind=phase.kind,
            planned_s=phase.planned_s,
            actual_s=phase.actual_s,
            ending=phase.ending,
            stage=phase.stage,
            late_s=day.late_s,
            outline=day.title,
            subject=day.subject,
        )
        for phase in day.phases
        if phase.ending is not None
    ]


def imported_lessons(rows: Iterable[tuple[int, ImportedEnding]]) -> list[list[PastEnding]]:
    """Imported rows, each with the number of its import, lesson by lesson; their run numbers are negative.

    A table names no lessons. The rows of a day are one, and where a phase comes again on the same day, the
    n-th time is another lesson's.
    """
    lessons: dict[tuple[int, str, int], list[PastEnding]] = {}
    times: dict[tuple[int, str, str], int] = {}
    for batch, row in rows:
        which = times[batch, row.date, row.phase] = times.get((batch, row.date, row.phase), 0) + 1
        lesson = lessons.setdefault((batch, row.date, which), [])
        run = lesson[0].run if lesson else -len(lessons)
        lesson.append(PastEnding(run, row.date, row.phase, row.kind, row.planned_s, row.actual_s, row.ending))
    return list(lessons.values())
