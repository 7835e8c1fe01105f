"""What each phase is allotted now: the written budgets, re-cut at the last border or when time was added."""

from collections.abc import Sequence
from dataclasses import dataclass

from pacer.pace.trim import TrimItem, trim
from pacer.plan.outline import Phase
from pacer.remember import identity_cache
from pacer.run.state import LessonState, with_added

_FINISHED = ("done", "moved on")


@dataclass(frozen=True)
class Allotments:
    """Allotments at a time. ``allotted_s`` of the running phase counts from its first second.

    ``later`` pairs each later phase's index with what is still allotted to it; ``later_floor_s`` and
    ``later_slack_s`` are sums over them; ``end_ms`` is when they all should be over, in lesson time;
    ``short_s`` is what is missing even at the floors.
    """

    index: int
    allotted_s: int
    later: tuple[tuple[int, int], ...]
    later_floor_s: int
    end_ms: int
    short_s: int

    @property
    def later_s(self) -> int:
        """Sum of the later allotments."""
        return sum(seconds for _index, seconds in self.later)

    @property
    def later_slack_s(self) -> int:
        """What the later phases can still give."""
        return self.later_s - self.later_floor_s


def end_of_span_ms(state: LessonState, index: int) -> int:
    """When the part of the day that a phase belongs to should end, in lesson time."""
    return state.plan.span_end_s(index) * 1000 - state.late_ms


@identity_cache
def cut(state: LessonState) -> Allotments | None:
    """The allotments in force; None when no phase is running.

    The cut is made at the border, from the written budgets and the time then left. When time is
    added to the running phase, it keeps what it was given and the later phases are cut once more.
    """
    visit = state.visit
    if visit is None:
        return None
    index, plan = visit.index, state.plan
    end_ms = end_of_span_ms(state, index)
    later = [j for j in plan.span(index) if j > index]
    spent = state.spent_ms(index, visit.begin_ms) // 1000
    old_added = state.added_s(index, visit.begin_ms)
    running = item_of(plan.phases[index], spent, old_added)
    items = later_items(state, later, visit.begin_ms)

    deficit = deficit_s([running, *items], end_ms - visit.begin_ms)
    trimmed = trim([running, *items], deficit if state.is_cut else 0)
    written = plan.phases[index].budget_s + old_added
    # A phase that comes back after an overrun is still over by as much.
    allotted = spent + running.budget_s - trimmed[0] if spent < written else written
    changed_ms = None
    for change in state.added:
        if change.phase != index or change.t_ms < visit.begin_ms:
            continue
        spent_by_then = state.spent_ms(index, change.t_ms) // 1000
        before, allotted = allotted, with_added(allotted, change.seconds, spent_by_then)
        # A press that could take nothing cuts nothing: it must not put the move-by off.
        changed_ms = change.t_ms if allotted != before else changed_ms
    if changed_ms is not None:
        own_left = max(0, allotted * 1000 - state.spent_ms(index, changed_ms))
        deficit = deficit_s(items, end_ms - changed_ms - own_left)
        trimmed = [0, *trim(items, deficit if state.is_cut else 0)]
    shares = [item.budget_s - given for item, given in zip(items, trimmed[1:], strict=True)]
    return Allotments(
        index=index,
        allotted_s=allotted,
        later=tuple(zip(later, shares, strict=True)),
        later_floor_s=sum(min(item.floor_s, item.budget_s) for item in items),
        end_ms=end_ms,
        short_s=max(0, deficit - sum(trimmed)),
    )


def deficit_s(items: list[TrimItem], time_ms: int) -> int:
    """By how many whole seconds the items exceed the time; under a second is no deficit."""
    return sum(item.budget_s for item in items) - -(-time_ms // 1000)


def item_of(phase: Phase, spent_s: int, added_s: int) -> TrimItem:
    """What a phase still has to do after it has had some time."""
    return TrimItem(
        budget_s=max(0, phase.budget_s + added_s - spent_s),
        floor_s=max(0, min(phase.floor_s, phase.budget_s + added_s) - spent_s),
        tier=phase.cut_tier,
    )


def uncut_s(state: LessonState, index: int, now_ms: int) -> int:
    """What a phase would have without any cut; for a later one, what is left of it."""
    if index == state.index:
        return state.plan.phases[index].budget_s + state.added_s(index)
    return later_items(state, [index], now_ms)[0].budget_s


def later_items(state: LessonState, indices: Sequence[int], now_ms: int) -> list[TrimItem]:
    """The trim item of each later phase; zero where it was finished before or has left the lesson."""
    phases, left = state.plan.phases, state.left
    # Most have had no time yet and were given none: nothing needs to be asked about them.
    begun = {visit.index for visit in state.visits} | {index for _t, index, _s in state.added}
    items = []
    for index in indices:
        phase = phases[index]
        if index in left or (index in begun and state.ending_of(index) in _FINISHED):
            items.append(TrimItem(0, 0, phase.cut_tier))
        elif index in begun:
            items.append(item_of(phase, state.spent_ms(index, now_ms) // 1000, state.added_s(index)))
        else:
            items.append(item_of(phase, 0, 0))
    return items
