"""How long a phase takes: the curve that is drawn against two libraries, on a term and on small cases."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lifelines import KaplanMeierFitter
from scipy.stats import CensoredData, ecdf

from pacer.review.choice import LessonChoice
from pacer.review.days import Day, DayPhase
from pacer.review.questions.how_long import HowLong, how_long
from tests.review import by_hand
from tests.review.by_hand_talk import unsaid_after_move_on

DEMO = LessonChoice(modes=("demo",))
LIVE = LessonChoice()


def endings_by_hand(folder: Path, kind: str) -> pd.DataFrame:
    """Endings of one kind from the raw events: run, date, actual_s, planned_s, scaled_s, complete.

    The work was done where the ending says so, or where nothing was said and the Desk had not yet
    cued to move on.
    """
    table = by_hand.phases(folder).sort_values(["date", "run", "phase"])
    cued = unsaid_after_move_on(folder)
    own = table[table["mini"] & (table["kind"] == kind) & (table["ending"] != "skipped")].copy()
    after = [key in cued for key in zip(own["run"], own["phase"], strict=True)]
    own["complete"] = (own["ending"] == "done") | ((own["ending"] == "unsaid") & ~np.array(after))
    own["scaled_s"] = own["actual_s"] / own["planned_s"] * own["planned_s"].iloc[-1]
    return own


@pytest.mark.parametrize(
    "kind",
    [
        "warm-up",
        *(
            pytest.param(kind, marks=pytest.mark.slow)
            for kind in ("review", "modeling", "vocabulary", "partner-talk", "guided-practice", "look-back")
        ),
    ],
)
def test_the_curve_of_the_term_is_that_of_lifelines_and_scipy(
    term: tuple[Day, ...], term_folder: Path, kind: str
) -> None:
    """Kaplan & Meier (1958) by lifelines and by scipy, durations and endings from the raw events."""
    table = endings_by_hand(term_folder, kind)
    found = how_long(term, DEMO, kind)
    assert found is not None
    assert (len(found.took), found.lessons) == (len(table), table["run"].nunique())
    assert found.budget_s == table["planned_s"].iloc[-1]
    assert sorted((one.past.run, one.complete) for one in found.took) == sorted(
        zip(table["run"], table["complete"], strict=True)
    )
    times = [float(one.scaled_s) for one in found.took]
    np.testing.assert_allclose(times, np.sort(table["scaled_s"]), rtol=1e-12)
    # The libraries take times as they are: two that differ in the last bit only are one.
    rounded = table["scaled_s"].round(6)
    fitter = KaplanMeierFitter().fit(rounded, table["complete"])
    wanted = fitter.predict(np.round(times, 6)).to_numpy()
    np.testing.assert_allclose(found.still_going, wanted, atol=1e-12)
    ended = table["complete"].to_numpy()
    censored = CensoredData(uncensored=rounded[ended], right=rounded[~ended])
    np.testing.assert_allclose(found.still_going, ecdf(censored).sf.evaluate(np.round(times, 6)), atol=1e-9)
    seconds, at_least = found.enough_s
    reached = fitter.survival_function_["KM_estimate"]
    below = reached[reached <= 0.3 + 1e-12]
    assert at_least == below.empty
    assert seconds == pytest.approx(rounded.max() if below.empty else below.index[0], abs=1e-5)
    assert found.over == (table["actual_s"] > table["planned_s"]).sum()
    assert found.maybe_over == ((table["actual_s"] <= table["planned_s"]) & ~table["complete"]).sum()


def test_without_a_name_it_is_the_kind_with_the_most_lessons(
    term: tuple[Day, ...], term_folder: Path
) -> None:
    table = by_hand.phases(term_folder)
    met = table[table["mini"] & (table["ending"] != "skipped")].groupby("kind")["run"].nunique()
    found = how_long(term, DEMO)
    assert found is not None
    assert met[found.name] == met.max() == found.lessons
    chosen = how_long(term, LessonChoice(modes=("demo",), kinds=("vocabulary", "look-back")))
    assert chosen is not None
    assert chosen.name == met[["vocabulary", "look-back"]].idxmax()


# Practice, in minutes; a plus: at least so long. A worked value of our own.
PRACTICE = ((7, True), (8, True), (8, True), (9, True), (9, False), (10, True), (10, False), (12, True))


@pytest.fixture(scope="session")
def practice_days(term: tuple[Day, ...]) -> Callable[..., list[Day]]:
    """Invented lessons with one phase each, of so many seconds, finished or moved on from."""

    def build(ends: list[tuple[int, bool]], planned_s: int = 480, **changes: object) -> list[Day]:
        empty = DayPhase(
            id="practice", title="Practice", kind="guided-practice", planned_s=planned_s, floor_s=0,
            actual_s=0, begin_s=0, end_s=0, added_s=0, ending="done", stage=None, mini=True, left=False,
            fate="", reason="",
        )  # fmt: skip
        return [
            term[0]._replace(
                run=number,
                mode="live",
                phases=(empty._replace(actual_s=seconds, ending="done" if done else "moved on", **changes),),
            )
            for number, (seconds, done) in enumerate(ends)
        ]

    return build


def test_the_worked_practice_curve(practice_days: Callable) -> None:
    """Worked values of our own: S(7) = .875, S(8) = .625, S(9) = .5, S(10) = 1/3, S(12) = 0."""
    found = how_long(practice_days([(minutes * 60, done) for minutes, done in PRACTICE]), LIVE)
    assert found is not None
    at = {float(one.scaled_s) / 60: share for one, share in zip(found.took, found.still_going, strict=True)}
    assert at == pytest.approx({7: 0.875, 8: 0.625, 9: 0.5, 10: 1 / 3, 12: 0})
    assert found.enough_s == (720, False), "by hand: a third is still going at ten minutes, none after twelve"
    assert (found.over, found.maybe_over) == (5, 0), "of 8:00; eight minutes are not over it"


def test_where_the_longest_was_broken_off_seven_of_ten_is_only_a_lower_bound(practice_days: Callable) -> None:
    found = how_long(practice_days([(300, True), (400, True), (500, True), (600, False), (700, False)]), LIVE)
    assert found is not None
    assert found.enough_s == (700, True)


def test_other_budgets_are_scaled_to_the_last_one_written(practice_days: Callable) -> None:
    """By hand: 6:00 of 8:00 is 7:30 of 10:00; 10:00 of 8:00 is 12:30, and over its own budget."""
    days = practice_days([(360, True), (600, True)]) + practice_days([(540, True)], planned_s=600)
    found = how_long([day._replace(run=number) for number, day in enumerate(days)], LIVE)
    assert found is not None
    assert [one.scaled_s for one in found.took] == [450, 540, 750]
    assert (found.budget_s, found.budgets_differ, found.over) == (600, True, 1)


def test_what_cannot_be_believed_and_repaired_or_flagged_days_teach_nothing(practice_days: Callable) -> None:
    days = practice_days([(300, True), (0, True), (5 * 3600, True), (400, True), (500, True)])
    days[3], days[4] = days[3]._replace(repaired=True), days[4]._replace(flagged=True)
    found = how_long(days, LIVE)
    assert found is not None
    assert [one.past.run for one in found.took] == [0]
    assert not found.enough
    every = how_long(days, LessonChoice(repaired=True, flagged=True))
    assert every is not None
    assert [one.past.run for one in every.took] == [0, 3, 4]


def test_an_id_is_meant_where_one_title_is_chosen(practice_days: Callable) -> None:
    first, second = practice_days([(300, True), (400, True)])
    second = second._replace(phases=(second.phases[0]._replace(id="other"),))
    choice = LessonChoice(titles=(first.title,))
    found = how_long([first, second], choice, "practice")
    assert found is not None
    assert (found.by_id, [one.past.actual_s for one in found.took]) == (True, [300])
    both = how_long([first, second], choice, "guided-practice")
    assert both is not None
    assert (both.by_id, len(both.took)) == (False, 2)
    assert how_long([first, second], LIVE, "practice") is None, "an id says nothing across titles"


def test_phases_after_the_mini_lesson_and_skipped_ones_are_left_out(practice_days: Callable) -> None:
    after, skipped = practice_days([(300, True), (300, True)])
    days = [
        after._replace(phases=(after.phases[0]._replace(mini=False),)),
        skipped._replace(phases=(skipped.phases[0]._replace(ending="skipped"),)),
    ]
    assert how_long(days, LIVE) is None
    assert how_long([], LIVE) is None


@given(st.lists(st.tuples(st.integers(1, 2000), st.booleans()), min_size=1, max_size=25))
def test_on_random_histories_the_curve_is_scipys_and_falls(
    practice_days: Callable, ends: list[tuple[int, bool]]
) -> None:
    found = how_long(practice_days(ends), LIVE)
    assert isinstance(found, HowLong)
    assert [one.scaled_s for one in found.took] == [
        Fraction(seconds) for seconds in sorted(s for s, _ in ends)
    ]
    assert np.all(np.diff(found.still_going) <= 1e-12)
    if any(done for _seconds, done in ends):  # scipy needs one that ended
        data = CensoredData(
            uncensored=[s for s, done in ends if done], right=[s for s, done in ends if not done]
        )
        wanted = ecdf(data).sf.evaluate([float(one.scaled_s) for one in found.took])
        np.testing.assert_allclose(found.still_going, wanted, atol=1e-12)
    else:
        np.testing.assert_allclose(found.still_going, 1.0, atol=1e-12)
    assert found.over == sum(seconds > 480 for seconds, _done in ends)
