"""Who gave what to whom: every change of an allotment, step by step, each step adding up to zero."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from pacer.pace.cut import Allotments, cut
from pacer.pace.groups import visits_from
from pacer.pace.price import LastPayer, last_payments
from pacer.remember import identity_cache
from pacer.run.state import LessonState
from pacer.run.timeline import Visit

StepCause = Literal["start", "added", "taken", "went_on", "recut", "entered", "left"]
Account = int | Literal["start", "pauses", "away", "spare"] | LastPayer
"""A phase by its index; a late start; time in which the phase clock stood still; time spent in the other
part of the day; time that nothing needs; what the groups give up and, once they have nothing, the share; or,
with nothing left or without groups, time past the end."""


@dataclass(frozen=True)
class LedgerEntry:
    """What changed at a time, in lesson milliseconds. ``index`` is the phase that ran then.

    ``entries`` pairs accounts with milliseconds: above zero it has more than before, below zero it gave
    that. They add up to zero. ``went_on`` is the end of a pause, ``recut`` a cut that was asked for, ``left``
    closes the account of a phase: it took what it took.
    """

    t_ms: int
    cause: StepCause
    index: int
    entries: tuple[tuple[Account, int], ...]


@identity_cache
def ledger(state: LessonState, of_groups: bool = False) -> tuple[LedgerEntry, ...]:
    """The ledger of the mini lesson or, ``of_groups``, of the part of the day after it; empty without one.

    Written budgets plus all entries of a phase are what it is allotted now; of a phase that has been left
    for good, what it took. A step that changed nothing is left out.
    """
    if state.outline is None or not _span(state, of_groups):
        return ()
    before = written(state, of_groups)
    steps = []
    for t_ms, cause, index, state_then in _changes(state, of_groups):
        after = _balances(state_then, t_ms, of_groups, cut(state_then))
        entries = tuple((key, after[key] - before[key]) for key in after if after[key] != before[key])
        if entries:
            steps.append(LedgerEntry(t_ms, cause, index, entries))
        before = after
    return tuple(steps)


def totals(steps: tuple[LedgerEntry, ...]) -> dict[Account, int]:
    """All that each account got or, below zero, gave so far, in milliseconds."""
    balances: dict[Account, int] = {}
    for step in steps:
        for account, ms in step.entries:
            balances[account] = balances.get(account, 0) + ms
    # Whoever a step on the way reached first: what no phase can pay is told last.
    last = {key: balances[key] for key in ("groups", "share", "over") if key in balances}
    return {key: ms for key, ms in balances.items() if key not in last} | last


def written(state: LessonState, of_groups: bool = False) -> dict[Account, int]:
    """What the outline gives each account, in milliseconds, before anything happens.

    The part of the day asked about must have phases.
    """
    span, plan = _span(state, of_groups), state.plan
    away = plan.mini_lesson_s if of_groups else 0
    budgets: dict[Account, int] = {i: plan.phases[i].budget_s * 1000 for i in span}
    left = (_end_s(state, of_groups) - away) * 1000 - sum(budgets.values())
    return budgets | {"start": 0, "pauses": 0, "away": away * 1000} | _spare_or_short(state, of_groups, left)


def paid_by_now(state: LessonState, current: Allotments, now_ms: int) -> dict[Account, int]:
    """What each account has now, in milliseconds, more than was written or, below zero, less.

    By the allotments from now on; that is the ledger's total, with a last step made now.
    """
    # While the phase clock runs nothing changes but at a press: what is used is no longer to come.
    return _paid_at(state, current, min(now_ms, current.over_ms) if state.is_paused else current.over_ms)


@identity_cache
def _paid_at(state: LessonState, current: Allotments, at_ms: int) -> dict[Account, int]:
    of_groups = current.index >= state.plan.mini_count
    before, after = written(state, of_groups), _balances(state, at_ms, of_groups, current)
    return {key: after[key] - before[key] for key in after if after[key] != before[key]}


def _changes(state: LessonState, of_groups: bool) -> Iterator[tuple[int, StepCause, int, LessonState]]:
    """Every time at which allotments changed, with the state as it was right then."""
    span = _span(state, of_groups)
    adds = _adds_of_visits(state)
    adds_so_far: tuple[int, ...] = ()
    for number, visit in enumerate(state.visits):
        if visit.index in span:
            cause: StepCause = "entered" if number else "start"
            yield visit.begin_ms, cause, visit.index, _as_it_was(state, number, visit.begin_ms, adds_so_far)
        for t_ms, cause, add in _within(state, visit, adds[number]):
            adds_so_far = adds_so_far if add is None else (*adds_so_far, add)
            if visit.index in span:
                yield t_ms, cause, visit.index, _as_it_was(state, number, t_ms, adds_so_far)
        following = state.visits[number + 1 : number + 2]
        # From phase to phase within this part of the day, leaving one is entering the next.
        if (
            visit.index in span
            and visit.end_ms is not None
            and not (following and following[0].index in span)
        ):
            state_then = replace(
                state,
                visits=state.visits[: number + 1],
                added=tuple(state.added[i] for i in sorted(adds_so_far)),
                ended_ms=None,
            )
            yield visit.end_ms, "left", visit.index, state_then


def _within(state: LessonState, visit: Visit, adds: list[int]) -> Iterator[tuple[int, StepCause, int | None]]:
    """What changed allotments in a visit: when, why and, of time given or taken, which entry of ``added``."""
    changes: list[tuple[int, StepCause, int | None]] = [
        (state.added[add].t_ms, "added" if state.added[add].seconds > 0 else "taken", add) for add in adds
    ]
    changes += [(t_ms, "recut", None) for t_ms in visit.cut_anew]
    changes += [
        (stop.end_ms, "went_on", None)
        for stop in state.stopped
        if stop.end_ms is not None
        and visit.begin_ms < stop.end_ms
        and (visit.end_ms is None or stop.end_ms < visit.end_ms)
    ]
    yield from sorted(changes, key=lambda change: change[0])


def _adds_of_visits(state: LessonState) -> list[list[int]]:
    """For each visit, which entries of ``added`` were made on it; the last one that fits, as a cut has it."""
    numbers: list[list[int]] = [[] for _visit in state.visits]
    for number, change in enumerate(state.added):
        for adds, visit in reversed(list(zip(numbers, state.visits, strict=True))):
            if visit.index == change.phase and visit.begin_ms <= change.t_ms:
                adds.append(number)
                break
    return numbers


def _as_it_was(state: LessonState, number: int, t_ms: int, adds: tuple[int, ...]) -> LessonState:
    """The state at a time in a visit, by the visit's number."""
    visit = state.visits[number]
    visit = replace(
        visit, end_ms=None, ending=None, cut_anew=tuple(at for at in visit.cut_anew if at <= t_ms)
    )
    stopped = tuple(
        stop if stop.end_ms is not None and stop.end_ms <= t_ms else replace(stop, end_ms=None)
        for stop in state.stopped
        if stop.begin_ms <= t_ms
    )
    return replace(
        state,
        visits=(*state.visits[:number], visit),
        stopped=stopped,
        added=tuple(state.added[i] for i in sorted(adds)),
        ended_ms=None,
    )


def _balances(
    state: LessonState, t_ms: int, of_groups: bool, current: Allotments | None
) -> dict[Account, int]:
    """What each account holds at a point: what was used, plus what is still allotted."""
    span = _span(state, of_groups)
    used = {i: state.spent_ms(i, t_ms) for i in range(len(state.plan.phases))}
    stood = t_ms - sum(used.values())
    held: dict[Account, int] = {i: used[i] for i in span}
    if current is not None:
        held[current.index] += max(0, current.over_ms - t_ms)
        for j, seconds in current.later:
            held[j] += seconds * 1000
    to_come = sum(held.values()) - sum(used[i] for i in span)
    left = _end_s(state, of_groups) * 1000 - state.late_ms - t_ms - to_come
    away = sum(ms for i, ms in used.items() if i not in span)
    return (
        held
        | {"start": state.late_ms, "pauses": stood, "away": away}
        | _spare_or_short(state, of_groups, left)
    )


def _spare_or_short(state: LessonState, of_groups: bool, left_ms: int) -> dict[Account, int]:
    """Time left before the end is spare; time missing groups and share give as far as they have any."""
    groups_s = share_s = 0
    if not of_groups and state.plan.block.groups:
        planned = visits_from(state, state.plan.mini_lesson_s)
        groups_s = planned.count * planned.visit_s
        share_s = planned.count * planned.timed_s + planned.share_s - groups_s
    missing = last_payments(max(0, -left_ms), groups_s * 1000, share_s * 1000)
    return {"spare": max(0, left_ms), **{name: -ms for name, ms in missing.items()}}


def _span(state: LessonState, of_groups: bool) -> range:
    plan = state.plan
    return range(plan.mini_count, len(plan.phases)) if of_groups else range(plan.mini_count)


def _end_s(state: LessonState, of_groups: bool) -> int:
    """When this part of the day ends, in seconds after the planned start."""
    return state.plan.span_end_s(_span(state, of_groups)[-1])
