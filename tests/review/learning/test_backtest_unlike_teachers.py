"""What is said comes true for fourteen kinds of teachers that nothing was made for, each with her own plan.

Over 117,198 borders of 1,260 terms, seeds 1000 to 1017, 9000 to 9035 and 12000 to 12035, on which no choice
was made: in each tenth at most .021 between what was said and what came (errors up to .009), at lesson starts
.03; Brier score .096 (base rate: .237), less than the base rate's for each kind; the end 11 s too early (39
where phases are skewed); nearer than by means and medians in each of six families. Who reacts to Move on
hears .06 more than comes, which was .15 without her own record.
"""

import pytest

from tests.review.learning.promises import term
from tests.review.learning.scored_terms import Term, apart, bias, brier
from tests.review.learning.unlike_teachers import KINDS

FRESH = (1000, 1001, 1002)
pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def terms() -> list[Term]:
    return [term(kind, seed) for kind in KINDS for seed in FRESH]


def test_said_and_came_are_no_further_apart_than_three_in_a_hundred_and_chance(terms: list[Term]) -> None:
    """Chance: twice the standard error over terms."""
    found = [apart(terms, tenth / 10, 2.0 if tenth == 9 else (tenth + 1) / 10) for tenth in range(10)]
    print(found)
    judged = [(more, error) for more, error, count in found if count > 100]
    assert len(judged) >= 8
    assert all(abs(more) <= 0.03 + 2 * error for more, error in judged), judged


def test_the_score_is_as_low_as_asked_and_lower_than_the_base_rates_over_each_kind(terms: list[Term]) -> None:
    assert brier(terms)[0] <= 0.132
    for kind in KINDS:
        score, _error, base = brier([one for one in terms if one.kind == kind])
        assert score < max(base, 0.01), kind


def test_who_reacts_to_move_on_hears_nearly_how_often_she_is_in_time(terms: list[Term]) -> None:
    """Of these terms .149 more was said than came without her own record, and .079 with it."""
    more, error, _count = apart([one for one in terms if one.kind == "reacts to Move on"])
    print(f"{more:.3f} ± {error:.3f}")
    assert abs(more) <= 0.11


def test_the_end_is_foretold_within_a_quarter_of_a_minute(terms: list[Term]) -> None:
    seconds, error = bias(terms)
    assert abs(seconds) <= 15 + error
