"""What the Wall shows in the second half: where each group is, and in the last minute where it goes."""

from typing import TYPE_CHECKING, Literal, NamedTuple

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


class PictureKey(NamedTuple):
    """Which picture: of which phase, group or station, by its number, and the page, from 1; never its file.

    The move has one picture, of number 0.
    """

    number: int
    page: int
    of: Literal["phase", "group", "station", "move"] = "phase"


class GroupPlace(NamedTuple):
    """One group on the Wall: its name, the outline that stands for it, where it is and where it goes next.

    ``goes_to`` is empty as long as it stays where it is. ``picture`` takes the outline's place once it is
    there; ``place_picture`` is of the place that is said: where the group goes, else where it is.
    """

    name: str
    shape: str
    place: str
    goes_to: str = ""
    picture: PictureKey | None = None
    place_picture: PictureKey | None = None

    @property
    def is_said_by_sign(self) -> bool:
        """Whether its sign is what it is called, so that the name tells nothing more."""
        own = dict(zip(SHAPES, neutral_names(), strict=True)).get(self.shape, "")
        return self.picture is None and own.casefold() == self.name.casefold()


def group_places(reading: "Reading") -> tuple[GroupPlace, ...]:
    """Every group of the block in the order of the outline; empty in share and clean-up.

    A group that has no visit today goes round the stations with the others: nobody sees which one it is.
    """
    half, state = reading.half, reading.state
    if half is None or half.leg.kind in ("share", "clean_up"):
        return ()
    now = _slots(state)
    soon = half.leg.kind == "visit" and half.left_ms <= GOES_NEXT_MS and bool(half.to_come)
    after = _coming(now, half.to_come[0].group) if soon else now
    # While children walk, where they go is all that counts.
    return _places(state.plan, now, after, goes=soon or children_walk(half))


def first_places(plan: Outline) -> tuple[GroupPlace, ...]:
    """Every group as it walks to its first place, before anybody is missing."""
    return _places(plan, plan.visit_order, plan.visit_order, goes=True)


def _places(plan: Outline, now: Slots, after: Slots, *, goes: bool) -> tuple[GroupPlace, ...]:
    """Every group from where it is to where it is after, which is told where any ``goes``."""
    places = []
    for number, group in enumerate(plan.visitors):
        slot, then = now.index(number), after.index(number)
        place, goes_to = _place(plan, group, slot), _place(plan, group, then) if goes else ""
        picture = _picture_of(group, plan.groups, "group")
        at = _picture_of(_station(plan, then), plan.stations, "station")
        places.append(GroupPlace(group.name, shape_of(plan, number), place, goes_to, picture, at))
    return tuple(places)


def move_picture(reading: "Reading") -> PictureKey | None:
    """The picture of the walk to the groups, while it lasts."""
    half = reading.half
    if half is None or half.leg.kind != "move" or not reading.state.plan.move_picture:
        return None
    return PictureKey(0, 1, "move")


def children_walk(half: "SecondHalf") -> bool:
    """Whether children go somewhere in this leg: in a swap to nobody, after the last group, all stay."""
    return half.leg.kind == "move" or (half.leg.kind == "swap" and half.leg.group >= 0)


def leg_title(half: "SecondHalf", plan: Outline) -> str:
    """Two words for the class; those of the move may be the teacher's own."""
    if half.leg.kind == "swap" and not children_walk(half):
        return _("Small groups")
    return {
        "move": plan.move_words or _("Small groups"),
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
    """The words for where a group is in a slot."""
    station = _station(plan, slot)
    if station is not None:
        return station.words or station.name
    return _("Our table") if slot == 0 else group.place or _("Own work")


def _station(plan: Outline, slot: int) -> Station | None:
    """Which station a slot is: the teacher's table is the first one, the others share the rest."""
    if slot == 0:
        return next((station for station in plan.stations if station.teacher), None)
    stations = [station for station in plan.stations if not station.teacher]
    return stations[(slot - 1) % len(stations)] if stations else None


def _picture_of(
    one: Group | Station | None,
    listed: tuple[Group, ...] | tuple[Station, ...],
    of: Literal["group", "station"],
) -> PictureKey | None:
    """The picture of a group or a station by its number among all that the outline lists."""
    if one is None or not one.picture:
        return None
    return PictureKey(next(number for number, other in enumerate(listed) if other is one), 1, of)
