"""The second half at a time: the visits to come, what the share keeps, who pays, what can be offered."""

from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

from pacer.pace.groups import STEP_S
from pacer.pace.leg_cut import (
    LegCut,
    all_visits_s,
    each_visit_s,
    first_begin_ms,
    latest_share_ms,
    leg_cut,
    planned_visit_s,
)
from pacer.pace.stages import HARD_LEAD_MS, Onsets, Shown, closing_lead_s, held_stage
from pacer.run.legs import GroupOut, Leg
from pacer.run.state import LessonState

MINUTE_S = 60


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
    allotted; ``share_ms`` is when the share then begins, ``latest_share_ms`` its latest, ``share_end_ms``
    when clean-up follows it. ``offered`` is the group to leave for another day where visits would be under
    their floor, with ``offered_s`` each for the others. ``extra`` is a group that could come once more in
    time that others freed.
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
    share_end_ms: int
    bell_ms: int
    price: tuple[LegPayment, ...]
    offered: int | None = None
    offered_s: int = 0
    extra: int | None = None

    @property
    def share_s(self) -> int:
        """What the share then has, in whole seconds."""
        return max(0, self.share_end_ms - self.share_ms) // 1000


def second_half(state: LessonState, now_ms: int) -> SecondHalf | None:
    """What pace says now; None outside of the second half."""
    leg = state.leg
    if leg is None:
        return None
    cut = leg_cut(state, now_ms)
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
        share_end_ms=state.bell_ms - state.plan.block.clean_up_s * 1000,
        bell_ms=state.bell_ms,
        price=_price(state, leg, cut, free_ms),
        offered=offered,
        offered_s=offered_s,
        extra=_extra(state, leg, groups, share, now_ms),
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


def _visits_had(state: LessonState, leg: Leg) -> int:
    """Groups that have had their visit; not the one that is due or at the table, unless it came once more."""
    due = -1 if len(state.legs) - 1 in extra_visits(state) else leg.group
    return sum(group != due and group not in state.groups_out for group in state.visited_groups)


def _laid_out(
    state: LessonState, leg: Leg, free_ms: int, groups: tuple[int, ...], each_s: int
) -> tuple[tuple[PlannedVisit, ...], int]:
    """The visits to come, down to a step each, and when the share begins."""
    at_ms, length_ms = first_begin_ms(state, leg, free_ms), each_s // STEP_S * STEP_S * 1000
    laid = []
    for group in groups:
        laid.append(PlannedVisit(group, at_ms, at_ms + length_ms))
        at_ms += length_ms + state.plan.block.swap_s * 1000
    return tuple(laid), laid[-1].end_ms if laid else free_ms


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


def _price(state: LessonState, leg: Leg, cut: LegCut, free_ms: int) -> tuple[LegPayment, ...]:
    """Who pays for a minute beyond now or, while it lasts, beyond the allotment; adds up to a minute."""
    block, left = state.plan.block, MINUTE_S
    if leg.kind in ("share", "clean_up"):
        clean_s = min(left, block.clean_up_s) if leg.kind == "share" else 0
        payments = [LegPayment("clean_up", clean_s), LegPayment("over", left - clean_s)]
        return tuple(payment for payment in payments if payment.seconds)
    begin_ms, count = first_begin_ms(state, leg, free_ms), len(cut.groups)
    if count:
        later_s = all_visits_s(state, begin_ms + MINUTE_S * 1000, count)
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


def _offer(state: LessonState, leg: Leg, cut: LegCut, now_ms: int) -> tuple[int | None, int]:
    """The group to leave for another day, and what the others then have; None where all reach the floor."""
    groups = cut.groups
    enough = cut.each_s >= state.plan.block.visit_floor_s
    if not groups or enough or (len(groups) < 2 and leg.kind != "visit"):
        return None, 0
    out = (*state.out, GroupOut(now_ms, groups[-1], "dropped", len(state.leg_changes)))
    fewer = leg_cut(replace(state, out=out), now_ms)
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
