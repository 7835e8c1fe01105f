"""The smallest clash against a search through all sets."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.week import clash
from pacer.plan.week.clash import smallest_clash
from pacer.plan.week.problem import Family

ASKED = [Family(str(number), ()) for number in range(7)]


def holder(clashes):
    """Whether families can hold together: none of some sets is among them."""
    return lambda kept: not any(some <= {int(family.words) for family in kept} for some in clashes)


some_clashes = st.lists(st.frozensets(st.integers(0, 6), min_size=1), min_size=1, max_size=6)


@given(some_clashes)
def test_no_smaller_set_clashes(clashes):
    can_hold = holder(clashes)
    found, is_smallest = smallest_clash(ASKED, can_hold)
    assert is_smallest
    assert not can_hold(found)
    assert all(can_hold(fewer) for fewer in combinations(ASKED, len(found) - 1))


@given(some_clashes)
def test_a_search_that_is_given_up_still_names_a_clash_in_which_each_is_needed(clashes):
    can_hold = holder(clashes)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(clash, "MOST_TRIES", 0)
        found, is_smallest = smallest_clash(ASKED, can_hold)
    assert not is_smallest
    assert not can_hold(found)
    assert all(can_hold([one for one in found if one != gone]) for gone in found)


def test_what_can_hold_has_no_clash():
    with pytest.raises(ValueError, match="nothing clashes"):
        smallest_clash(ASKED, lambda _kept: True)
