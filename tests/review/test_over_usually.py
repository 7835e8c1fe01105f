"""What usually runs over: ratios, counts and medians against lifelines and pandas, from the raw events."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import by_hand
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lifelines import KaplanMeierFitter
from scipy.stats import CensoredData, ecdf

from pacer.review.choice import Choice
from pacer.review.days import Day, DayPhase
from pacer.review.over_usually import over_usually

DEMO = Choice(modes=("demo",))
TITLE = "Fractions on a number line"
CUT_OFF = ("bell", "interrupted")


def ratios_by_hand(folder: Path) -> pd.DataFrame:
    """One row a phase that was not skipped, from the raw events in order of time, with its ``ratio``."""
    table = by_hand.phases(folder).merge(
        by_hand.runs(folder)[["run", "title"]], on="run", suffixes=("", "_of")
    )
    table = table[table["mini"] & (table["ending"] != "skipped")].sort_values(["date", "run", "phase"])
    table["ratio"] = table["actual_s"] / table["planned_s"]
    table["cut_off"] = table["ending"].isin(CUT_OFF)
    return table.reset_index(drop=True)


def median_by_hand(own: pd.DataFrame) -> tuple[float, bool]:
    """The median by lifelines' product-limit estimate; (longest, True) where it is not reached.

    Times that differ in the last bit only are one to us and two to the library, so they are rounded.
    """
    rounded = own["ratio"].round(9)
    below = KaplanMeierFitter().fit(rounded, ~own["cut_off"]).survival_function_["KM_estimate"]
    below = below[below <= 0.5 + 1e-12]
    return (rounded.max(), True) if below.empty else (below.index[0], False)


@pytest.mark.parametrize("titles", [(), (TITLE,)])
def test_every_ratio_count_and_median_of_the_term_is_that_of_the_raw_events(
    term: tuple[Day, ...], term_folder: Path, titles: tuple[str, ...]
) -> None:
    table = ratios_by_hand(term_folder)
    table = table[table["title_of"].isin(titles)] if titles else table
    found = over_usually(term, Choice(modes=("demo",), titles=titles))
    name = "id" if titles else "kind"
    assert (found.by_id, found.lessons) == (bool(titles), table["run"].nunique())
    assert {row.name for row in found.rows} == set(table[name])
    for row in found.rows:
        own = table[table[name] == row.name]
        assert [one.past.run for one in row.ran] == list(own["run"]), "in order of time"
        assert [float(one.ratio) for one in row.ran] == pytest.approx(list(own["ratio"]), rel=1e-12)
        assert [one.cut_off for one in row.ran] == list(own["cut_off"])
        assert row.over == (own["actual_s"] > own["planned_s"]).sum()
        assert row.maybe_over == ((own["actual_s"] <= own["planned_s"]) & own["cut_off"]).sum()
        ratio, at_least = row.median
        wanted, unreached = median_by_hand(own)
        assert (at_least, ratio) == (unreached, pytest.approx(wanted, abs=1e-8))
    shares = (table["actual_s"] > table["planned_s"]).groupby(table[name]).mean()
    assert found.most is not None
    assert shares[found.most.name] == shares.max()


def test_where_nothing_was_cut_off_the_median_is_pandas_lower_one(
    term: tuple[Day, ...], term_folder: Path
) -> None:
    table = ratios_by_hand(term_folder)
    whole = [name for name, own in table.groupby("kind") if not own["cut_off"].any()]
    assert len(whole) >= 3
    medians = {row.name: row.median for row in over_usually(term, DEMO).rows}
    for kind in whole:
        lower = table.loc[table["kind"] == kind, "ratio"].quantile(0.5, interpolation="lower")
        assert medians[kind] == (pytest.approx(lower), False)


def review(seconds: int, ending: str = "done", budget: int = 100, **changes: object) -> DayPhase:
    """An invented phase that took so long of its budget in seconds."""
    phase = DayPhase(
        "review", "Review", "review", budget, 0, seconds, 0, seconds, 0, ending, None, True, False, "", ""
    )  # fmt: skip
    return phase._replace(**changes)


@pytest.fixture(scope="session")
def reviewed(term: tuple[Day, ...]) -> Callable[..., list[Day]]:
    """Invented live lessons, each of one phase that is given."""

    def make(*phases: DayPhase, **changes: object) -> list[Day]:
        days = [term[0]._replace(run=n, mode="live", phases=(one,)) for n, one in enumerate(phases)]
        return [day._replace(**changes) for day in days]

    return make


def test_a_cut_off_lesson_pushes_the_median_up_as_at_least_so_long(reviewed: Callable) -> None:
    """A worked curve of our own: 0.5 done, 0.8 cut off, 1.2 done, 1.5 done; it falls 3/4, then 3/8."""
    ran = [review(50), review(80, "bell"), review(120, "moved on"), review(150, "unsaid")]
    (row,) = over_usually(reviewed(*ran), Choice()).rows
    assert row.median == (pytest.approx(1.2), False)
    assert (row.over, row.maybe_over, len(row.ran)) == (2, 1, 4)
    (cut,) = over_usually(reviewed(review(50), review(80, "bell"), review(90, "interrupted")), Choice()).rows
    assert cut.median == (pytest.approx(0.9), True), "the curve stays at 2/3: at least 0.9"


def test_a_lesson_cut_off_beyond_its_budget_has_surely_run_over(reviewed: Callable) -> None:
    (row,) = over_usually(reviewed(review(101, "bell"), review(100, "bell"), review(100)), Choice()).rows
    assert (row.over, row.maybe_over) == (1, 1)


def test_skipped_repaired_flagged_and_unbelievable_ones_teach_nothing(reviewed: Callable) -> None:
    days = reviewed(review(0, "skipped"), review(0), review(5 * 3600), review(130))
    days += reviewed(review(300), repaired=True) + reviewed(review(300), flagged=True)
    (row,) = over_usually(days, Choice()).rows
    assert [one.ratio for one in row.ran] == [Fraction(13, 10)]


def test_only_chosen_kinds_have_a_row_and_phases_after_the_mini_lesson_none(reviewed: Callable) -> None:
    days = reviewed(review(90), review(90, kind="modeling"), review(90, kind="move", mini=False))
    assert [row.name for row in over_usually(days, Choice(kinds=("review",))).rows] == ["review"]
    with_two_titles = [day._replace(title=f"Lesson {day.run}") for day in days]
    assert [row.name for row in over_usually(with_two_titles, Choice()).rows] == ["review", "modeling"]


def test_five_lessons_are_needed_to_call_anything_usual(reviewed: Callable) -> None:
    four = over_usually(reviewed(*[review(150)] * 4), Choice())
    assert (four.most, four.most_lessons) == (None, 4)
    five = over_usually(reviewed(*[review(150)] * 5), Choice())
    assert five.most is not None
    assert over_usually(reviewed(*[review(100)] * 5), Choice()).most is None, "on budget is not over"
    assert over_usually([], Choice()).rows == ()


LENGTHS = st.tuples(
    st.integers(1, 1500), st.sampled_from(["done", "moved on", "unsaid", "bell", "interrupted"]),
    st.sampled_from([60, 90, 100, 300]),
)  # fmt: skip


@given(st.lists(LENGTHS, min_size=1, max_size=15))
def test_on_random_histories_the_median_is_scipys_and_the_counts_add_up(
    reviewed: Callable, history: list[tuple[int, str, int]]
) -> None:
    (row,) = over_usually(reviewed(*(review(*one) for one in history)), Choice()).rows
    ratios = [Fraction(seconds, budget) for seconds, _ending, budget in history]
    sure = [ending not in CUT_OFF for _seconds, ending, _budget in history]
    within = sum(ratio <= 1 and known for ratio, known in zip(ratios, sure, strict=True))
    assert row.over + row.maybe_over + within == len(history)
    # scipy takes integers: the ratios in ninehundredths are whole.
    whole = [int(900 * ratio) for ratio in ratios]
    assert [Fraction(n, 900) for n in whole] == ratios
    seen = CensoredData(
        uncensored=[n for n, known in zip(whole, sure, strict=True) if known],
        right=[n for n, known in zip(whole, sure, strict=True) if not known],
    )
    curve = ecdf(seen).sf
    reached = [q for q, p in zip(curve.quantiles, curve.probabilities, strict=True) if p <= 0.5 + 1e-9]
    ratio, at_least = row.median
    assert at_least == (not reached)
    assert ratio == pytest.approx((reached[0] if reached else max(whole)) / 900)
