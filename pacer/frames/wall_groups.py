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
Slots = tuple[int, ...]  # numbers of the groups by where they stand, the teacher's table first


class GroupPlace(NamedTuple):
    """One group on the Wall: its name, the outline that stands for it, where it is and where it goes next.

    ``goes_to`` is empty as long as it stays where it is.
    """

    name: str
    shape: str
    place: str
    goes_to: str = ""


def group_places(reading: "Reading") -> tuple[GroupPlace, ...]:
    """Every group of the block in the order of the outline; empty in share and clean-up.

    A group that has no visit today goes round the stations with the others: nobody sees which one it is.
    """
    half, state = reading.half, reading.state
    if half is None or half.leg.kind in ("share", "clean_up"):
        return ()
    now = _slots(state)
    moving = half.leg.kind in ("move", "swap")
    soon = half.leg.kind == "visit" and half.left_ms <= GOES_NEXT_MS and bool(half.to_come)
    after = _coming(now, half.to_come[0].group) if soon else now
    shown = []
    for number, group in enumerate(state.plan.visitors):
        place = _place(state.plan, group, now.index(number))
        then = _place(state.plan, group, after.index(number)) if soon else ""
        # While children walk, where they go is all that counts.
        shown.append(GroupPlace(group.name, shape_of(state.plan, number), place, place if moving else then))
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


def _slots(state: "LessonState") -> Slots:
    """Who stands where now, or goes where while children walk.

    It follows from the visits that there were, so that a group that drops out moves no other one; where a
    group comes to the table again, everybody is where they were the first time.
    """
    slots: Slots = tuple(state.plan.visit_order)
    first: dict[int, Slots] = {}
    for number, leg in enumerate(state.legs):
        walking = leg.kind in ("move", "swap") and number == len(state.legs) - 1
        if leg.group < 0 or not (leg.kind == "visit" or walking):
            continue
        if leg.group not in first:
            walk = bool(first) and (leg.begin_ms, slots[0]) not in {
                (out.t_ms, out.group) for out in state.out
            }
            first[leg.group] = _coming(slots, leg.group) if walk else _exchanged(slots, leg.group)
        slots = first[leg.group]
    return slots


def _coming(slots: Slots, group: int) -> Slots:
    """All go one place on, and the group that comes to the table changes places with who would have been."""
    return _exchanged((*slots[1:], slots[0]), group)


def _exchanged(slots: Slots, group: int) -> Slots:
    at = {0: slots.index(group), slots.index(group): 0}
    return tuple(slots[at.get(slot, slot)] for slot in range(len(slots)))


def _place(plan: Outline, group: Group, slot: int) -> str:
    """Where a group is in a slot: the teacher's table is the first one, the stations share the others."""
    if slot == 0:
        return _words(next((station for station in plan.stations if station.teacher), None)) or _("Our table")
    stations = [station for station in plan.stations if not station.teacher]
    if stations:
        return _words(stations[(slot - 1) % len(stations)])
    return group.place or _("Own work")


def _words(station: Station | None) -> str:
    return "" if station is None else station.words or station.name
