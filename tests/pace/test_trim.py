"""Which minutes are trimmed when the rest no longer fits."""

from fractions import Fraction
from itertools import product

import pytest
from apportionment.methods import compute
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from pacer.pace.trim import STEP_S, TrimItem, trim

# The invented plan after review: model, vocabulary, practice, look back. A worked value of our own.
AFTER_REVIEW = [TrimItem(420, 240, 2), TrimItem(180, 120, 2), TrimItem(480, 360, 3), TrimItem(120, 60, 1)]


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
    items = [TrimItem(120, 60, 1), TrimItem(180, 90, 1), *AFTER_REVIEW]
    assert trim(items, 360) == [60, 90, 120, 30, 0, 60]


def apportioned(weights: list[int], seats: int) -> list[int]:
    """Seats by the rule of trim: a step is a seat, slack is proportional to the weight and never binds."""
    items = [TrimItem(weight * seats * STEP_S, 0, 1) for weight in weights]
    shares = trim(items, seats * STEP_S)
    assert all(share % STEP_S == 0 for share in shares)
    return [share // STEP_S for share in shares]


@pytest.mark.parametrize(
    ("weights", "seats", "shares"),
    [
        # Electowiki, Sainte-Laguë method, the example of 35 seats.
        ([503, 304, 193], 35, [17, 11, 7]),
        # Five divisor methods with five results (Balinski and Young, Fair Representation), from memory,
        # confirmed with the package apportionment 1.0.
        ([27744, 25178, 19951, 14610, 9225, 3292], 36, [10, 9, 8, 5, 3, 1]),
        # Wikipedia's comparison of methods for ten seats, from memory, confirmed with apportionment 1.0.
        ([47000, 16000, 15800, 12000, 6100, 3100], 10, [4, 2, 2, 1, 1, 0]),
        # The Alabama paradox of largest remainder does not come: computed with apportionment 1.0.
        ([6, 6, 2], 10, [5, 4, 1]),
        ([6, 6, 2], 11, [5, 5, 1]),
        ([1500, 1500, 900, 500, 500, 200], 25, [8, 8, 4, 2, 2, 1]),
        ([1500, 1500, 900, 500, 500, 200], 26, [8, 8, 5, 2, 2, 1]),
        # Lesson-sized, with ties that the earlier one wins; computed with apportionment 1.0.
        ([10, 15, 20, 5], 45, [9, 14, 18, 4]),
        ([5, 10, 15, 10, 5], 50, [6, 11, 17, 11, 5]),
        ([1, 1, 1], 50, [17, 17, 16]),
    ],
)
def test_within_a_tier_the_steps_are_shared_by_webster_s_method(
    weights: list[int], seats: int, shares: list[int]
) -> None:
    assert apportioned(weights, seats) == shares


@given(st.lists(st.integers(1, 10**6), min_size=1, max_size=12), st.integers(1, 400))
def test_the_shares_are_those_of_the_package_apportionment(weights: list[int], seats: int) -> None:
    assert apportioned(weights, seats) == compute("webster", weights, seats, fractions=True, verbose=False)


@given(
    st.lists(st.integers(1, 6), min_size=1, max_size=4).flatmap(
        lambda slack: st.tuples(st.just(slack), st.integers(1, sum(slack)))
    )
)
def test_of_all_possible_shares_they_are_those_most_in_proportion(case: tuple[list[int], int]) -> None:
    """Derived by brute force: Sainte-Laguë's least squares of what each second of slack gives.

    On a tie more for the earlier one.
    """
    slack, steps = case
    possible = [x for x in product(*(range(own + 1) for own in slack)) if sum(x) == steps]
    fair = Fraction(steps, sum(slack))
    best = min(
        possible,
        key=lambda x: (
            sum(own * (Fraction(a, own) - fair) ** 2 for a, own in zip(x, slack, strict=True)),
            [-a for a in x],
        ),
    )
    assert trim([TrimItem(own * STEP_S, 0, 1) for own in slack], steps * STEP_S) == [a * STEP_S for a in best]


ITEMS = st.lists(
    st.builds(
        lambda budget, give, tier: TrimItem(budget, max(0, budget - give), tier),
        st.integers(0, 1200),
        st.integers(-30, 400),
        st.integers(1, 4),
    ),
    max_size=8,
)


@given(ITEMS, st.integers(-300, 3000))
def test_a_trim_adds_up_keeps_the_floors_and_goes_in_steps(items: list[TrimItem], deficit: int) -> None:
    taken = trim(items, deficit)
    assert sum(taken) == min(max(0, deficit), sum(item.slack_s for item in items))
    assert all(0 <= gave <= item.slack_s for item, gave in zip(items, taken, strict=True))
    broken = [item for item, gave in zip(items, taken, strict=True) if gave % STEP_S and gave < item.slack_s]
    assert len(broken) <= 1, "only the last can be part of a step"


@given(ITEMS, st.integers(-300, 3000), st.one_of(st.just(STEP_S), st.integers(1, 120)))
def test_as_the_deficit_grows_no_item_ever_gives_less(items: list[TrimItem], deficit: int, more: int) -> None:
    for gave, gives in zip(trim(items, deficit), trim(items, deficit + more), strict=True):
        assert gives >= gave


@given(ITEMS, st.integers(0, 3000))
def test_no_tier_gives_before_the_ones_under_it_have_given_all(items: list[TrimItem], deficit: int) -> None:
    taken = trim(items, deficit)
    for item, gave in zip(items, taken, strict=True):
        if gave:
            assert all(
                given == other.slack_s
                for other, given in zip(items, taken, strict=True)
                if other.tier < item.tier
            )


@given(ITEMS, st.integers(0, 3000))
def test_the_tiers_give_what_a_linear_program_would_take_from_them(
    items: list[TrimItem], deficit: int
) -> None:
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


def test_a_floor_over_the_budget_gives_nothing() -> None:
    assert trim([TrimItem(60, 90, 1)], 60) == [0]
    assert trim([], 60) == []
