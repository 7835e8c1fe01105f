"""The second half at a time: equal visits re-cut from the real start, what the share keeps, who pays."""

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal, NamedTuple

from pacer.pace.groups import STEP_S, visits
from pacer.pace.stages import HARD_LEAD_MS, Onsets, Shown, closing_lead_s, held_stage
from pacer.remember import identity_cache
from pacer.run.legs import GroupOut, Leg, LegChange
from pacer.run.state import LessonState, with_added

MINUTE_S = 60
FREED_SHARE = Fraction(5, 4)  # freed minutes lengthen a visit by a quarter at the most: a choice of ours


class PlannedVisit(NamedTuple):
    """A visit to come: the group by its number, and from when to when, in lesson milliseconds."""

    group: int
    begin_ms: int
    end_ms: int


LegPayer = Literal["spare", "visits", "share", "clean_up", "over"]


class LegPayment(NamedTuple):
    """What one payer gives for one more minute, in seconds; of visits, all together."""

    payer: LegPayer
    seconds: int


@dataclass(frozen=True)
class SecondHalf:
    """What pace says of a leg under way; times are lesson milliseconds, lengths seconds.

    ``number`` of ``of`` counts the visits of today, 0 where no group is due. ``allotted_s`` is what the leg
    may take, ``end_ms`` when that is over (a visit's latest swap). ``hard_ms`` is when the next to pay is the
    share or, in the share, the bell. ``to_come`` are the visits after the leg if it takes what it is
    allotted; ``share_ms`` is when the share then begins, ``latest_share_ms`` its latest. ``offered`` is the
    group to leave for another day where visits would be under their floor, with ``offered_s`` each for the
    others. ``extra`` is a group that could come once more in time that others freed.
    """

    leg: Leg
    number: int
    of: int
    allotted_s: int
    left_ms: int
    end_ms: int
    hard_ms: int
    to_come: tuple[PlannedVisit, ...]
    share_ms: int
    latest_share_ms: int
    bell_ms: int
    price: tuple[LegPayment, ...]
    offered: int | None = None
    offered_s: int = 0
    extra: int | None = None

    @property
    def share_s(self) -> int:
        """What the share then has, in whole seconds."""
        return max(0, self.share_end_ms - self.share_ms) // 1000

    @property
    def share_end_ms(self) -> int:
        """When the share is over and clean-up begins."""
        return self.latest_share_ms + self._kept_ms

    _kept_ms: int = 0


def planned_visit_s(state: LessonState) -> int:
    """The visit that the outline planned, in seconds, down to a step."""
    return visits(state.plan.block, state.plan.mini_lesson_s).timed_s


@identity_cache
def latest_share_ms(state: LessonState) -> int:
    """The latest time at which the share keeps its floor before clean-up and bell."""
    block = state.plan.block
    return state.bell_ms - (block.clean_up_s + block.kept_share_s) * 1000


def second_half(state: LessonState, now_ms: int) -> SecondHalf | None:
    """What pace says now; None outside of the second half."""
    leg = state.leg
    if leg is None:
        return None
    block, number = state.plan.block, len(state.legs) - 1
    allotted = _allotted_s(state, number, now_ms)
    left_ms = allotted * 1000 - state.leg_spent_ms(number, now_ms)
    end_ms = now_ms + left_ms
    groups = _groups_after(state, leg)
    latest = latest_share_ms(state)
    free_ms = max(now_ms, end_ms)
    each = each_visit_s(state, _first_begin_ms(state, leg, free_ms), len(groups))
    if leg.kind == "visit" and not (cut := _visit_cut(state, number, now_ms)).given_s:
        each = min(each, cut.equal_s)  # what steps leave over goes to the share
    to_come, share = _laid_out(state, leg, free_ms, groups, each)
    offered, offered_s = _offer(state, leg, (now_ms, free_ms), groups, each)
    come = 1 + len(groups) if leg.kind == "visit" else len(groups)
    had = _visits_had(state, leg)
    return SecondHalf(
        leg=leg,
        number=0 if leg.kind in ("share", "clean_up") else had + 1,
        of=had + come,
        allotted_s=allotted,
        left_ms=left_ms,
        end_ms=end_ms,
        hard_ms=_hard_ms(state, leg, groups, end_ms),
        to_come=to_come,
        share_ms=max(leg.begin_ms if leg.kind in ("share", "clean_up") else share, 0),
        latest_share_ms=latest,
        bell_ms=state.bell_ms,
        price=_price(state, leg, groups, free_ms),
        offered=offered,
        offered_s=offered_s,
        extra=_extra(state, leg, groups, share),
        _kept_ms=block.kept_share_s * 1000,
    )


def shown_leg_stage(state: LessonState, half: SecondHalf, now_ms: int) -> Shown:
    """The stage of a leg, held as those of phases: in Borrowing the next groups pay, in Move on the share."""
    if state.is_paused:
        return Shown("paused", state.stopped[-1].begin_ms)
    move = max(half.hard_ms - HARD_LEAD_MS, half.leg.begin_ms + closing_lead_s(half.allotted_s) * 1000)
    if half.leg.kind == "clean_up":
        move = max(half.hard_ms, half.leg.begin_ms)
    closing = min(half.end_ms, move) - closing_lead_s(half.allotted_s) * 1000
    since = max([half.leg.begin_ms, *(c.t_ms for c in state.leg_changes if c.leg == len(state.legs) - 1)])
    onsets: Onsets = (min(closing, half.end_ms, move), min(half.end_ms, move), move)
    return held_stage(onsets, since, now_ms)


def each_visit_s(state: LessonState, begin_ms: int, count: int) -> int:
    """The exact equal share of ``count`` visits from a time on, in whole seconds, at least 0.

    The share keeps all its time as long as visits are as long as planned; then it gives down to its floor.
    Where a group is out, visits grow by a quarter of the plan at the most.
    """
    if count <= 0:
        return 0
    block, planned = state.plan.block, planned_visit_s(state)
    swaps_s = (count - 1) * block.swap_s
    to_latest_s = (latest_share_ms(state) - begin_ms) // 1000 - swaps_s
    most = max(0, to_latest_s // count)
    with_whole_share = max(0, (to_latest_s - (block.share_s - block.kept_share_s)) // count)
    each = with_whole_share if with_whole_share >= planned else min(most, planned)
    if any(out.why == "missed" for out in state.out):
        each = min(each, max(planned, int(planned * FREED_SHARE)))
    return each


def owed_today_s(state: LessonState, now_ms: int) -> dict[int, int]:
    """What each group is short of its planned visit so far, by its number, in seconds; negative: had more."""
    planned = planned_visit_s(state)
    return {group: planned - state.visit_had_ms(group, now_ms) // 1000 for group in state.plan.visit_order}


def _visits_had(state: LessonState, leg: Leg) -> int:
    """Groups that have had their visit, the one at the table left out."""
    there = [group for group in state.visited_groups if group not in state.groups_out]
    return sum(group != leg.group or leg.kind != "visit" for group in there)


def _groups_after(state: LessonState, leg: Leg) -> tuple[int, ...]:
    """The groups whose visit comes after this leg; of a move or a swap, with the one that it leads to."""
    if leg.kind in ("share", "clean_up"):
        return ()
    to_come = state.groups_to_come
    if leg.kind in ("move", "swap") and leg.group not in state.groups_out:
        return (leg.group, *(group for group in to_come if group != leg.group))
    return to_come


def _first_begin_ms(state: LessonState, leg: Leg, free_ms: int) -> int:
    """When the first visit after this leg begins."""
    return free_ms + (state.plan.block.swap_s * 1000 if leg.kind == "visit" else 0)


def _laid_out(
    state: LessonState, leg: Leg, free_ms: int, groups: tuple[int, ...], each_s: int
) -> tuple[tuple[PlannedVisit, ...], int]:
    """The visits to come, down to a step each, and when the share begins."""
    at_ms, length_ms = _first_begin_ms(state, leg, free_ms), each_s // STEP_S * STEP_S * 1000
    laid = []
    for group in groups:
        laid.append(PlannedVisit(group, at_ms, at_ms + length_ms))
        at_ms += length_ms + state.plan.block.swap_s * 1000
    return tuple(laid), laid[-1].end_ms if laid else free_ms


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
        case "share":
            allotted = max(0, (state.bell_ms - block.clean_up_s * 1000 - leg.begin_ms) // 1000)
        case _:
            allotted = max(0, (state.bell_ms - leg.begin_ms) // 1000)
    for change in state.leg_changes:
        if change.leg == number:
            allotted = with_added(allotted, change.seconds, state.leg_spent_ms(number, change.t_ms) // 1000)
    return allotted


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
    cuts = [leg.begin_ms]
    cuts += [out.t_ms for out in state.out]
    cuts += [bell.t_ms for bell in state.bell_changes]
    cuts += [stop.end_ms for stop in state.stopped if stop.end_ms is not None]
    changes: list[tuple[int, LegChange | None]] = [(t, None) for t in cuts if leg.begin_ms <= t <= now_ms]
    changes += [(change.t_ms, change) for change in state.leg_changes if change.leg == number]
    allotted = equal = given = 0
    for t_ms, change in sorted(changes, key=lambda at: at[0]):
        had = state.leg_spent_ms(number, t_ms) // 1000
        if change is not None:
            before, allotted = allotted, with_added(allotted, change.seconds, had)
            given += allotted - before
            continue
        each = each_visit_s(state, t_ms - had * 1000, count) - given // count
        equal = max(0, each // STEP_S * STEP_S)
        allotted = max(had, equal + given)
    return _VisitCut(allotted, equal, given)


def _hard_ms(state: LessonState, leg: Leg, groups: tuple[int, ...], end_ms: int) -> int:
    """When this leg has taken all that the visits after it can give."""
    block = state.plan.block
    if leg.kind == "share":
        return state.bell_ms - block.clean_up_s * 1000
    if leg.kind == "clean_up":
        return state.bell_ms
    if not groups:
        return max(end_ms, latest_share_ms(state))
    begin = leg.begin_ms if leg.kind == "visit" else end_ms
    count = len(groups) + (leg.kind == "visit")
    floor_s = min(block.visit_floor_s, each_visit_s(state, begin, count))
    swaps_s = (len(groups) - (leg.kind != "visit")) * block.swap_s
    return latest_share_ms(state) - (len(groups) * floor_s + swaps_s) * 1000


def _price(state: LessonState, leg: Leg, groups: tuple[int, ...], free_ms: int) -> tuple[LegPayment, ...]:
    """Who pays for a minute beyond now or, while it lasts, beyond the allotment; adds up to a minute."""
    block, left = state.plan.block, MINUTE_S
    if leg.kind in ("share", "clean_up"):
        clean_s = min(left, block.clean_up_s) if leg.kind == "share" else 0
        payments = [LegPayment("clean_up", clean_s), LegPayment("over", left - clean_s)]
        return tuple(payment for payment in payments if payment.seconds)
    each, share_has_s = _visits_and_share(state, leg, groups, free_ms)
    each_later, _share = _visits_and_share(state, leg, groups, free_ms + MINUTE_S * 1000)
    # Whole seconds of a visit may come to a little more than the minute; the share has the rest.
    from_visits = min(left, len(groups) * (each - each_later))
    left -= from_visits
    spare = max(0, min(left, share_has_s - block.share_s))
    left -= spare
    from_share = max(0, min(left, share_has_s - spare))
    payments = [
        LegPayment("spare", spare),
        LegPayment("visits", from_visits),
        LegPayment("share", from_share),
        LegPayment("over", left - from_share),
    ]
    return tuple(sorted((p for p in payments if p.seconds), key=lambda payment: -payment.seconds))


def _visits_and_share(state: LessonState, leg: Leg, groups: tuple[int, ...], free_ms: int) -> tuple[int, int]:
    """What each visit has if this leg ends at a time, and what the share then has, in seconds."""
    begin_ms, count, block = _first_begin_ms(state, leg, free_ms), len(groups), state.plan.block
    each = each_visit_s(state, begin_ms, count)
    swaps_s = max(0, count - 1) * block.swap_s
    share_begin_ms = (begin_ms if count else free_ms) + (count * each + swaps_s) * 1000
    return each, (state.bell_ms - block.clean_up_s * 1000 - share_begin_ms) // 1000


def _offer(
    state: LessonState, leg: Leg, times: tuple[int, int], groups: tuple[int, ...], each_s: int
) -> tuple[int | None, int]:
    """The group to leave for another day, and what the others then have; None where all reach the floor.

    ``times`` are now and when the leg ends.
    """
    if not groups or each_s >= state.plan.block.visit_floor_s or (len(groups) < 2 and leg.kind != "visit"):
        return None, 0
    now_ms, free_ms = times
    if leg.kind == "visit":  # the one at the table is cut anew with the others
        without = replace(state, out=(*state.out, GroupOut(now_ms, groups[-1], "dropped")))
        cut = _visit_cut(without, len(state.legs) - 1, now_ms)
        return groups[-1], cut.equal_s if len(groups) > 1 else cut.allotted_s
    begin_ms = _first_begin_ms(state, leg, free_ms)
    fewer = each_visit_s(state, begin_ms, len(groups) - 1) // STEP_S * STEP_S
    return groups[-1], fewer


def _extra(state: LessonState, leg: Leg, groups: tuple[int, ...], share_ms: int) -> int | None:
    """A group that could come once more in freed time: the first of today's order that was there."""
    block = state.plan.block
    if groups or leg.kind != "visit" or not any(out.why == "missed" for out in state.out):
        return None
    free_s = (latest_share_ms(state) - share_ms) // 1000 - block.swap_s
    others = [g for g in state.plan.visit_order if g in state.visited_groups and g != leg.group]
    return others[0] if others and free_s >= block.visit_floor_s else None
