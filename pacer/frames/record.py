"""One lesson's planned over actual, as Look back, the log verb and the replay show it."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from pacer.frames.accounts import Foretold, Share, causes, causes_words, foretold, gave
from pacer.frames.words import wording
from pacer.frames.words.record_half import LeftLine, RecordLegRow, left_lines, leg_rows
from pacer.plan.durations import format_duration
from pacer.review.left_over import LeftOver
from pacer.review.statistics.rounding import whole_s
from pacer.run.events import Ending
from pacer.run.state import LessonState
from pacer.text import _, counted


@dataclass(frozen=True)
class RecordRow:
    """One phase: seconds planned and spent, and how it ended. ``cut_off``: it was not finished."""

    phase: str
    title: str
    kind: str
    planned: int
    actual: int
    ending: Ending | None
    visits: int
    cut_off: bool

    @property
    def over(self) -> int | None:
        """Seconds past the plan, negative when shorter; None if not reached, or cut off before its time."""
        if self.visits == 0 or (self.cut_off and self.actual < self.planned):
            return None
        return self.actual - self.planned


@dataclass(frozen=True)
class ScreensRow:
    """A change of the screens: when on the classroom's clock, which there were then, which had the Wall."""

    time: str
    screens: tuple[str, ...]
    wall: str
    curtain: bool


@dataclass(frozen=True)
class Record:
    """What a lesson came to. ``start`` and ``planned_start`` are classroom clock times.

    ``settle_s`` are the seconds until all eyes were back after a partner burst, ``half_ready_s`` those until
    half of the class was ready, ``blanks`` how often the Wall
    was blanked, ``stalls_ms`` by how many milliseconds the windows stood still.
    ``visits`` is the second half, where it was run, ``left`` the table list and what was not taught.
    """

    title: str
    subject: str
    date: str
    planned_start: str
    start: str
    mode: str
    ended: bool
    planned: int
    actual: int
    cues: int
    voices: int
    table_marks: int
    happened: int
    stuck: tuple[int, ...]
    settle_s: tuple[int, ...]
    half_ready_s: tuple[int, ...]
    blanks: int
    screens: tuple[ScreensRow, ...]
    stalls_ms: tuple[int, ...]
    lateness: tuple[Share, ...]
    ledger: tuple[Share, ...]
    forecasts: tuple[Foretold, ...]
    phases: tuple[RecordRow, ...]
    visits: tuple[RecordLegRow, ...] = ()
    left: tuple[LeftLine, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Plain values for ``--json``."""
        return asdict(self)


def marks_words(lesson: Record) -> str:
    """Why the groups were late, and what was pressed beside the phases, in one line."""
    parts = []
    late = causes_words(lesson.lateness, {row.phase: row.title for row in lesson.phases})
    if late:
        parts.append(late)
    if lesson.table_marks:
        parts.append(counted("{n} mark for the table", "{n} marks for the table", lesson.table_marks))
    if lesson.stuck:
        numbers = ", ".join(f"{n} ({lesson.stuck.count(n)})" for n in dict.fromkeys(lesson.stuck))
        parts.append(_("stuck on problem {numbers}", numbers=numbers))
    if lesson.voices:
        parts.append(counted("{n} child's voice", "{n} children's voices", lesson.voices))
    if lesson.happened:
        parts.append(_("something happened: {n}", n=lesson.happened))
    parts += _room_parts(lesson)
    return " · ".join(parts)


def _room_parts(lesson: Record) -> list[str]:
    """What the room did: children who settled, a blank Wall, screens that changed."""
    parts = []
    if lesson.settle_s:
        times = ", ".join(format_duration(seconds) for seconds in lesson.settle_s)
        parts.append(_("eyes were back after {times}", times=times))
    if lesson.half_ready_s:
        times = ", ".join(format_duration(seconds) for seconds in lesson.half_ready_s)
        parts.append(_("half were ready after {times}", times=times))
    if lesson.blanks:
        parts.append(counted("Wall blank {n} time", "Wall blank {n} times", lesson.blanks))
    if lesson.screens:
        parts.append(counted("screens changed {n} time", "screens changed {n} times", len(lesson.screens)))
    if lesson.stalls_ms:
        parts.append(
            counted("windows stood still {n} time", "windows stood still {n} times", len(lesson.stalls_ms))
        )
    return parts


def record(state: LessonState, now_ms: int, left: Sequence[LeftOver] = ()) -> Record:
    """The record of a lesson; for one that is still running, as it stands at a time.

    ``left`` is what an ended lesson left over, with what was said of it after school.
    """
    end = now_ms if state.ended_ms is None else state.ended_ms
    rows = tuple(_row(state, index, end) for index in range(len(state.plan.phases)))
    start = wording.local_time(state.utc_ms(0), state.utc_offset_s)
    return Record(
        title=state.plan.title,
        subject=state.plan.subject,
        date=start.date().isoformat(),
        planned_start=wording.clock_words(state.utc_ms(-state.late_ms), state.utc_offset_s),
        start=wording.clock_words(state.utc_ms(0), state.utc_offset_s),
        mode=state.mode,
        ended=state.ended_ms is not None,
        planned=sum(row.planned for row in rows),
        actual=sum(row.actual for row in rows),
        cues=len(state.cues),
        voices=state.count("voice"),
        table_marks=state.count("table_mark"),
        happened=state.count("happened"),
        lateness=causes(state),
        ledger=gave(state),
        forecasts=foretold(state),
        settle_s=tuple(settle.took_ms // 1000 for settle in state.settles),
        half_ready_s=tuple(half.took_ms // 1000 for half in state.halves),
        blanks=state.count("blanked"),
        screens=tuple(
            ScreensRow(
                wording.clock_seconds(state.utc_ms(change.t_ms), state.utc_offset_s),
                change.screens.screens,
                change.screens.wall,
                change.screens.curtain,
            )
            for change in state.screens
        ),
        stalls_ms=tuple(stall.late_ms for stall in state.stalls),
        stuck=tuple(sorted(mark.number for mark in state.marks if mark.kind == "tally")),
        phases=rows,
        visits=leg_rows(state, end),
        left=left_lines(left),
    )


def _row(state: LessonState, index: int, end_ms: int) -> RecordRow:
    phase = state.plan.phases[index]
    ending = state.ending_of(index)
    return RecordRow(
        phase=phase.id,
        title=phase.title,
        kind=phase.kind,
        planned=phase.budget_s,
        actual=whole_s(state.spent_ms(index, end_ms)),
        ending=ending,
        visits=sum(visit.index == index for visit in state.visits),
        cut_off=ending in ("bell", "interrupted"),
    )
