"""The whole group and the table filled together, where one after the other leaves value behind."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from pacer.plan.split.knapsack import PackItem
from pacer.plan.week.integer_program import GaveUpError, IntegerProgram


@dataclass(frozen=True)
class Rooms:
    """Seconds in the whole group and at the table, and the parts that are there in any case."""

    whole_s: int
    table_s: int
    in_whole: frozenset[int] = frozenset()
    at_table: frozenset[int] = frozenset()


Filled = tuple[frozenset[int], frozenset[int]]


def may_be_better(items: Mapping[int, PackItem], rooms: Rooms, value: int) -> bool:
    """Whether more than a value may fit: by Dantzig's bound for both rooms as one, needs left aside."""
    room_s, most = rooms.whole_s + rooms.table_s, 0.0
    for item in sorted(items.values(), key=lambda item: item.seconds / item.value):
        fits = min(1.0, room_s / item.seconds) if item.seconds else 1.0
        most += fits * item.value
        room_s = max(0, room_s - item.seconds)
    return most >= value + 1 - 1e-9


def together(items: Mapping[int, PackItem], rooms: Rooms, value: int) -> Filled | None:
    """The parts for the whole group and for the table of most value together; None where that is no more
    than ``value``, or too long to find.

    Of equal values the one of most value in the whole group, which is said once, then the shorter. A part in
    the whole group needs what it needs there, one at the table in either room.
    """
    program = IntegerProgram()
    whole = {at: program.number(1) for at in items}
    table = {at: program.number(1) for at in items}
    for at, item in items.items():
        program.row({whole[at]: 1, table[at]: 1}, most=1)
        _needs(program, item.needs - rooms.in_whole, whole[at], [whole])
        _needs(program, item.needs - rooms.in_whole - rooms.at_table, table[at], [whole, table])
    program.row({whole[at]: item.seconds for at, item in items.items()}, most=rooms.whole_s)
    program.row({table[at]: item.seconds for at, item in items.items()}, most=rooms.table_s)
    best = {place: -items[at].value for of in (whole, table) for at, place in of.items()}
    program.row(best, most=-value - 1)
    found: Sequence[int] | None = None
    try:
        for costs in (
            best,
            {place: -items[at].value for at, place in whole.items()},
            {place: items[at].seconds for of in (whole, table) for at, place in of.items()},
        ):
            found = program.least(costs)
            if found is None:
                return None
            reached = sum(cost * found[place] for place, cost in costs.items())
            program.row(costs, most=reached)
    except GaveUpError:
        return None
    assert found is not None
    chosen = (frozenset(at for at, place in of.items() if found[place]) for of in (whole, table))
    return next(chosen), next(chosen)


def _needs(program: IntegerProgram, needs: Collection[int], place: int, rooms: list[dict[int, int]]) -> None:
    """A part is there only if each of its needs is in one of some rooms."""
    for need in needs:
        there = {room[need]: -1 for room in rooms if need in room}
        program.row({place: 1, **there}, most=0)
