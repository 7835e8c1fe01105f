"""The whole group and the table filled together: the best split, of equal ones a teacher's."""

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from pacer.plan.week.integer_program import GaveUpError, IntegerProgram

SplitRoom = Literal["whole group", "table", "neither"]
_AT_ONCE = 8  # parts whose order one run decides: three places each, so that factors stay exact in floats


@dataclass(frozen=True)
class RoomItem:
    """A part that may go to either room. ``needs`` are positions of those without which it makes no sense,
    ``was`` the room where it is now; None where it is in none yet."""

    seconds: int
    value: int
    needs: frozenset[int] = frozenset()
    was: SplitRoom | None = None


@dataclass(frozen=True)
class Rooms:
    """Seconds in the whole group and at the table, and the parts that are there in any case."""

    whole_s: int
    table_s: int
    in_whole: frozenset[int] = frozenset()
    at_table: frozenset[int] = frozenset()


Filled = tuple[frozenset[int], frozenset[int]]


def together(items: Mapping[int, RoomItem], rooms: Rooms) -> Filled:
    """The parts for the whole group and those for the table.

    As much value as fits; of that, as much as can be said once to all. Of splits equally good in this the
    one that moves the fewest parts from where they are, then the one with more core parts before extras,
    with those in the whole group, then the one that keeps to the order of the lesson: the earlier part
    rather in the whole group, rather at the table than in neither.

    A part in the whole group needs what it needs there, one at the table in either room. Exact, but for
    a search that gives up: then the best that was found.
    """
    if _all_fit(items, rooms):
        return frozenset(items), frozenset()
    program = IntegerProgram()
    whole = {at: program.number(1) for at in sorted(items)}
    table = {at: program.number(1) for at in sorted(items)}
    for at, item in items.items():
        program.row({whole[at]: 1, table[at]: 1}, most=1)
        _needs(program, item.needs - rooms.in_whole, whole[at], [whole])
        _needs(program, item.needs - rooms.in_whole - rooms.at_table, table[at], [whole, table])
    program.row({whole[at]: item.seconds for at, item in items.items()}, most=rooms.whole_s)
    program.row({table[at]: item.seconds for at, item in items.items()}, most=rooms.table_s)
    found: Sequence[int] = ()
    try:
        for aim in _aims(items, whole, table):
            found = _most(program, aim) or found
            program.row(aim, least=sum(factor * found[place] for place, factor in aim.items()))
        in_order = sorted(items)
        for begin in range(0, len(items), _AT_ONCE):
            some = in_order[begin : begin + _AT_ONCE]
            found = _most(program, _earlier_first([(whole[at], table[at]) for at in some])) or found
            for place in (of[at] for of in (whole, table) for at in some):
                program.row({place: 1}, least=found[place], most=found[place])
    except GaveUpError:
        if not found:
            return _one_by_one(items, rooms)
    whole_parts, table_parts = (
        frozenset(at for at, place in of.items() if found[place]) for of in (whole, table)
    )
    return whole_parts, table_parts


def _most(program: IntegerProgram, aim: Mapping[int, int]) -> Sequence[int] | None:
    """All unknowns where the aim is most. There always is an answer: both rooms may stay empty."""
    return program.least({place: -factor for place, factor in aim.items()})


def _all_fit(items: Mapping[int, RoomItem], rooms: Rooms) -> bool:
    """Whether the whole group holds everything: the usual case while a lesson is being typed."""
    fits = sum(item.seconds for item in items.values()) <= rooms.whole_s
    return fits and all(item.needs <= rooms.in_whole | items.keys() for item in items.values())


def _aims(
    items: Mapping[int, RoomItem], whole: Mapping[int, int], table: Mapping[int, int]
) -> Iterator[Counter[int]]:
    """What is to be as much as can be, the most important first: the factor of each unknown."""
    values, wholes, stays = Counter[int](), Counter[int](), Counter[int]()
    for at, item in items.items():
        values.update({whole[at]: item.value, table[at]: item.value})
        wholes[whole[at]] += item.value
        stays.update(_stays(item, whole[at], table[at]))
    yield values
    yield wholes
    if stays:
        yield stays
    weight = len(items) + 1
    for rooms in ((whole, table), (whole,)):
        # How many of value 3, then of 2; what is left of the value that was reached are those of 1.
        factors = {at: weight ** (min(item.value, 3) - 2) for at, item in items.items() if item.value > 1}
        yield Counter({of[at]: factor for of in rooms for at, factor in factors.items()})


def _earlier_first(places: Sequence[tuple[int, int]]) -> dict[int, int]:
    """For each part, by its places in the whole group and at the table, a figure of three: 2, 1, or 0."""
    aim = {}
    for number, (in_whole, at_table) in enumerate(reversed(places)):
        aim[in_whole], aim[at_table] = 2 * 3**number, 3**number
    return aim


def _stays(item: RoomItem, whole: int, table: int) -> dict[int, int]:
    """What is more by one where a part is still where it was."""
    return {"whole group": {whole: 1}, "table": {table: 1}, "neither": {whole: -1, table: -1}}.get(
        item.was or "", {}
    )


def _needs(program: IntegerProgram, needs: Collection[int], place: int, rooms: list[dict[int, int]]) -> None:
    """A part is there only if each of its needs is in one of some rooms."""
    for need in needs:
        there = {room[need]: -1 for room in rooms if need in room}
        program.row({place: 1, **there}, most=0)


def _one_by_one(items: Mapping[int, RoomItem], rooms: Rooms) -> Filled:
    """Where a search is too long: core before extras, each where it fits first."""
    whole, table, left_s, table_s = set(rooms.in_whole), set(rooms.at_table), rooms.whole_s, rooms.table_s
    for at, item in sorted(items.items(), key=lambda each: (-each[1].value, each[0])):
        if item.seconds <= left_s and item.needs <= whole:
            whole.add(at)
            left_s -= item.seconds
        elif item.seconds <= table_s and item.needs <= whole | table:
            table.add(at)
            table_s -= item.seconds
    return frozenset(whole - rooms.in_whole), frozenset(table - rooms.at_table)
