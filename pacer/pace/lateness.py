"""Why the groups started when they did: their lateness by cause, in parts that add up to the second."""

from dataclasses import dataclass
from typing import Literal

from pacer.pace.trim import whole_seconds
from pacer.run.legs import Leg
from pacer.run.state import LessonState
from pacer.run.timeline import Visit

LateCause = int | Literal["start", "plan", "pauses", "moves"]
"""In this order: the late start; each phase of the mini lesson by its index; budgets that do not match
the length of the mini lesson; pauses and gaps that were taken off; all between mini lesson and groups."""


@dataclass(frozen=True)
class LatePart:
    """Seconds of lateness by one cause; below zero it gained time."""

    cause: LateCause
    seconds: int


@dataclass(frozen=True)
class Lateness:
    """How much later than planned the groups started, in seconds, and its parts; early is below zero."""

    whole_s: int
    parts: tuple[LatePart, ...]


def lateness(state: LessonState) -> Lateness | None:
    """The lateness of the group start by cause; None until the groups have started.

    The groups start with the first visit, where groups are typed as phases with the first of them. Where
    none was reached, they start when the mini lesson was left for the last time. Parts of 0 s are left out.
    """
    begin_ms = group_start_ms(state)
    if begin_ms is None:
        return None
    plan, mini = state.plan, state.plan.mini_count
    used = [state.spent_ms(i, begin_ms) for i in range(len(plan.phases))]
    over = [ms - phase.budget_s * 1000 for ms, phase in zip(used, plan.phases, strict=True)]
    walked = sum(
        state.leg_spent_ms(number, begin_ms)
        for number, leg in enumerate(state.legs)
        if leg.begin_ms < begin_ms
    )
    moves = sum(used[mini:]) + walked - 1000 * _planned_moves_s(state)
    causes: list[tuple[LateCause, int]] = [
        ("start", state.late_ms),
        *enumerate(over[:mini]),
        ("plan", 1000 * (sum(phase.budget_s for phase in plan.phases[:mini]) - plan.mini_lesson_s)),
        ("pauses", begin_ms - sum(used) - walked),
        ("moves", moves),
    ]
    seconds = whole_seconds([ms for _cause, ms in causes])
    parts = tuple(LatePart(cause, s) for (cause, _ms), s in zip(causes, seconds, strict=True) if s)
    return Lateness(sum(seconds), parts)


def group_start_ms(state: LessonState) -> int | None:
    """When the groups started, in lesson time; None while they have not."""
    if state.outline is None:
        return None
    if (leg := _first_visit(state)) is not None:
        return leg.begin_ms
    first = _first_group(state)
    for visit in state.visits:
        if visit.index == first:
            return visit.begin_ms
    if first is not None and state.is_running:
        return None
    mini = [visit for visit in state.visits if visit.index < state.plan.mini_count]
    if not mini or (mini[-1] is state.visits[-1] and _broke_off(state, mini[-1])):
        return None
    return mini[-1].end_ms


def _broke_off(state: LessonState, last: Visit) -> bool:
    """Whether the lesson ended in its mini lesson without anybody going to groups."""
    if state.legs and last.end_ms is not None and state.legs[-1].begin_ms >= last.end_ms:
        return False
    before_its_end = last.index < state.plan.mini_count - 1
    return last.ending in ("bell", "interrupted") or (state.ended_by_hand and before_its_end)


def groups_in_time(state: LessonState) -> bool | None:
    """Whether the mini lesson was over when planned or before; None where nobody knows, or not yet.

    Days with a skipped last phase count: they are the late ones, and leaving them out flatters forecasts. So
    do those that were cut off in the mini lesson when its end was past: they were late, whatever else had
    come.
    """
    if state.is_running and (group_start_ms(state) is None or state.is_in_mini_lesson):
        return None
    ends = [v.end_ms for v in state.visits if v.index < state.plan.mini_count and v.end_ms is not None]
    in_time = max(ends) <= state.plan.mini_lesson_s * 1000 - state.late_ms if ends else None
    return None if in_time and group_start_ms(state) is None else in_time


def _first_visit(state: LessonState) -> Leg | None:
    """The first visit of a group to the table."""
    return next((leg for leg in state.legs if leg.kind == "visit"), None)


def _first_group(state: LessonState) -> int | None:
    return next((i for i, phase in enumerate(state.plan.phases) if phase.kind == "group"), None)


def _planned_moves_s(state: LessonState) -> int:
    """The budgets planned between the mini lesson and the groups, where the groups were reached."""
    if _first_visit(state) is not None:
        return state.plan.block.move_s
    first = _first_group(state)
    if first is None or not state.visited(first):
        return 0
    return sum(phase.budget_s for phase in state.plan.phases[state.plan.mini_count : first])
