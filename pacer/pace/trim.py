"""Which minutes to trim when the remaining budgets no longer fit: tier by tier, never past a floor."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from heapq import heapify, heappop, heappush
from math import floor, lcm

STEP_S = 15


@dataclass(frozen=True)
class TrimItem:
    """What a phase still has and still needs, in seconds, and when it gives (tier 1 first)."""

    budget_s: int
    floor_s: int
    tier: int

    @property
    def slack_s(self) -> int:
        """What the phase can give."""
        return max(0, self.budget_s - self.floor_s)


def trim(items: Sequence[TrimItem], deficit_s: int) -> list[int]:
    """Seconds taken from each item, in order, so that they add up to the deficit or to all slack.

    Each tier gives all it must before the next one starts. Within a tier the amount is shared in
    proportion to slack, in 15 s steps by Webster's method; the earlier item wins a tie. The larger the
    deficit, the more each item gives or as much, never less. A deficit of zero or less takes nothing.
    What is missing beyond all floors is ``deficit - sum(result)``.
    """
    taken = [0] * len(items)
    missing_s = max(0, deficit_s)
    for tier in sorted({item.tier for item in items}):
        members = [i for i, item in enumerate(items) if item.tier == tier]
        slack = [items[i].slack_s for i in members]
        amount = min(missing_s, sum(slack))
        for i, share in zip(members, _shares(slack, amount), strict=True):
            taken[i] = share
        missing_s -= amount
    return taken


def _shares(slack: Sequence[int], amount: int) -> list[int]:
    """Share an amount (at most the sum of slack) in proportion to slack.

    Webster's method (Sainte-Laguë's in Europe): each step goes to the item for which slack / (2 x steps it
    has + 1) is greatest. A part of a step goes to the item whose turn it is.
    """
    shares = [0] * len(slack)
    whole = lcm(*filter(None, slack))  # turns are whole numbers of it, so that ties are exact
    turns = [(whole // own, i) for i, own in enumerate(slack) if own]
    heapify(turns)
    while amount:
        turn, i = heappop(turns)
        given = min(STEP_S, amount, slack[i] - shares[i])
        shares[i] += given
        amount -= given
        if shares[i] < slack[i]:
            heappush(turns, (turn + 2 * (whole // slack[i]), i))
    return shares


def whole_seconds(parts_ms: Sequence[int]) -> list[int]:
    """Milliseconds, negative ones too, as whole seconds that add up to their rounded sum."""
    return whole_parts([Fraction(part, 1000) for part in parts_ms])


def whole_parts(parts: Sequence[Fraction]) -> list[int]:
    """Parts as whole numbers that add up to their sum, a half rounded up.

    By largest remainder, which keeps each within one of its part; the earlier wins a tie.
    """
    whole = [floor(part) for part in parts]
    more = floor(sum(parts) + Fraction(1, 2)) - sum(whole)
    for i in sorted(range(len(parts)), key=lambda i: whole[i] - parts[i])[:more]:
        whole[i] += 1
    return whole
