"""The price of a minute: who pays when the running phase takes one minute more."""

from dataclasses import dataclass
from typing import Literal

from pacer.pace.cut import Allotments, cut_from, later_items, later_taken
from pacer.pace.groups import visits_after
from pacer.pace.leave import freed_s, who_leaves
from pacer.remember import identity_cache
from pacer.run.state import LessonState

MINUTE_S = 60

LastPayer = Literal["groups", "share", "over"]
Payer = int | Literal["spare"] | LastPayer
"""A phase by its index; time that no phase needs; the small groups, and once they keep nothing the share; or,
with nothing left or without groups, past the end."""


@dataclass(frozen=True)
class Payment:
    """What one payer gives, in seconds."""

    payer: Payer
    seconds: int


@dataclass(frozen=True)
class Price:
    """Payments, the largest first, that add up to a minute; none is zero or less.

    Nothing of it is a guess: on any day it is the difference of two cuts (`tests/pace/test_price.py`).
    ``or_leaves`` are the phases that could leave instead, by their indices: only where all floors are reached
    and no phase can give the minute.
    """

    payments: tuple[Payment, ...]
    or_leaves: tuple[int, ...] = ()


def last_payments(unpaid_s: int, groups_s: int, share_s: int) -> dict[LastPayer, int]:
    """Who pays what no phase can pay: groups and share as far as they have any; the rest is past the end."""
    groups = min(unpaid_s, groups_s)
    share = min(unpaid_s - groups, share_s)
    return {"groups": groups, "share": share, "over": unpaid_s - groups - share}


def price(state: LessonState, now_ms: int) -> Price | None:
    """The price of one minute beyond now or, while it lasts, beyond the present allotment.

    It is the difference of two cuts, that of now and one for a minute later; where the cut was taken back, no
    phase gives anything. None when no phase is running.
    """
    current = cut_from(state, now_ms)
    return None if current is None else price_after(state, current)


@identity_cache
def price_after(state: LessonState, current: Allotments) -> Price:
    """The price of one minute beyond the end of the running phase that these allotments have."""
    (before, deficit), (after, _more) = later_taken(state, current), later_taken(state, current, MINUTE_S)
    payments = [Payment(j, b - a) for (j, _s), a, b in zip(current.later, before, after, strict=True)]
    past_bell_s = max(0, current.end_ms - state.bell_ms) // 1000  # where the bell was moved before that end
    payments.append(Payment("spare", min(MINUTE_S, max(0, -deficit - past_bell_s))))
    unpaid = MINUTE_S - sum(payment.seconds for payment in payments)
    kept = visits_after(state, current)
    groups_s, share_s = (0, 0) if kept is None else (kept.count * kept.timed_s, kept.share_s)
    payments += [Payment(name, s) for name, s in last_payments(unpaid, groups_s, share_s).items()]
    paid = tuple(sorted((p for p in payments if p.seconds), key=lambda p: -p.seconds))
    return Price(paid, _could_leave(state, current, deficit + MINUTE_S) if unpaid == MINUTE_S else ())


def _could_leave(state: LessonState, current: Allotments, deficit: int) -> tuple[int, ...]:
    """The later phases that would leave so that all fits again; empty where they can't or none may."""
    if not state.is_cut:
        return ()
    later = [j for j, _seconds in current.later]
    items = later_items(state, later, current.over_ms)
    short_s = deficit - sum(item.slack_s for item in items)
    places = who_leaves(items, [state.plan.phases[j].movable is not None for j in later], short_s)
    freed = sum(freed_s(items[place]) for place in places)
    return tuple(later[place] for place in places) if freed >= short_s else ()
