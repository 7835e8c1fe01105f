"""Who goes first next time: the groups of an outline by what past days owe them, most owed first."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from pacer.pace.groups import turns
from pacer.plan.outline import Outline
from pacer.review.days import Day
from pacer.review.questions.lost_minutes import lost_minutes


class OwedFirst(NamedTuple):
    """The group that goes first, by its name, and the seconds that it is owed."""

    group: str
    owed_s: int


def owed_now(days: Iterable[Day], outline: Outline) -> dict[str, int]:
    """What each group of an outline is owed after some days, the oldest first, in seconds.

    Only days of the outline's subject count: in another one, groups of the same names are other children.
    """
    lost = lost_minutes(day for day in days if day.subject == outline.subject).groups
    owed = {group.group: group.owed_s for group in lost}
    return {group.name: owed.get(group.name, 0) for group in outline.visitors}


def visit_order(days: Iterable[Day], outline: Outline) -> tuple[str, ...]:
    """The names of an outline's groups in the order of their visits, for ``Block.order``.

    Who is owed most goes first, else the outline's own order holds. Empty where there is nothing to say: the
    outline writes an order itself, its groups are no visits, or no group is owed more than another.
    """
    return _order(owed_now(days, outline)) if _is_open(outline) else ()


def _is_open(outline: Outline) -> bool:
    """Whether the order is left to what is owed."""
    return outline.has_second_half and not outline.block.order


def _order(owed: Mapping[str, int]) -> tuple[str, ...]:
    return tuple(turns(owed, list(owed))) if len(set(owed.values())) > 1 else ()


def with_visit_order(days: Iterable[Day], outline: Outline) -> Outline:
    """The outline as it is taught after some days: with the order that they ask for, where it writes none."""
    order = visit_order(days, outline)
    if not order:
        return outline
    # Made anew, for a copy would keep what the outline has worked out from its own order.
    written = {name: getattr(outline, name) for name in Outline.model_fields}
    return Outline(**written | {"block": outline.block.model_copy(update={"order": order})})


def owed_first(days: Iterable[Day], outline: Outline) -> OwedFirst | None:
    """Who goes first because of what it is owed; None where the outline's own order holds."""
    owed = owed_now(days, outline) if _is_open(outline) else {}
    order = _order(owed)
    return OwedFirst(order[0], owed[order[0]]) if order else None
