"""Which minutes to trim when the remaining budgets no longer fit: tier by tier, never past a floor."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

STEP_S = 15


@dataclass(frozen=True)
class Item:
    """What a phase still has and still needs, in seconds, and when it gives (tier 1 first)."""

    budget_s: int
    floor_s: int
    tier: int

    @property
    def slack_s(self) -> int:
        """What the phase can give."""
        return max(0, self.budget_s - self.floor_s)


def trim(items: Sequence[Item], deficit_s: int) -> list[int]:
    """Seconds taken from each item, in order, so that they add up to the deficit or to all slack.

    Each tier gives all it must before the next one starts. Within a tier the amount is shared in
    proportion to slack, in 15 s steps by largest remainder; the earlier item wins a tie. A deficit
    of zero or less takes nothing. What is missing beyond all floors is ``deficit - sum(result)``.
    """
    taken = [0] * len(items)
    left = max(0, deficit_s)
    for tier in sorted({item.tier for item in items}):
        members = [i for i, item in enumerate(items) if item.tier == tier]
        slack = [items[i].slack_s for i in members]
        amount = min(left, sum(slack))
        for i, share in zip(members, _shares(slack, amount), strict=True):
            taken[i] = share
        left -= amount
    return taken


def _shares(slack: Sequence[int], amount: int) -> list[int]:
    """Share an amount (at most the sum of slack) in proportion to slack, in steps."""
    total = sum(slack)
    if total == 0 or amount == 0:
        return [0] * len(slack)
    return in_steps([Fraction(amount * own, total) for own in slack], amount, STEP_S, slack)


def whole_seconds(parts_ms: Sequence[int]) -> list[int]:
    """Milliseconds, negative ones too, as whole seconds that add up to their rounded sum."""
    total = (2 * sum(parts_ms) + 1000) // 2000
    return in_steps([Fraction(part, 1000) for part in parts_ms], total, 1)


def in_steps(
    quotas: Sequence[Fraction], amount: int, step: int, most: Sequence[int] | None = None
) -> list[int]:
    """Round quotas to whole steps that add up to the amount, by largest remainder; the earlier wins a tie.

    A part that is not a whole step is left with the last to be rounded up, or with one that ``most`` holds.
    """
    shares = [quota // step * step for quota in quotas]
    order = sorted(range(len(quotas)), key=lambda i: (shares[i] - quotas[i], i))
    rest = amount - sum(shares)
    # One step each in order of remainder is always enough: no remainder exceeds a step or its own limit.
    for i in order:
        more = min(step, rest) if most is None else min(step, rest, most[i] - shares[i])
        shares[i] += more
        rest -= more
    return shares
