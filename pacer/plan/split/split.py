"""Splits the curriculum's lesson: what all hear, what is finished at the table, what nobody gets."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from pacer.plan.split.both_rooms import Filled, RoomItem, Rooms, SplitRoom, together

Tag = Literal["everyone", "materials", "extension", "independent"]
Where = Literal["whole group", "table", "station", "extension", "not taught"]


@dataclass(frozen=True)
class SplitPart:
    """One part of the curriculum's lesson, in its order.

    ``value`` is 1 to 3. ``needs`` are positions of earlier parts without which this one makes no sense.
    Tags: *everyone* hears it, it needs *materials* at the table, it is an *extension*, or children can do
    it *independent* of the teacher. ``was`` is where it is now; of equally good splits the one is taken that
    leaves the most parts where they are.
    """

    title: str
    seconds: int
    value: int = 2
    tag: Tag | None = None
    needs: tuple[int, ...] = ()
    was: Where | None = None


@dataclass(frozen=True)
class Split:
    """Exactly one fate for each part, in order; ``over_s``: by how much what all must hear is too long."""

    fates: tuple[Where, ...]
    over_s: int


def split(parts: Sequence[SplitPart], whole_group_s: int, table_s: int) -> Split:
    """The split of most value within the whole group's seconds and one table visit.

    Forced tags first; the rest goes where most value is taught, said once to all where that can be, else at
    the table; ties as ``pacer.plan.split.both_rooms.together`` breaks them. A part that everyone hears
    brings what it needs with it. Raises ValueError when a part needs itself or a later one.
    """
    for at, part in enumerate(parts):
        if any(not 0 <= needed < at for needed in part.needs):
            raise ValueError(f"part {at} needs a part that does not stand before it")
    forced = _with_needs(parts, [i for i, part in enumerate(parts) if part.tag == "everyone"])
    free = [i for i, part in enumerate(parts) if part.tag is None and i not in forced]
    room = whole_group_s - sum(parts[i].seconds for i in forced)
    materials = {i for i, part in enumerate(parts) if part.tag == "materials" and i not in forced}
    table_room = table_s - sum(parts[i].seconds for i in materials)
    items = tuple((i, _item(parts[i])) for i in free)
    rooms = Rooms(max(0, room), max(0, table_room), frozenset(forced), frozenset(materials))
    heard, done = _filled(items, rooms)
    whole, table = forced | heard, materials | done
    return Split(tuple(_fate(part, i in whole, i in table) for i, part in enumerate(parts)), max(0, -room))


def _item(part: SplitPart) -> RoomItem:
    was: SplitRoom | None = None
    if part.was is not None:
        was = part.was if part.was in ("whole group", "table") else "neither"
    return RoomItem(part.seconds, part.value, frozenset(part.needs), was)


@lru_cache(maxsize=64)
def _filled(items: tuple[tuple[int, RoomItem], ...], rooms: Rooms) -> Filled:
    """The rooms filled; remembered, since a sheet is asked several times for what it comes to."""
    return together(dict(items), rooms)


def _with_needs(parts: Sequence[SplitPart], wanted: Sequence[int]) -> set[int]:
    closure: set[int] = set()
    to_add = list(wanted)
    while to_add:
        at = to_add.pop()
        if at not in closure:
            closure.add(at)
            to_add.extend(parts[at].needs)
    return closure


def _fate(part: SplitPart, whole: bool, table: bool) -> Where:
    if whole:
        return "whole group"
    if table:
        return "table"
    if part.tag == "extension":
        return "extension"
    return "station" if part.tag == "independent" else "not taught"
