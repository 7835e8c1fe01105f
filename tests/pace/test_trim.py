"""Which minutes are trimmed when the rest no longer fits."""

from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from pacer.pace.trim import STEP_S, Item, trim
from tests.pace.published_shares import PUBLISHED

# The invented plan after review: model, vocabulary, practice, look back. A worked value of our own.
AFTER_REVIEW = [Item(420, 240, 2), Item(180, 120, 2), Item(480, 360, 3), Item(120, 60, 1)]


@pytest.mark.parametrize(
    ("review_ends", "model", "vocabulary", "practice", "look_back", "short"),
    [
        ("9:04", 0, 0, 0, 0, 0),
        ("9:05", 0, 0, 0, 0, 0),
        ("9:06", 0, 0, 0, 60, 0),
        ("9:07", 45, 15, 0, 60, 0),
        ("9:10", 180, 60, 0, 60, 0),
        ("9:12", 180, 60, 120, 60, 0),
        ("9:13", 180, 60, 120, 60, 60),
    ],
)
def test_a_late_review_is_paid_for_tier_by_tier(
    review_ends: str, model: int, vocabulary: int, practice: int, look_back: int, short: int
) -> None:
    deficit = (int(review_ends[2:]) - 5) * 60
    taken = trim(AFTER_REVIEW, deficit)
    assert taken == [model, vocabulary, practice, look_back]
    assert max(0, deficit) - sum(taken) == short


def test_starting_six_minutes_late_takes_all_of_the_first_tier_and_some_of_the_second() -> None:
    """A worked value of our own."""
    items = [Item(120, 60, 1), Item(180, 90, 1), *AFTER_REVIEW]
    assert trim(items, 360) == [60, 90, 120, 30, 0, 60]


def _apportioned(weights: list[int], seats: int) -> list[int]:
    """Seats by the rule of trim: a step is a seat, slack is proportional to the weight and never binds."""
    items = [Item(weight * seats * STEP_S, 0, 1) for weight in weights]
    shares = trim(items, seats * STEP_S)
    assert all(share % STEP_S == 0 for share in shares)
    return [share // STEP_S for share in shares]


@pytest.mark.parametrize(("weights", "seats", "shares"), PUBLISHED)
def test_within_a_tier_the_steps_are_shared_by_largest_remainder(
    weights: list[int], seats: int, shares: list[int]
) -> None:
    assert _apportioned(weights, seats) == shares


@given(
    st.lists(st.integers(0, 6), min_size=1, max_size=4).flatmap(
        lambda slack: st.tuples(st.just(slack), st.integers(0, sum(slack)))
    )
)
def test_the_shares_are_those_nearest_to_the_quotas_of_all_that_are_possible(
    case: tuple[list[int], int],
) -> None:
    """Derived by brute force: least squares from the exact quotas, on a tie more for the earlier one."""
    slack, steps = case
    quotas = [Fraction(steps * own, sum(slack) or 1) for own in slack]
    possible = [x for x in product(*(range(own + 1) for own in slack)) if sum(x) == steps]
    nearest = min(
        possible,
        key=lambda x: (sum((a - q) ** 2 for a, q in zip(x, quotas, strict=True)), [-a for a in x]),
    )
    shares = trim([Item(own * STEP_S, 0, 1) for own in slack], steps * STEP_S)
    assert shares == [a * STEP_S for a in nearest]


ITEMS = st.lists(
    st.builds(
        lambda budget, give, tier: Item(budget, max(0, budget - give), tier),
        st.integers(0, 1200),
        st.integers(-30, 400),
        st.integers(1, 4),
    ),
    max_size=8,
)


@given(ITEMS, st.integers(-300, 3000))
def test_a_trim_adds_up_keeps_the_floors_and_stays_within_a_step_of_the_quota(
    items: list[Item], deficit: int
) -> None:
    taken = trim(items, deficit)
    assert sum(taken) == min(max(0, deficit), sum(item.slack_s for item in items))
    for item, gave in zip(items, taken, strict=True):
        assert 0 <= gave <= item.slack_s
    for tier in {item.tier for item in items}:
        members = [i for i, item in enumerate(items) if item.tier == tier]
        slack = sum(items[i].slack_s for i in members)
        amount = sum(taken[i] for i in members)
        for i in members:
            assert abs(taken[i] - Fraction(amount * items[i].slack_s, slack or 1)) < STEP_S


@given(ITEMS, st.integers(0, 3000))
def test_no_tier_gives_before_the_ones_under_it_have_given_all(items: list[Item], deficit: int) -> None:
    taken = trim(items, deficit)
    for item, gave in zip(items, taken, strict=True):
        if gave:
            assert all(
                given == other.slack_s
                for other, given in zip(items, taken, strict=True)
                if other.tier < item.tier
            )


@given(ITEMS, st.integers(0, 3000))
def test_the_tiers_give_what_a_linear_program_would_take_from_them(items: list[Item], deficit: int) -> None:
    """Derived independently: least cost where a second costs its tier, solved with HiGHS."""
    if not items:
        return
    amount = min(deficit, sum(item.slack_s for item in items))
    solved = linprog(
        c=[item.tier for item in items],
        A_eq=[[1] * len(items)],
        b_eq=[amount],
        bounds=[(0, item.slack_s) for item in items],
        method="highs",
    )
    assert solved.status == 0
    taken = trim(items, deficit)
    for tier in {item.tier for item in items}:
        ours = sum(gave for item, gave in zip(items, taken, strict=True) if item.tier == tier)
        theirs = sum(gave for item, gave in zip(items, solved.x, strict=True) if item.tier == tier)
        assert ours == pytest.approx(theirs, abs=1e-6)


@given(ITEMS, st.integers(0, 3000), st.integers(0, 600))
def test_a_larger_deficit_never_takes_less_in_all(items: list[Item], deficit: int, more: int) -> None:
    assert sum(trim(items, deficit + more)) >= sum(trim(items, deficit))


def test_a_floor_over_the_budget_gives_nothing() -> None:
    assert trim([Item(60, 90, 1)], 60) == [0]
    assert trim([], 60) == []
