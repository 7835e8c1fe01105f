"""Splits the curriculum's lesson: what all hear, what is finished at the table, what nobody gets."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

from pacer.plan.split.both_rooms import Rooms, may_be_better, together
from pacer.plan.split.knapsack import Knapsack, PackItem

Tag = Literal["everyone", "materials", "extension", "independent"]
Where = Literal["whole group", "table", "station", "extension", "not taught"]


@dataclass(frozen=True)
class LessonPart:
    """One part of the curriculum's lesson, in its order.

    ``value`` is 1 to 3. ``needs`` are positions of earlier parts without which this one makes no sense.
    Tags: *everyone* hears it, it needs *materials* at the table, it is an *extension*, or children can do
    it *independent* of the teacher.
    """

    title: str
    seconds: int
    value: int = 2
    tag: Tag | None = None
    needs: tuple[int, ...] = ()


@dataclass(frozen=True)
class Split:
    """Exactly one fate for each part, in order; ``over_s``: by how much what all must hear is too long."""

    fates: tuple[Where, ...]
    over_s: int


def split(parts: Sequence[LessonPart], whole_group_s: int, table_s: int) -> Split:
    """The split of most value within the whole group's seconds and one table visit.

    Forced tags first; the rest goes to the whole group by value (a 0/1 knapsack with precedence, solved
    exactly), then to the table by value, else it is not taught. Where both rooms filled together hold more
    value, they are. A part that everyone hears brings what it needs with it. Ties go to the earlier parts.
    Raises ValueError when a part needs itself or a later one.
    """
    for at, part in enumerate(parts):
        if any(not 0 <= needed < at for needed in part.needs):
            raise ValueError(f"part {at} needs a part that does not stand before it")
    forced = _with_needs(parts, [i for i, part in enumerate(parts) if part.tag == "everyone"])
    free = [i for i, part in enumerate(parts) if part.tag is None and i not in forced]
    room = whole_group_s - sum(parts[i].seconds for i in forced)
    materials = {i for i, part in enumerate(parts) if part.tag == "materials" and i not in forced}
    table_room = table_s - sum(parts[i].seconds for i in materials)
    heard: Collection[int] = set(best(parts, free, room, forced))
    done: Collection[int] = set(
        best(parts, [i for i in free if i not in heard], table_room, forced.union(heard, materials))
    )
    items = {i: PackItem(parts[i].seconds, parts[i].value, frozenset(parts[i].needs)) for i in free}
    rooms = Rooms(max(0, room), max(0, table_room), frozenset(forced), frozenset(materials))
    value = sum(parts[i].value for i in (*heard, *done))
    if may_be_better(items, rooms, value):
        heard, done = together(items, rooms, value) or (heard, done)
    whole, table = forced.union(heard), materials.union(done)
    return Split(tuple(_fate(part, i in whole, i in table) for i, part in enumerate(parts)), max(0, -room))


def best(
    parts: Sequence[LessonPart], choices: Sequence[int], room_s: int, chosen: set[int]
) -> tuple[int, ...]:
    """Positions of most value among the choices that fit a room, each with what it needs.

    What is needed must be among ``chosen`` or be chosen too. Of equal values the shorter, then the earlier.
    Exact, but for needs so tangled that more than MOST_CASES cases stay open at once.
    """
    return Knapsack(
        {
            at: PackItem(parts[at].seconds, parts[at].value, frozenset(parts[at].needs) - chosen)
            for at in sorted(choices)
        }
    ).best(max(0, room_s))


def _with_needs(parts: Sequence[LessonPart], wanted: Sequence[int]) -> set[int]:
    closure: set[int] = set()
    to_add = list(wanted)
    while to_add:
        at = to_add.pop()
        if at not in closure:
            closure.add(at)
            to_add.extend(parts[at].needs)
    return closure


def _fate(part: LessonPart, whole: bool, table: bool) -> Where:
    if whole:
        return "whole group"
    if table:
        return "table"
    if part.tag == "extension":
        return "extension"
    return "station" if part.tag == "independent" else "not taught"
