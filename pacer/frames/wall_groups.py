"""What the Wall shows in the second half: where each group is, and in the last minute where it goes."""

from typing import TYPE_CHECKING, NamedTuple

from pacer.plan.outline import Group, Outline, Station, neutral_names
from pacer.text import _

if TYPE_CHECKING:
    from pacer.pace.reading import Reading
    from pacer.pace.second_half import SecondHalf
    from pacer.run.state import LessonState

SHAPES = ("circle", "triangle", "hexagon", "star", "heart", "pentagon", "oval", "cross", "moon", "arrow",
          "drop", "leaf")  # fmt: skip
"""Outlines that stand for groups, in the order of their neutral names; a square would be a minute."""
GOES_NEXT_MS = 60_000


class GroupPlace(NamedTuple):
    """One group on the Wall: its name, the outline that stands for it, where it is and where it goes next.

    ``goes_to`` is empty as long as it stays where it is.
    """

    name: str
    shape: str
    place: str
    goes_to: str = ""


def group_places(reading: "Reading") -> tuple[GroupPlace, ...]:
    """Every group of today in the order of the outline; empty in share and clean-up."""
    half, state = reading.half, reading.state
    if half is None or half.leg.kind in ("share", "clean_up"):
        return ()
    order = _sequence(state, half)
    if half.leg.group not in order:
        return ()
    turn = order.index(half.leg.group)
    moving = half.leg.kind in ("move", "swap")
    soon = half.leg.kind == "visit" and half.left_ms <= GOES_NEXT_MS and bool(half.to_come)
    shown = []
    for number, group in enumerate(state.plan.visitors):
        if number not in order:
            continue
        now = _place(state.plan, group, order.index(number), turn, len(order))
        after = _place(state.plan, group, order.index(number), turn + 1, len(order)) if soon else ""
        # While children walk, where they go is all that counts.
        shown.append(GroupPlace(group.name, shape_of(state.plan, number), now, now if moving else after))
    return tuple(shown)


def leg_title(half: "SecondHalf") -> str:
    """Two words for the class."""
    return {
        "move": _("Small groups"),
        "visit": _("Small groups"),
        "swap": _("Swap places"),
        "share": _("Share"),
        "clean_up": _("Clean up"),
    }[half.leg.kind]


def shape_of(plan: Outline, number: int) -> str:
    """The outline that stands for a group: the one that it is named after, else the next that is free."""
    names = [name.casefold() for name in neutral_names()]
    own = [group.name.casefold() for group in plan.visitors]
    if own[number] in names:
        return SHAPES[names.index(own[number])]
    free = [shape for shape, name in zip(SHAPES, names, strict=True) if name not in own]
    unnamed = [name for name in own if name not in names]
    return free[unnamed.index(own[number]) % len(free)] if free else SHAPES[0]


def _sequence(state: "LessonState", half: "SecondHalf") -> list[int]:
    """Groups in the order of their visits today, those that were at the table first."""
    order = [*state.visited_groups, *(visit.group for visit in half.to_come), *state.groups_to_come]
    out = state.groups_out - set(state.visited_groups)
    return [group for group in dict.fromkeys(order) if group not in out]


def _place(plan: Outline, group: Group, at: int, turn: int, count: int) -> str:
    """Where the group that comes ``at``-th is while the ``turn``-th is at the table; the rest go round."""
    stations = [station for station in plan.stations if not station.teacher]
    behind = (at - turn) % count
    if behind == 0:
        return _words(next((station for station in plan.stations if station.teacher), None)) or _("Our table")
    if stations:
        return _words(stations[(behind - 1) % len(stations)])
    return group.place or _("Own work")


def _words(station: Station | None) -> str:
    return "" if station is None else station.words or station.name
