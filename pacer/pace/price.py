"""The price of a minute: who pays when the running phase takes one minute more."""

from dataclasses import dataclass
from typing import Literal

from pacer.pace.cut import cut, deficit_s, later_items
from pacer.pace.trim import trim
from pacer.run.state import LessonState

MINUTE_S = 60

Payer = int | Literal["spare", "groups", "over"]
"""A phase by its index; time that no phase needs; the small groups; or, without groups, past the end."""


@dataclass(frozen=True)
class Payment:
    """What one payer gives, in seconds."""

    payer: Payer
    seconds: int


@dataclass(frozen=True)
class Price:
    """Payments, the largest first, that add up to a minute; none is zero or less."""

    payments: tuple[Payment, ...]


def last_payer(state: LessonState, index: int) -> Literal["groups", "over"]:
    """Who pays what no phase can pay: the groups after the mini lesson; after it, the bell is passed."""
    return "groups" if index < state.plan.mini_count and state.plan.block.groups else "over"


def price(state: LessonState, now_ms: int) -> Price | None:
    """The price of one minute beyond now or, while it lasts, beyond the present allotment.

    None when no phase is running.
    """
    current = cut(state)
    if current is None:
        return None
    own_left_ms = current.allotted_s * 1000 - state.spent_ms(current.index, now_ms)
    time_ms = current.end_ms - now_ms - max(0, own_left_ms)
    later = [j for j, _seconds in current.later]
    items = later_items(state, later, now_ms)
    deficit = deficit_s(items, time_ms)
    before, after = trim(items, deficit), trim(items, deficit + MINUTE_S)
    payments = [Payment(j, b - a) for j, a, b in zip(later, before, after, strict=True)]
    payments.append(Payment("spare", min(MINUTE_S, max(0, -deficit))))
    unpaid = MINUTE_S - sum(payment.seconds for payment in payments)
    payments.append(Payment(last_payer(state, current.index), unpaid))
    return Price(tuple(sorted((p for p in payments if p.seconds), key=lambda p: -p.seconds)))
