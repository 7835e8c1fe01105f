"""What a leg of the second half may take: equal visits, cut anew when the truth changed; up to the bell."""

from fractions import Fraction
from typing import NamedTuple

from pacer.pace.groups import STEP_S, visits
from pacer.remember import identity_cache
from pacer.run.legs import Leg, LegChange
from pacer.run.state import LessonState, with_added

FREED_SHARE = Fraction(5, 4)  # freed minutes lengthen a visit by a quarter at the most: a choice of ours


def planned_visit_s(state: LessonState) -> int:
    """The visit that the outline planned, in seconds, down to a step."""
    return visits(state.plan.block, state.plan.mini_lesson_s).timed_s


@identity_cache
def latest_share_ms(state: LessonState) -> int:
    """The latest time at which the share keeps its floor before clean-up and bell."""
    block = state.plan.block
    return state.bell_ms - (block.clean_up_s + block.kept_share_s) * 1000


def each_visit_s(state: LessonState, begin_ms: int, count: int) -> int:
    """The exact equal share of ``count`` visits from a time on, in whole seconds, at least 0."""
    return all_visits_s(state, begin_ms, count) // count if count > 0 else 0


def all_visits_s(state: LessonState, begin_ms: int, count: int) -> int:
    """What ``count`` visits from a time on have together, in whole seconds, at least 0.

    The share keeps all its time as long as visits are as long as planned; then it gives down to its floor.
    Where a group is out, visits grow by a quarter of the plan at the most.
    """
    block, planned = state.plan.block, planned_visit_s(state)
    to_latest_s = (latest_share_ms(state) - begin_ms) // 1000 - (count - 1) * block.swap_s
    with_whole_share = to_latest_s - (block.share_s - block.kept_share_s)
    if with_whole_share >= count * planned:
        together = with_whole_share
    else:
        together = min(max(0, to_latest_s), count * planned)
    if any(out.why == "missed" for out in state.out):
        together = min(together, count * int(planned * FREED_SHARE))
    return together


class LegCut(NamedTuple):
    """What the leg under way may take and until when, the groups after it, and what they have together."""

    allotted_s: int
    end_ms: int
    groups: tuple[int, ...]
    together_s: int

    @property
    def each_s(self) -> int:
        """What each of the groups has, exactly, in whole seconds."""
        return self.together_s // len(self.groups) if self.groups else 0


def leg_cut(state: LessonState, now_ms: int) -> LegCut:
    """The one cut at a time: visits to come, price, offer and the latest swap all follow from it."""
    number = len(state.legs) - 1
    leg = state.legs[number]
    allotted = _allotted_s(state, number, now_ms)
    end_ms = now_ms + allotted * 1000 - state.leg_spent_ms(number, now_ms) + _under_a_second_ms(state, number)
    groups = _groups_after(state, leg)
    together = all_visits_s(state, first_begin_ms(state, leg, max(now_ms, end_ms)), len(groups))
    if leg.kind == "visit" and not (cut := _visit_cut(state, number, now_ms)).given_s:
        together = min(together, len(groups) * cut.equal_s)  # what steps leave over goes to the share
    return LegCut(allotted, end_ms, groups, together)


def _groups_after(state: LessonState, leg: Leg) -> tuple[int, ...]:
    """The groups whose visit comes after this leg; of a move or a swap, with the one that it leads to."""
    if leg.kind in ("share", "clean_up"):
        return ()
    to_come = state.groups_to_come
    if leg.kind in ("move", "swap") and leg.group >= 0 and leg.group not in state.groups_out:
        return (leg.group, *(group for group in to_come if group != leg.group))
    return to_come


def first_begin_ms(state: LessonState, leg: Leg, free_ms: int) -> int:
    """When the first visit after this leg begins."""
    return free_ms + (state.plan.block.swap_s * 1000 if leg.kind == "visit" else 0)


def _allotted_s(state: LessonState, number: int, now_ms: int) -> int:
    """What a leg may take, in seconds: worked out when it began and whenever the truth changed since."""
    leg, block = state.legs[number], state.plan.block
    match leg.kind:
        case "visit":
            return _visit_cut(state, number, now_ms).allotted_s
        case "move":
            allotted = block.move_s
        case "swap":
            allotted = block.swap_s
        case _:
            allotted = _to_the_bell_ms(state, number) // 1000
    for change in state.leg_changes:
        if change.leg == number:
            allotted = with_added(allotted, change.seconds, state.leg_spent_ms(number, change.t_ms) // 1000)
    return allotted


def _to_the_bell_ms(state: LessonState, number: int) -> int:
    """What the share may take before clean-up, or clean-up before the bell; pauses that ended took theirs.

    A leg that begins ends the pause it is begun out of: each pause lies within one leg.
    """
    leg = state.legs[number]
    last_ms = state.bell_ms - (state.plan.block.clean_up_s * 1000 if leg.kind == "share" else 0)
    paused_ms = sum(
        stop.end_ms - stop.begin_ms
        for stop in state.stopped
        if stop.end_ms is not None and stop.begin_ms >= leg.begin_ms
    )
    return max(0, last_ms - leg.begin_ms - paused_ms)


def _under_a_second_ms(state: LessonState, number: int) -> int:
    """What whole seconds leave out of share and clean-up: they end with the bell, not a moment before it."""
    at_end = state.legs[number].kind in ("share", "clean_up")
    return _to_the_bell_ms(state, number) % 1000 if at_end else 0


class _VisitCut(NamedTuple):
    """What a visit may take, what each has by the last equal cut, and the seconds given by hand since."""

    allotted_s: int
    equal_s: int
    given_s: int


def _visit_cut(state: LessonState, number: int, now_ms: int) -> _VisitCut:
    """A visit's time: equal to those after it, from its beginning and from each change of the truth since.

    A pause, a group that is out and another bell cut anew; time given by hand stays given. Never below what
    the visit has had.
    """
    leg, count = state.legs[number], len(state.groups_to_come) + 1
    cuts = [(leg.begin_ms, -1)]
    cuts += [(out.t_ms, out.after) for out in state.out]
    cuts += [(bell.t_ms, bell.after) for bell in state.bell_changes]
    cuts += [(stop.end_ms, 0) for stop in state.stopped if stop.end_ms is not None]
    changes: list[tuple[int, float, LegChange | None]] = [
        (t, after, None) for t, after in cuts if leg.begin_ms <= t <= now_ms
    ]
    changes += [
        (change.t_ms, place + 0.5, change)
        for place, change in enumerate(state.leg_changes)
        if change.leg == number
    ]
    allotted = equal = given = 0
    for t_ms, _place, change in sorted(changes, key=lambda at: at[:2]):
        had = state.leg_spent_ms(number, t_ms) // 1000
        if change is not None:
            before, allotted = allotted, with_added(allotted, change.seconds, had)
            given += allotted - before
            continue
        each = each_visit_s(state, t_ms - had * 1000, count) - given // count
        equal = max(0, each // STEP_S * STEP_S)
        allotted = max(had, equal + given)
    return _VisitCut(allotted, equal, given)
