"""What an accepted budget changed, against a second computation with pandas written for this test."""

from datetime import UTC, datetime

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.log.accepted import Accepted
from pacer.pace.forecasts.past import PastEnding
from pacer.review.learning.accepted_effect import Effect, effects

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
DAY_MS = 86_400_000
FIRST_MS = round(NOON.timestamp() * 1000)
ENDINGS = ("done", "moved on", "bell", "interrupted", "unsaid", "skipped")


def accepted(number: int, day: float, target: str = "thirds.toml", old_s: int = 180, new_s: int = 240,
             phase: str = "review", kind: str = "review") -> Accepted:  # fmt: skip
    """An acceptance so many days after the first lesson."""
    at = FIRST_MS + round(day * DAY_MS)
    return Accepted(number, at, target, "" if target == "kinds" else phase, kind, old_s, new_s, 8, 1)


def lesson(run: int, actual_s: float, ending="done", planned_s: float = 180, phase="review", kind="review"):
    """The lesson of day ``run``, at noon."""
    date = datetime.fromtimestamp((FIRST_MS + run * DAY_MS) / 1000, UTC).date().isoformat()
    return PastEnding(run, date, phase, kind, planned_s, actual_s, ending)


def began(endings) -> dict[int, int]:
    return {past.run: FIRST_MS + past.run * DAY_MS for past in endings if past.run >= 0}


# --- worked by hand


def test_by_hand_five_lessons_before_and_five_since() -> None:
    """Worked value of our own. Before, of 180 s: 180 kept, 200, 240 over, 170 moved on and so unknown, and
    270 at the bell, over at least. Kaplan and Meier by hand: done at 180, 200, 240 with 4, 3, 2 at risk:
    3/4, 1/2: the median is 200/180. Since, of 240 s: 220, 230, 240, 250, 260: median 240/240."""
    past = [
        lesson(0, 180),
        lesson(1, 200),
        lesson(2, 240),
        lesson(3, 170, "moved on"),
        lesson(4, 270, "bell"),
    ]
    past += [lesson(5 + n, actual, planned_s=240) for n, actual in enumerate((220, 230, 240, 250, 260))]
    (found,) = effects(past, [accepted(1, 4.5)], began(past)).values()
    before, since = found.before, found.since
    assert (before.lessons, before.kept, before.over, before.unknown) == (5, 1, 3, 1)
    assert before.ratio == pytest.approx(200 / 180)
    assert not before.at_least
    assert (since.lessons, since.kept, since.over, since.unknown, since.ratio) == (5, 3, 2, 0, 1.0)
    assert found.with_it == 5
    assert found.is_known


def test_below_five_lessons_on_either_side_nothing_is_known() -> None:
    past = [lesson(n, 200) for n in range(9)]
    few_since = effects(past, [accepted(1, 4.5)], began(past))[1]
    few_before = effects(past, [accepted(1, 3.5)], began(past))[1]
    assert (few_since.before.lessons, few_since.since.lessons, few_since.is_known) == (5, 4, False)
    assert (few_before.before.lessons, few_before.since.lessons, few_before.is_known) == (4, 5, False)


def test_a_lesson_on_the_day_itself_lies_before_or_after_by_its_hour() -> None:
    """Accepted the same day an hour before the lesson, and an hour after it."""
    past = [lesson(n, 200) for n in range(3)]
    sides = {
        day: effects(past, [accepted(1, day)], began(past))[1].since.lessons
        for day in (1 - 1 / 24, 1 + 1 / 24)
    }
    assert list(sides.values()) == [2, 1]


def test_an_imported_lesson_of_the_day_itself_lies_before() -> None:
    past = [lesson(0, 200), lesson(1, 200), lesson(2, 200)]
    found = effects(past, [accepted(1, 1)], {})[1]
    assert (found.before.lessons, found.since.lessons) == (2, 1)


def test_the_next_acceptance_ends_what_counts_as_since_and_other_outlines_do_not() -> None:
    past = [lesson(n, 200) for n in range(20)]
    ones = [accepted(1, 4.5), accepted(2, 9.5, new_s=300), accepted(3, 7.5, target="other.toml")]
    found = effects(past, ones, began(past))
    assert [(each.before.lessons, each.since.lessons) for each in found.values()] == [
        (5, 5),
        (5, 10),
        (8, 12),
    ]


def test_what_was_given_back_before_any_lesson_does_not_hide_the_lessons_before_it() -> None:
    """Accepted, given back and accepted again on one afternoon."""
    past = [lesson(n, 200) for n in range(10)]
    ones = [accepted(1, 4.5), accepted(2, 4.6, old_s=240, new_s=180), accepted(3, 4.7)]
    found = effects(past, ones, began(past))
    assert [(each.before.lessons, each.since.lessons) for each in found.values()] == [(5, 0), (5, 0), (5, 5)]


def test_groups_and_the_share_and_what_was_skipped_say_nothing() -> None:
    past = [lesson(0, 200, kind="share"), lesson(1, 200, "skipped"), lesson(2, 0), lesson(3, 200)]
    found = effects(past, [accepted(1, 10)], began(past))[1]
    assert (found.before.lessons, found.since.ratio) == (1, None)


# --- against pandas


def by_pandas(table: pd.DataFrame) -> tuple[int, int, int, int, float | None, bool]:
    """Lessons, kept, over, unknown, and the product-limit median of Kaplan & Meier 1958, written out anew."""
    if table.empty:
        return 0, 0, 0, 0, None, False
    table = table.assign(whole=table["ending"].isin(["done", "unsaid"]))
    over = table["actual"] > table["planned"]
    kept = ~over & table["whole"]
    at_risk = len(table)
    alive, median = 1.0, None
    ratios = (table["actual"] / table["planned"]).rename("ratio")
    for ratio, group in table.groupby(ratios):
        alive *= 1 - group["whole"].sum() / at_risk
        at_risk -= len(group)
        if median is None and alive <= 0.5 + 1e-9:
            median = float(ratio)
    known = median is not None
    counts = table["run"].nunique(), int(kept.sum()), int(over.sum()), int((~over & ~kept).sum())
    return *counts, median if known else float(ratios.max()), not known


def in_figures(side) -> tuple[int, int, int, int, float | None, bool]:
    return side.lessons, side.kept, side.over, side.unknown, side.ratio, side.at_least


rows = st.tuples(
    st.sampled_from(["review", "warm-up"]), st.sampled_from([120, 180, 240]), st.integers(60, 420),
    st.sampled_from(ENDINGS),
)  # fmt: skip


@given(st.lists(rows, min_size=1, max_size=40), st.floats(-1, 41), st.booleans())
def test_counts_and_medians_equal_those_of_pandas_for_any_past(made, day, by_kind) -> None:
    """Source of the median: Kaplan & Meier, JASA 53 (1958); where it isn't reached, the longest, at least."""
    past = [
        lesson(run, actual, ending, planned, phase=f"{kind}-{run % 2}", kind=kind)
        for run, (kind, planned, actual, ending) in enumerate(made)
    ]
    one = accepted(1, day, target="kinds" if by_kind else "thirds.toml", phase="review-0")
    table = pd.DataFrame(
        [(each.run, each.phase, each.kind, each.planned_s, each.actual_s, each.ending) for each in past],
        columns=["run", "phase", "kind", "planned", "actual", "ending"],
    )
    own = table["kind"].eq("review") if by_kind else table["phase"].eq("review-0")
    table = table[own & table["ending"].ne("skipped")]
    later = table["run"] * DAY_MS + FIRST_MS > one.utc_ms
    found: Effect = effects(past, [one], began(past))[1]
    for side, part in ((found.before, table[~later]), (found.since, table[later])):
        expected = by_pandas(part)
        assert in_figures(side)[:4] == expected[:4]
        assert side.at_least == expected[5]
        assert side.ratio == (None if expected[4] is None else pytest.approx(expected[4]))
    assert found.with_it == int((table[later]["planned"] == 240).sum())
