"""Wishes as they are typed; what is wrong with one is told in words."""

import pytest

from pacer.plan.week.typed_wishes import for_each_group, seconds, whole_number

GROUPS = ("Circle", "Star")


def test_a_number_is_for_all_and_a_name_is_for_one():
    assert for_each_group(["2, star = 5"], GROUPS, "Meets", whole_number) == (2, 5)
    assert for_each_group([], GROUPS, "Meets", whole_number) == (0, 0)


def test_a_time_is_in_seconds():
    assert for_each_group(["Circle=13:00", "Star=2"], GROUPS, "Owed", seconds) == (780, 120)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("Sta=2", 'Did you mean "Star"?'),
        ("Moon=2", "Circle, Star"),
        ("Star=", '"" is no time'),
        ("-1", "no time"),
    ],
)
def test_what_can_not_be_read_is_told(typed, words):
    with pytest.raises(ValueError, match="Owed: ") as told:
        for_each_group([typed], GROUPS, "Owed", seconds)
    assert words in str(told.value)
