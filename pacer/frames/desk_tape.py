"""The Desk's tape: planned over actual, of the phases or, in the second half, of the block's parts."""

from dataclasses import dataclass

from pacer.frames.desk_near import stepped
from pacer.pace.cut import Allotments, allotted_at_start
from pacer.pace.leg_cut import planned_visit_s
from pacer.pace.reading import Reading
from pacer.pace.second_half import extra_visits
from pacer.plan.outline import Outline
from pacer.remember import identity_cache
from pacer.review.statistics.rounding import whole_s
from pacer.run.legs import LegKind
from pacer.run.state import LessonState
from pacer.text import _

TAPE_STEP_S = 5


@dataclass(frozen=True)
class TapeRow:
    """One part of the day on the tape: planned over actual, in seconds.

    The running part's time moves in steps of five seconds: between them the Desk stands still. A part that
    is over is rounded as Look back does. ``now_s`` is what a part may take by now, None where that was
    planned.
    """

    title: str
    budget_s: int
    actual_s: int
    running: bool = False
    visited: bool = False
    now_s: int | None = None


def tape(reading: Reading) -> tuple[TapeRow, ...]:
    """Planned over actual for each phase of the outline, in order."""
    state, had_s = reading.state, 0
    if state.index is not None:
        had_s = stepped(state.spent_ms(state.index, reading.now_ms) // 1000, TAPE_STEP_S)
    return _rows(state, reading.from_now, had_s)


@identity_cache
def _rows(state: LessonState, current: Allotments | None, had_s: int) -> tuple[TapeRow, ...]:
    """The tape where the running phase has had so much: the very same rows until that takes a step."""
    ended_ms = state.visits[-1].end_ms if state.visits else 0
    till_ms = state.visits[-1].begin_ms if ended_ms is None else ended_ms
    spent_s = [whole_s(state.spent_ms(index, till_ms)) for index in range(len(state.plan.phases))]
    now_s = {} if current is None else _now_s(state, current, spent_s)
    return tuple(
        TapeRow(
            title=phase.title,
            budget_s=phase.budget_s,
            actual_s=had_s if index == state.index else spent_s[index],
            running=index == state.index,
            visited=state.visited(index),
            now_s=None if now_s.get(index) == phase.budget_s else now_s.get(index),
        )
        for index, phase in enumerate(state.plan.phases)
    )


def _now_s(state: LessonState, current: Allotments, spent_s: list[int]) -> dict[int, int]:
    """What each phase that runs, is still to come or has left may take in all, from now on."""
    later = {
        index: spent_s[index] + seconds
        for index, seconds in current.later
        if index in state.left or state.ending_of(index) not in ("done", "moved on")
    }
    return later | {current.index: current.allotted_s}


def planned_tape(outline: Outline) -> tuple[TapeRow, ...]:
    """The tape before the start: what is planned and, on a day that is too short, what it is cut to."""
    allotted = allotted_at_start(outline)
    return tuple(
        TapeRow(phase.title, phase.budget_s, 0, now_s=None if now_s == phase.budget_s else now_s)
        for phase, now_s in zip(outline.phases, allotted, strict=True)
    )


def half_tape(reading: Reading) -> tuple[TapeRow, ...]:
    """The mini lesson, the transition, visits in the order of today, the share; clean-up once it is on."""
    state, block, half = reading.state, reading.state.plan.block, reading.half
    mini_s = whole_s(sum(reading.spent_ms[: state.plan.mini_count]))
    rows = [TapeRow(_("Mini lesson"), state.plan.mini_lesson_s, mini_s, visited=True)]
    had_move = any(leg.kind == "move" for leg in state.legs)
    if block.move_s or had_move:
        rows.append(_leg_row(reading, "move", _("Transition"), block.move_s))
    now_s = {} if half is None else {v.group: (v.end_ms - v.begin_ms) // 1000 for v in half.to_come}
    if half is not None and half.leg.kind == "visit" and len(state.legs) - 1 not in extra_visits(state):
        now_s[half.leg.group] = half.allotted_s
    planned_s = planned_visit_s(state)
    for group in groups_of_today(state):
        name = state.plan.visitors[group].name
        rows.append(_leg_row(reading, "visit", name, planned_s, group, now_s.get(group)))
    rows += _extra_rows(reading)
    if block.share_s:
        share_s = None if half is None or half.leg.kind == "clean_up" else half.share_s
        if half is not None and half.leg.kind == "share":
            share_s = half.allotted_s
        rows.append(_leg_row(reading, "share", _("Share"), block.share_s, now_s=share_s))
    if any(leg.kind == "clean_up" for leg in state.legs):
        now = half.allotted_s if half is not None and half.leg.kind == "clean_up" else None
        rows.append(_leg_row(reading, "clean_up", _("Clean up"), block.clean_up_s, now_s=now))
    return tuple(rows)


def groups_of_today(state: LessonState) -> tuple[int, ...]:
    """Numbers of the groups that had a visit, in the order of these, then of those still to come."""
    leg = state.leg
    due = (leg.group,) if leg is not None and leg.group >= 0 and leg.group not in state.groups_out else ()
    return tuple(dict.fromkeys((*state.visited_groups, *due, *state.groups_to_come)))


def _extra_rows(reading: Reading) -> list[TapeRow]:
    """What no outline planned: as large as it may take while it runs, then as it took."""
    state, half, rows = reading.state, reading.half, list[TapeRow]()
    extra = extra_visits(state)
    for group in dict.fromkeys(state.legs[number].group for number in extra):
        own = [number for number in extra if state.legs[number].group == group]
        had_ms = sum(state.leg_spent_ms(number, reading.now_ms) for number in own)
        running = half is not None and own[-1] == len(state.legs) - 1
        before_s = sum(state.leg_spent_ms(number, reading.now_ms) for number in own[:-1]) // 1000
        had_s = _had_s(had_ms, running=running)
        budget_s = before_s + half.allotted_s if half is not None and running else had_s
        title = _("{group} again", group=state.plan.visitors[group].name)
        rows.append(TapeRow(title, budget_s, had_s, running, visited=True))
    return rows


def _leg_row(
    reading: Reading, kind: LegKind, title: str, planned_s: int, group: int = -1, now_s: int | None = None
) -> TapeRow:
    """All legs of a kind, of visits those of one group; extra ones have rows of their own."""
    state, leg = reading.state, reading.state.leg
    extra = extra_visits(state) if kind == "visit" else ()
    numbers = [
        number
        for number, other in enumerate(state.legs)
        if other.kind == kind and (kind != "visit" or other.group == group) and number not in extra
    ]
    had_ms = sum(state.leg_spent_ms(number, reading.now_ms) for number in numbers)
    running = leg is not None and bool(numbers) and numbers[-1] == len(state.legs) - 1
    return TapeRow(
        title=title,
        budget_s=planned_s,
        actual_s=_had_s(had_ms, running=running),
        running=running,
        visited=bool(numbers),
        now_s=None if now_s == planned_s else now_s,
    )


def _had_s(had_ms: int, *, running: bool) -> int:
    return stepped(had_ms // 1000, TAPE_STEP_S) if running else whole_s(had_ms)
