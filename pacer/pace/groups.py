"""What is left for the small groups: visits re-cut from the real start, and minutes owed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pacer.pace.cut import Allotments
from pacer.plan.fit import VISIT_STEP_S, moves_s
from pacer.plan.outline import Block
from pacer.remember import identity_cache
from pacer.run.state import LessonState

STEP_S = VISIT_STEP_S
FLOOR_S = 480


@dataclass(frozen=True)
class Rotations:
    """Equal visits of ``count`` groups to the table, in seconds.

    ``visit_s`` is the exact share of the time, in whole seconds; ``timed_s`` is what the table is timed
    to, down to 15 s; ``share_s`` is then left for the share: its floor and what the steps leave over.
    """

    count: int
    visit_s: int
    timed_s: int
    share_s: int


@dataclass(frozen=True)
class Offer:
    """A choice for the teacher: fewer groups today, each long enough; the dropped ones are owed theirs."""

    visits: Rotations
    dropped: int


def visits(block: Block, begin_s: int, count: int | None = None) -> Rotations:
    """The visits when the mini lesson ends ``begin_s`` seconds into the block.

    ``count`` is the number of groups (of the block, unless given). With no group or no time left the visits
    are 0 s.
    """
    groups = block.groups if count is None else count
    time = block.length_s - block.clean_up_s - begin_s - moves_s(block, groups)
    if groups <= 0:
        return Rotations(0, 0, 0, max(0, time))
    visit = max(0, (time - block.share_s) // groups)
    timed = visit // STEP_S * STEP_S
    return Rotations(groups, visit, timed, max(0, time - groups * timed))


def offer(block: Block, begin_s: int, floor_s: int = FLOOR_S) -> Offer | None:
    """Fewer groups, where visits of all of them would be under the floor; None where they are not.

    The most groups whose visits reach the floor. Where not even one does, one group gets what there is;
    where there is nothing, none.
    """
    full = visits(block, begin_s)
    if full.count == 0 or full.visit_s >= floor_s:
        return None
    fewer = full
    for count in range(full.count - 1, 0, -1):
        fewer = visits(block, begin_s, count)
        if fewer.visit_s >= floor_s:
            break
    if not fewer.visit_s:
        fewer = visits(block, begin_s, 0)
    if fewer.count == full.count:
        return None
    return Offer(fewer, full.count - fewer.count)


@identity_cache
def visits_after(state: LessonState, current: Allotments) -> Rotations | None:
    """The visits the groups keep if the mini lesson takes what it is allotted.

    None outside the mini lesson and without groups.
    """
    if current.index >= state.plan.mini_count or not state.plan.block.groups:
        return None
    return visits_from(state, (current.ends_ms + state.late_ms) // 1000)


def visits_from(state: LessonState, begin_s: int) -> Rotations:
    """The visits of the groups that come today, to today's bell, if the mini lesson ends then."""
    block = state.plan.block.model_copy(update={"length_s": (state.bell_ms + state.late_ms) // 1000})
    return visits(block, begin_s, groups_today(state))


def groups_today(state: LessonState) -> int:
    """How many groups have a visit today, as far as it is known by now."""
    return max(0, state.plan.block.groups - len(state.groups_out))


def owed_after(
    owed: Mapping[str, int], planned_s: Mapping[str, int], actual_s: Mapping[str, int]
) -> dict[str, int]:
    """What each group is owed after a day, in seconds: more by planned less actual, never below 0.

    A group that was planned and is missing from the actual ones was dropped: it is owed its whole visit.
    """
    names = dict.fromkeys([*owed, *planned_s, *actual_s])
    return {
        name: max(0, owed.get(name, 0) + planned_s.get(name, 0) - actual_s.get(name, 0)) for name in names
    }


def turns(owed: Mapping[str, int], names: Sequence[str]) -> list[str]:
    """The groups in the order of their turns: who is owed most goes first, else as they always go."""
    return sorted(names, key=lambda name: -owed.get(name, 0))
