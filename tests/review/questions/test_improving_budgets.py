"""A phase that takes as long as ever, whose proposed budget is accepted: what the picture then says of it."""

import numpy as np
import pytest

from pacer.frames.pictures.improving import chart
from pacer.pace.forecasts.past import PastEnding
from pacer.review.choice import LessonChoice
from pacer.review.learning.budgets import proposals
from pacer.review.questions.improving import SHARE_UNITS, Value, judged
from tests.review.questions.test_units import day, phase

TERMS, LESSONS, ACCEPTED, WRITTEN_S, SPREAD = 300, 60, 15, 300, 0.2


@pytest.mark.slow
@pytest.mark.parametrize(("truth", "share"), [(1.0, 0.12), (1.25, 0.64)])
def test_a_change_is_called_where_only_the_budget_changed_and_it_is_known_that_it_did(
    truth: float, share: float
) -> None:
    called = 0
    for seed in range(7_000, 7_000 + TERMS):
        chance = np.random.default_rng(seed)
        days_s = (WRITTEN_S * truth * np.exp(SPREAD * chance.normal(size=LESSONS))).tolist()
        (proposal,) = proposals(
            [
                PastEnding(run, "", "part", "modeling", WRITTEN_S, seconds, "done")
                for run, seconds in enumerate(days_s[:ACCEPTED])
            ]
        )
        new_s = proposal.proposed_s
        assert new_s is not None
        budgets = [WRITTEN_S if run < ACCEPTED else new_s for run in range(LESSONS)]
        values = [
            Value(run, "", "", round(SHARE_UNITS * seconds / budget_s), budget_s)
            for run, (seconds, budget_s) in enumerate(zip(days_s, budgets, strict=True))
        ]
        series = judged("modeling", values)
        assert series.budgets_s == (None if new_s == WRITTEN_S else (WRITTEN_S, new_s))
        called += bool(series.runs)
    print(f"truth {truth}: called in {called / TERMS:.3f}")
    assert called / TERMS == pytest.approx(share, abs=3 * np.sqrt(share * (1 - share) / TERMS) + 0.01)


@pytest.mark.parametrize(
    ("new_s", "words"), [(300, "Its budget was 4:00 then and is 5:00 now: that alone can be why."), (240, "")]
)
def test_a_called_change_names_the_budget_that_changed(new_s: int, words: str) -> None:
    """Two ways to take less of it: as long as ever of a longer budget, and quicker of the same."""
    took_s = [240] * 13 + [240 if new_s == 300 else 190] * 12
    days = [
        day(run, f"2026-03-{run + 1:02d}", phases=(phase("review", 240 if run < 13 else new_s, seconds),))
        for run, seconds in enumerate(took_s)
    ]
    summary = chart(days, LessonChoice(), "review").summary
    assert summary.startswith("It seems to take less of its budget lately")
    assert ("Its budget was" in summary) == bool(words)
    assert words in summary


def test_without_a_called_change_nothing_is_said_of_the_budget() -> None:
    days = [
        day(
            run,
            f"2026-03-{run + 1:02d}",
            phases=(phase("review", 240 if run < 13 else 245, 200 + 80 * (run % 2)),),
        )
        for run in range(25)
    ]
    assert "Its budget was" not in chart(days, LessonChoice(), "review").summary
