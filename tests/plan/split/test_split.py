"""The split of the curriculum's lesson, against worked values, published optima and an independent solver."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from pacer.plan.split.split import SplitPart, split

# J. Burkardt's KNAPSACK_01 data: capacity, weights, profits, optimum (P01 to P05).
PUBLISHED = [
    (165, [23, 31, 29, 44, 53, 38, 63, 85, 89, 82], [92, 57, 49, 68, 60, 43, 67, 84, 87, 72], 309),
    (26, [12, 7, 11, 8, 9], [24, 13, 23, 15, 16], 51),
    (190, [56, 59, 80, 64, 75, 17], [50, 50, 64, 46, 50, 5], 150),
    (50, [31, 10, 20, 19, 4, 3, 6], [70, 20, 39, 37, 7, 5, 10], 107),
    (104, [25, 35, 45, 5, 25, 3, 2, 2], [350, 400, 450, 20, 70, 8, 5, 5], 900),
]


def heard(made) -> list[int]:
    """The positions of what all hear."""
    return [at for at, fate in enumerate(made.fates) if fate == "whole group"]


@pytest.mark.parametrize(("capacity", "weights", "profits", "optimum"), PUBLISHED)
def test_published_knapsacks_reach_their_optimum(capacity, weights, profits, optimum):
    parts = [SplitPart(str(i), w, p) for i, (w, p) in enumerate(zip(weights, profits, strict=True))]
    chosen = heard(split(parts, capacity, 0))
    assert sum(parts[i].value for i in chosen) == optimum
    assert sum(parts[i].seconds for i in chosen) <= capacity


@st.composite
def lessons(draw):
    count = draw(st.integers(1, 9))
    parts = []
    for at in range(count):
        needs = draw(st.sets(st.integers(0, at - 1), max_size=2)) if at else set()
        parts.append(
            SplitPart(str(at), draw(st.integers(0, 900)), draw(st.integers(1, 3)), None, tuple(sorted(needs)))
        )
    return parts


@given(lessons(), st.integers(0, 3000))
def test_with_needs_the_choice_is_as_good_as_an_integer_program_s(parts, room):
    chosen = heard(split(parts, room, 0))
    rows = [[part.seconds for part in parts]]
    upper = [room]
    for at, part in enumerate(parts):
        for needed in part.needs:
            row = [0] * len(parts)
            row[at], row[needed] = 1, -1
            rows.append(row)
            upper.append(0)
    solved = milp(
        [-part.value for part in parts],
        constraints=LinearConstraint(np.array(rows), -np.inf, upper),
        integrality=np.ones(len(parts)),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0},
    )
    assert sum(parts[i].value for i in chosen) == round(-solved.fun)
    assert sum(parts[i].seconds for i in chosen) <= room
    assert all(needed in chosen for i in chosen for needed in parts[i].needs)


@given(lessons(), st.integers(0, 3000), st.integers(0, 1500), st.data())
def test_each_part_gets_one_fate_and_what_everyone_hears_is_never_dropped(parts, room, table, data):
    tags = [None, "everyone", "materials", "extension", "independent"]
    parts = [SplitPart(p.title, p.seconds, p.value, data.draw(st.sampled_from(tags)), p.needs) for p in parts]
    made = split(parts, room, table)
    assert len(made.fates) == len(parts)
    for part, fate in zip(parts, made.fates, strict=True):
        assert fate == "whole group" or part.tag != "everyone"
        assert fate != "not taught" or part.tag is None
    heard_s = sum(parts[at].seconds for at in heard(made))
    assert heard_s <= room + made.over_s


def test_a_part_brings_what_it_needs_along():
    parts = [
        SplitPart("tools", 300),
        SplitPart("idea", 300, 3, "everyone", (0,)),
        SplitPart("more", 60),
    ]
    assert split(parts, 600, 0).fates == ("whole group", "whole group", "not taught")


def test_a_part_that_needs_a_later_one_is_an_error():
    with pytest.raises(ValueError, match="does not stand before"):
        split([SplitPart("a", 60, needs=(0,))], 60, 0)


def test_twenty_parts_are_split_exactly_too():
    parts = [
        SplitPart(str(i), 97 + 31 * i, 1 + i % 3, None, (i - 2,) if i % 4 == 3 else ()) for i in range(20)
    ]
    made = split(parts, 1500, 780)
    assert made.fates.count("whole group") >= 5
    assert made.over_s == 0


def taught_value(parts, fates) -> int:
    """What the whole group and the table hold of parts that nothing forces."""
    return sum(p.value for p, fate in zip(parts, fates, strict=True) if fate in ("whole group", "table"))


def test_a_part_that_fits_only_one_room_does_not_lose_it_to_one_that_fits_both():
    """In a room of 10 and one of 6 minutes: 10 and 6 fit, but 6 alone first is worth as much and shorter."""
    parts = [SplitPart("short", 360, 2), SplitPart("long", 600, 2)]
    assert split(parts, 600, 360).fates == ("table", "whole group")


@given(lessons(), st.integers(0, 2000), st.integers(0, 1000), st.data())
def test_both_rooms_together_hold_as_much_value_as_any_two_choices_do(parts, room, table, data):
    """Against every way to put up to seven parts into the two rooms, one by one."""
    tags = data.draw(st.lists(st.sampled_from([None, None, "materials"]), min_size=7, max_size=7))
    parts = [
        SplitPart(p.title, p.seconds, p.value, tag, p.needs) for p, tag in zip(parts[:7], tags, strict=False)
    ]
    made = split(parts, room, table)
    materials = [i for i, p in enumerate(parts) if p.tag == "materials"]
    left_s = max(0, table - sum(parts[i].seconds for i in materials))
    free = [i for i, p in enumerate(parts) if p.tag is None]
    most = 0
    for fates in product(("whole group", "table", "not taught"), repeat=len(free)):
        at = {**dict.fromkeys(materials, "table"), **dict(zip(free, fates, strict=True))}
        whole = [i for i in free if at[i] == "whole group"]
        done = [i for i in free if at[i] == "table"]
        fits = sum(parts[i].seconds for i in whole) <= room and sum(parts[i].seconds for i in done) <= left_s
        if (
            fits
            and all(at[need] == "whole group" for i in whole for need in parts[i].needs)
            and all(at[need] != "not taught" for i in done for need in parts[i].needs)
        ):
            most = max(most, sum(parts[i].value for i in (*whole, *done)))
    assert taught_value(parts, made.fates) - sum(parts[i].value for i in materials) == most
    for i in free:
        enough = ("whole group",) if made.fates[i] == "whole group" else ("whole group", "table")
        assert made.fates[i] == "not taught" or all(made.fates[need] in enough for need in parts[i].needs)
