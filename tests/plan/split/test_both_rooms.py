"""Both rooms filled together: the best split, and of equal ones the one a teacher would take."""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.split.both_rooms import Filled, RoomItem, Rooms, SplitRoom, together
from pacer.plan.week.integer_program import GaveUpError, IntegerProgram

PLACES: tuple[SplitRoom, ...] = ("whole group", "table", "neither")


@st.composite
def sheets(draw) -> dict[int, RoomItem]:
    """Up to six parts at uneven positions, of few lengths and values, so that many splits are equal."""
    items: dict[int, RoomItem] = {}
    for at in sorted(draw(st.sets(st.integers(0, 12), min_size=3, max_size=6))):
        needs = draw(st.sets(st.sampled_from(sorted(items)), max_size=1)) if items else set()
        items[at] = RoomItem(
            draw(st.sampled_from([60, 120])),
            draw(st.integers(1, 3)),
            frozenset(needs),
            draw(st.sampled_from([None, *PLACES])),
        )
    return items


def every_split(items: dict[int, RoomItem], rooms: Rooms) -> list[dict[int, SplitRoom]]:
    """All that keep within the rooms and give each part what it needs."""
    found = []
    for places in product(PLACES, repeat=len(items)):
        at = dict(zip(items, places, strict=True))
        whole = {part for part, place in at.items() if place == "whole group"}
        done = {part for part, place in at.items() if place == "table"}
        if (
            sum(items[part].seconds for part in whole) <= rooms.whole_s
            and sum(items[part].seconds for part in done) <= rooms.table_s
            and all(items[part].needs <= whole | rooms.in_whole for part in whole)
            and all(items[part].needs <= whole | done | rooms.in_whole | rooms.at_table for part in done)
        ):
            found.append(at)
    return found


def as_a_teacher(items: dict[int, RoomItem], at: dict[int, SplitRoom]) -> tuple[object, ...]:
    """The order of splits, in words of its own: greater is better."""
    whole = [part for part, place in at.items() if place == "whole group"]
    taught = [part for part, place in at.items() if place != "neither"]
    moved = [part for part, place in at.items() if items[part].was not in (None, place)]
    return (
        sum(items[part].value for part in taught),
        sum(items[part].value for part in whole),
        -len(moved),
        *(sum(items[part].value == value for part in taught) for value in (3, 2)),
        *(sum(items[part].value == value for part in whole) for value in (3, 2)),
        tuple(-PLACES.index(at[part]) for part in sorted(at)),
    )


def placed(items: dict[int, RoomItem], filled: Filled) -> dict[int, SplitRoom]:
    whole, table = filled
    return {at: "whole group" if at in whole else "table" if at in table else "neither" for at in items}


@given(sheets(), st.sampled_from([60, 120, 180, 240]), st.sampled_from([0, 60, 120]))
def test_of_all_splits_the_one_that_a_teacher_would_take_is_found(items, whole_s, table_s):
    """Against every split there is, one by one, with her order written down apart."""
    rooms = Rooms(whole_s, table_s)
    wanted = max(every_split(items, rooms), key=lambda at: as_a_teacher(items, at))
    assert placed(items, together(items, rooms)) == wanted


def filled(rooms: Rooms, *items: RoomItem) -> list[SplitRoom]:
    return list(placed(dict(enumerate(items)), together(dict(enumerate(items)), rooms)).values())


def test_one_core_part_goes_before_extras_worth_as_much():
    extra, core = RoomItem(200, 1), RoomItem(600, 3)
    assert filled(Rooms(600, 0), extra, extra, extra, core) == ["neither"] * 3 + ["whole group"]


def test_of_parts_worth_the_same_the_earlier_comes_first_even_if_it_is_longer():
    assert filled(Rooms(600, 300), RoomItem(600, 2), RoomItem(500, 2)) == ["whole group", "neither"]


def test_of_equal_splits_the_one_that_is_there_stays():
    first, second = RoomItem(600, 2, was="neither"), RoomItem(600, 2, was="whole group")
    assert filled(Rooms(600, 0), first, second) == ["neither", "whole group"]


def test_nothing_stays_where_another_split_teaches_more():
    first, second = RoomItem(600, 3, was="neither"), RoomItem(600, 2, was="whole group")
    assert filled(Rooms(600, 0), first, second) == ["whole group", "neither"]


@pytest.mark.parametrize("runs", [0, 1, 4])
def test_a_search_that_gives_up_still_has_a_split_that_fits_and_keeps_needs(monkeypatch, runs):
    least, left = IntegerProgram.least, [runs]

    def gives_up(program, costs):
        left[0] -= 1
        if left[0] < 0:
            raise GaveUpError("too long")
        return least(program, costs)

    monkeypatch.setattr(IntegerProgram, "least", gives_up)
    items = {
        at: RoomItem(200 + 60 * at, 1 + at % 3, frozenset({at - 1} if at % 2 else ())) for at in range(9)
    }
    rooms = Rooms(900, 700, frozenset({20}), frozenset({21}))
    found = placed(items, together(items, rooms))
    assert found in every_split(items, rooms)
    assert "whole group" in found.values()


def test_forty_parts_that_fit_are_all_said_to_all_without_a_search(monkeypatch):
    monkeypatch.setattr(IntegerProgram, "least", None)
    items = {at: RoomItem(60, 2, frozenset(range(at))) for at in range(40)}
    assert together(items, Rooms(2400, 0)) == (frozenset(range(40)), frozenset())
