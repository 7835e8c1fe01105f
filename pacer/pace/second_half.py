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
    cut = _leg_cut(state, now_ms)
    groups, free_ms = cut.groups, max(now_ms, cut.end_ms)
    to_come, share = _laid_out(state, leg, free_ms, groups, cut.each_s)
    offered, offered_s = _offer(state, leg, cut, now_ms)
    come = 1 + len(groups) if leg.kind == "visit" else len(groups)
    had = _visits_had(state, leg)
    return SecondHalf(
        leg=leg,
        number=had + 1 if come else 0,
        of=had + come,
        allotted_s=cut.allotted_s,
        left_ms=cut.end_ms - now_ms,
        end_ms=cut.end_ms,
        hard_ms=_hard_ms(state, leg, groups, cut.end_ms),
        to_come=to_come,
        share_ms=max(leg.begin_ms if leg.kind in ("share", "clean_up") else share, 0),
        latest_share_ms=latest_share_ms(state),
        bell_ms=state.bell_ms,
        price=_price(state, leg, cut, free_ms),
        offered=offered,
        offered_s=offered_s,
        extra=_extra(state, leg, groups, share, now_ms),
        _kept_ms=state.plan.block.kept_share_s * 1000,
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
    """The exact equal share of ``count`` visits from a time on, in whole seconds, at least 0."""
    return _all_visits_s(state, begin_ms, count) // count if count > 0 else 0


def _all_visits_s(state: LessonState, begin_ms: int, count: int) -> int:
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


def owed_today_s(state: LessonState, now_ms: int) -> dict[int, int]:
    """What each group is short of its planned visit so far, by its number, in seconds; negative: had more."""
    planned = planned_visit_s(state)
    return {group: planned - state.visit_had_ms(group, now_ms) // 1000 for group in state.plan.visit_order}


def extra_visits(state: LessonState) -> tuple[int, ...]:
    """Legs, by their numbers, in which a group came once more in time that a missed visit had freed.

    It had been at the table, then another group was. Coming back to a visit from its swap is the same visit.
    """
    if not any(out.why == "missed" for out in state.out):
        return ()
    extra: list[int] = []
    came: list[int] = []
    again = False
    for number, leg in enumerate(state.legs):
        if leg.kind != "visit":
            continue
        if came[-1:] != [leg.group]:
            again = leg.group in came
        came.append(leg.group)
        if again:
            extra.append(number)
    return tuple(extra)


class _LegCut(NamedTuple):
    """What the leg under way may take and until when, the groups after it, and what they have together."""

    allotted_s: int
    end_ms: int
    groups: tuple[int, ...]
    together_s: int

    @property
    def each_s(self) -> int:
        """What each of the groups has, exactly, in whole seconds."""
        return self.together_s // len(self.groups) if self.groups else 0


def _leg_cut(state: LessonState, now_ms: int) -> _LegCut:
    number = len(state.legs) - 1
    leg = state.legs[number]
    allotted = _allotted_s(state, number, now_ms)
    end_ms = now_ms + allotted * 1000 - state.leg_spent_ms(number, now_ms) + _under_a_second_ms(state, number)
    groups = _groups_after(state, leg)
    together = _all_visits_s(state, _first_begin_ms(state, leg, max(now_ms, end_ms)), len(groups))
    if leg.kind == "visit" and not (cut := _visit_cut(state, number, now_ms)).given_s:
        together = min(together, len(groups) * cut.equal_s)  # what steps leave over goes to the share
    return _LegCut(allotted, end_ms, groups, together)


def _visits_had(state: LessonState, leg: Leg) -> int:
    """Groups that have had their visit; not the one that is due or at the table, unless it came once more."""
    due = -1 if len(state.legs) - 1 in extra_visits(state) else leg.group
    return sum(group != due and group not in state.groups_out for group in state.visited_groups)


def _groups_after(state: LessonState, leg: Leg) -> tuple[int, ...]:
    """The groups whose visit comes after this leg; of a move or a swap, with the one that it leads to."""
    if leg.kind in ("share", "clean_up"):
        return ()
    to_come = state.groups_to_come
    if leg.kind in ("move", "swap") and leg.group >= 0 and leg.group not in state.groups_out:
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
        case _:
            allotted = _to_the_bell_ms(state, number) // 1000
    for change in state.leg_changes:
        if change.leg == number:
            allotted = with_added(allotted, change.seconds, state.leg_spent_ms(number, change.t_ms) // 1000)
    return allotted


def _to_the_bell_ms(state: LessonState, number: int) -> int:
    """What the share may take before clean-up, or clean-up before the bell; pauses that ended took theirs."""
    leg = state.legs[number]
    last_ms = state.bell_ms - (state.plan.block.clean_up_s * 1000 if leg.kind == "share" else 0)
    paused_ms = sum(
        stop.end_ms - max(stop.begin_ms, leg.begin_ms)
        for stop in state.stopped
        if stop.end_ms is not None and stop.end_ms > leg.begin_ms
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


def _price(state: LessonState, leg: Leg, cut: _LegCut, free_ms: int) -> tuple[LegPayment, ...]:
    """Who pays for a minute beyond now or, while it lasts, beyond the allotment; adds up to a minute."""
    block, left = state.plan.block, MINUTE_S
    if leg.kind in ("share", "clean_up"):
        clean_s = min(left, block.clean_up_s) if leg.kind == "share" else 0
        payments = [LegPayment("clean_up", clean_s), LegPayment("over", left - clean_s)]
        return tuple(payment for payment in payments if payment.seconds)
    begin_ms, count = _first_begin_ms(state, leg, free_ms), len(cut.groups)
    if count:
        later_s = _all_visits_s(state, begin_ms + MINUTE_S * 1000, count)
        from_visits = max(0, cut.together_s - later_s)
        share_from_ms = begin_ms + (cut.together_s + (count - 1) * block.swap_s) * 1000
    else:
        from_visits, share_from_ms = 0, free_ms
    left -= from_visits
    share_has_s = max(0, (state.bell_ms - block.clean_up_s * 1000 - share_from_ms) // 1000)
    spare = min(left, max(0, share_has_s - block.share_s))
    from_share = min(left - spare, share_has_s - spare)
    payments = [
        LegPayment("spare", spare),
        LegPayment("visits", from_visits),
        LegPayment("share", from_share),
        LegPayment("over", left - spare - from_share),
    ]
    return tuple(sorted((p for p in payments if p.seconds), key=lambda payment: -payment.seconds))


def _offer(state: LessonState, leg: Leg, cut: _LegCut, now_ms: int) -> tuple[int | None, int]:
    """The group to leave for another day, and what the others then have; None where all reach the floor."""
    groups = cut.groups
    enough = cut.each_s >= state.plan.block.visit_floor_s
    if not groups or enough or (len(groups) < 2 and leg.kind != "visit"):
        return None, 0
    out = (*state.out, GroupOut(now_ms, groups[-1], "dropped", len(state.leg_changes)))
    fewer = _leg_cut(replace(state, out=out), now_ms)
    each = fewer.each_s // STEP_S * STEP_S if fewer.groups else fewer.allotted_s
    return (groups[-1], each) if each else (None, 0)


def _extra(state: LessonState, leg: Leg, groups: tuple[int, ...], share_ms: int, now_ms: int) -> int | None:
    """A group that could come once more in freed time: of those that were there, the one short of most."""
    block, at_table = state.plan.block, leg.kind == "visit"
    if groups or leg.kind in ("share", "clean_up") or not any(out.why == "missed" for out in state.out):
        return None
    free_s = (latest_share_ms(state) - share_ms) // 1000 - (block.swap_s if at_table else 0)
    others = {*state.visited_groups} - state.groups_out - {leg.group if at_table else -1}
    if not others or free_s < block.visit_floor_s:
        return None
    owed = owed_today_s(state, now_ms)
    return max((group for group in state.plan.visit_order if group in others), key=lambda group: owed[group])
