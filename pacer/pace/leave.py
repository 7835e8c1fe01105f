"""Which movable phases leave when even the floors exceed the time, and what the others get then."""

from collections.abc import Sequence
from dataclasses import dataclass

from pacer.pace.cut import cut, deficit_s, end_of_span_ms, item_of, later_items
from pacer.pace.trim import TrimItem, trim
from pacer.plan.kinds import Fate
from pacer.remember import identity_cache
from pacer.run.state import LessonState


@dataclass(frozen=True)
class DropResult:
    """What each item gives in seconds (one that leaves gives all it has), which leave, what is missing."""

    taken: tuple[int, ...]
    leaving: tuple[int, ...]
    short_s: int


@dataclass(frozen=True)
class Leaver:
    """A phase that leaves, and where it goes."""

    index: int
    to: Fate


@dataclass(frozen=True)
class PlannedDrops:
    """Allotments that fit once the leavers are gone: like a cut, in seconds.

    ``allotted_s`` of the running phase counts from its first second; ``later`` pairs the indices of the
    later phases that stay with their seconds. ``short_s`` is missing even when all that can leave has left.
    """

    allotted_s: int
    later: tuple[tuple[int, int], ...]
    leaving: tuple[Leaver, ...]
    short_s: int


def fit(items: Sequence[TrimItem], movable: Sequence[bool], deficit_s: int) -> DropResult:
    """Trim; if that is not enough, let movable items leave and trim again without them.

    Trimming again returns what the leavers freed beyond the deficit, the last tiers first.
    """
    taken = trim(items, deficit_s)
    leaving = who_leaves(items, movable, deficit_s - sum(taken))
    if leaving:
        staying = [i for i in range(len(items)) if i not in leaving]
        freed = sum(items[i].budget_s for i in leaving)
        trimmed = iter(trim([items[i] for i in staying], deficit_s - freed))
        taken = [item.budget_s if i in leaving else next(trimmed) for i, item in enumerate(items)]
    return DropResult(tuple(taken), leaving, max(0, deficit_s - sum(taken)))


def who_leaves(items: Sequence[TrimItem], movable: Sequence[bool], short_s: int) -> tuple[int, ...]:
    """Positions of the items that leave so that their floors free what is short, in seconds.

    The value of an item is its cut tier (1 or more), whatever its length: one of tier 3 is worth three of
    tier 1. The least value is lost; among equals the least floor time is freed; among these the one that
    gives earlier leaves. When all movable items together free too little, all that free anything leave.
    Exact: the best choice of those that stay, over sums of seconds kept as the bits of a number.
    """
    if short_s <= 0:
        return ()
    able = [i for i, can in enumerate(movable) if can and freed_s(items[i]) > 0]
    able.sort(key=lambda i: (items[i].tier, i))
    room_s = sum(freed_s(items[i]) for i in able) - short_s
    if room_s <= 0:
        return tuple(sorted(able))
    reach = _reachable([items[i] for i in able], room_s)
    value = max(reach[0])
    kept_s = reach[0][value].bit_length() - 1
    leaving = []
    for i, after in zip(able, reach[1:], strict=True):
        if after.get(value, 0) >> kept_s & 1:
            leaving.append(i)
        else:
            value, kept_s = value - items[i].tier, kept_s - freed_s(items[i])
    return tuple(sorted(leaving))


def freed_s(item: TrimItem) -> int:
    """The seconds that an item holds even when it has given all its slack."""
    return min(item.floor_s, item.budget_s)


def _reachable(items: Sequence[TrimItem], room_s: int) -> list[dict[int, int]]:
    """For the items from each position on: by value kept, the sums of floors up to the room, as bits."""
    mask = (1 << (room_s + 1)) - 1
    layers: list[dict[int, int]] = [{0: 1}]
    for item in reversed(items):
        layer = dict(layers[-1])
        for value, sums in layers[-1].items():
            more = sums << freed_s(item) & mask
            if more:
                layer[value + item.tier] = layer.get(value + item.tier, 0) | more
        layers.append(layer)
    return layers[::-1]


def plan_drops(state: LessonState, now_ms: int) -> PlannedDrops | None:
    """The re-cut on demand: trim from now on and, where that is not enough, let later phases leave.

    The running phase never leaves: it ends when the teacher moves on. Once it is over it gets nothing
    more; time that was given to it or taken from it by hand on this visit stays as it is. None when no
    phase is running.
    """
    current, visit = cut(state), state.visit
    if current is None or visit is None:
        return None
    phases, index = state.plan.phases, current.index
    spent_s = state.spent_ms(index, now_ms) // 1000
    own_left = max(0, current.allotted_s - spent_s)
    running = item_of(phases[index], spent_s, state.added_s(index))
    by_hand = any(change.phase == index and change.t_ms >= visit.begin_ms for change in state.added)
    if by_hand or not own_left:
        running = TrimItem(own_left, own_left, running.tier)
    own = TrimItem(running.slack_s, 0, running.tier)
    over_s = deficit_s([running], end_of_span_ms(state, index) - now_ms)
    return _planned(state, own, over_s, spent_s + running.budget_s if own_left else current.allotted_s)


@identity_cache
def _planned(state: LessonState, own: TrimItem, over_s: int, most_s: int) -> PlannedDrops:
    """The re-cut where the running phase has ``most_s`` if it gives nothing of what it can, which is ``own``.

    ``over_s`` is by how much that exceeds the time there is. From one second to the next all stays the same
    until the running phase reaches its floor.
    """
    phases, current = state.plan.phases, cut(state)
    later = [] if current is None else [j for j, _seconds in current.later]
    begin_ms = 0 if state.visit is None else state.visit.begin_ms  # of the later ones none runs since then
    items = [own, *later_items(state, later, begin_ms)]
    fates = [None, *(phases[j].movable for j in later)]
    short_s = over_s + sum(item.budget_s for item in items[1:])
    drops = fit(items, [fate is not None for fate in fates], short_s)
    kept = [item.budget_s - taken for item, taken in zip(items, drops.taken, strict=True)]
    return PlannedDrops(
        allotted_s=most_s - drops.taken[0],
        later=tuple((j, kept[i]) for i, j in enumerate(later, start=1) if i not in drops.leaving),
        leaving=tuple(Leaver(later[i - 1], fate) for i in drops.leaving if (fate := fates[i]) is not None),
        short_s=drops.short_s,
    )
