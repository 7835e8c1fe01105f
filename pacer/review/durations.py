"""Past endings in order of time: each day record folded once, and what was imported from files."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from pacer.log.day_records import DamagedRecord, DayRecords, RunRow
from pacer.log.imported import ImportedEnding
from pacer.pace.cut import cut
from pacer.pace.move_by import move_by
from pacer.pace.past import PastEnding
from pacer.pace.stages import Stage, shown_stage
from pacer.run import events as ev
from pacer.run.events import Ending, Event, Mode
from pacer.run.fold import fold, step, undone_numbers
from pacer.run.state import LessonState

LIVE: tuple[Mode, ...] = ("live",)
# These change no duration, no ending and no stage; passing over them makes folding a year quick.
_MARKS = (
    ev.Voice, ev.Example, ev.Tally, ev.TableMark, ev.Happened, ev.WallTurned, ev.TimeHidden, ev.Cued,
    ev.FillTurned, ev.PageTurned, ev.StripMoved, ev.Settled, ev.ScreensChanged, ev.Stalled,
)  # fmt: skip


@dataclass(frozen=True)
class History:
    """What a file of day records says about durations; ``endings`` stand in order of time.

    ``kept_apart`` counts the lessons of other modes or left out, ``damaged`` those that can't be read.
    """

    endings: tuple[PastEnding, ...]
    kept_apart: int
    damaged: int


def history(records: DayRecords, modes: Collection[Mode] = LIVE, without: Collection[int] = ()) -> History:
    """Read all lessons of some modes, but for the run numbers in ``without`` (flagged days, today's lesson).

    What was imported counts among live lessons. Raises LogError.
    """
    rows = records.runs()
    wanted = [row for row in rows if row.mode in modes and row.id not in without]
    lessons: list[tuple[tuple[str, int, int], list[PastEnding]]] = []
    damaged = 0
    for row in wanted:
        try:
            endings = endings_of(row, records.events(row.id))
        except DamagedRecord:
            damaged += 1
            continue
        if endings:
            lessons.append(((endings[0].date, row.started_utc_ms, row.id), endings))
    if "live" in modes:
        # They know a day and no hour, so they come first on it.
        for lesson in imported_lessons(records.imported().all()):
            lessons.append(((lesson[0].date, -1, -lesson[0].run), lesson))
    lessons.sort(key=lambda lesson: lesson[0])
    endings = [past for _when, lesson in lessons for past in lesson]
    return History(tuple(endings), len(rows) - len(wanted), damaged)


def endings_of(row: RunRow, events: Sequence[Event]) -> list[PastEnding]:
    """How each phase of one lesson ended at its last visit, in the order of its outline.

    A phase that still runs, or was not reached in a lesson that has not ended, has no ending and is left out.
    """
    state, stages = _folded(events)
    at = datetime.fromtimestamp(state.utc_ms(0) / 1000, UTC) + timedelta(seconds=state.utc_offset_s)
    found = []
    for index, phase in enumerate(state.plan.phases):
        ending = state.ending_of(index)
        if ending is not None:
            found.append(
                PastEnding(
                    run=row.id,
                    date=at.date().isoformat(),
                    phase=phase.id,
                    kind=phase.kind,
                    planned_s=phase.budget_s,
                    actual_s=(_spent_ms(state, index) + 500) // 1000,
                    ending=ending,
                    stage=stages.get(index) if ending == "unsaid" else None,
                    late_s=state.late_ms / 1000,
                )
            )
    return found


def _spent_ms(state: LessonState, index: int) -> int:
    """All of a phase's visits are over where it has an ending, so its time ends with the last of them."""
    return state.spent_ms(index, max((visit.end_ms or 0 for visit in state.visits), default=0))


def _folded(events: Sequence[Event]) -> tuple[LessonState, dict[int, Stage]]:
    """The state at the end, and per phase what the Desk showed when it last ended without a word."""
    undone = undone_numbers(events)
    stages: dict[int, Stage] = {}
    state = LessonState()
    for number, event in enumerate(events):
        if isinstance(event.body, _MARKS):
            continue
        if event.seq not in undone:
            if _ending(event) == "unsaid" and state.index is not None:
                stages[state.index] = _stage(state, event.t_ms)
            state = step(state, event)
        elif isinstance(event.body, ev.Gap):
            # A gap that was taken back stops the phase clock: only a whole fold knows how.
            taken_back = [later for later in events[number + 1 :] if isinstance(later.body, ev.Undone)]
            state = fold([*events[: number + 1], *taken_back])
    return state, stages


def _ending(event: Event) -> Ending | None:
    return event.body.ending if isinstance(event.body, ev.Moved | ev.Ended) else None


def _stage(state: LessonState, t_ms: int) -> Stage:
    """What the Desk showed; under a pause, what it showed before and would have shown after."""
    if state.is_paused:
        state = step(state, Event(seq=0, t_ms=t_ms, mono_ms=0, utc_ms=0, body=ev.WentOn()))
    current = cut(state)
    return shown_stage(state, current, None if current is None else move_by(state, current, t_ms), t_ms).stage


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
