"""What is told of an accepted budget where nothing but the budget changed: made-up phases of known pace."""

import numpy as np
import pytest

from pacer.log.accepted import Accepted
from pacer.pace.forecasts.past import PastEnding
from pacer.review.learning.accepted_effect import effects
from pacer.review.learning.budgets import proposals

FIRST, CASES, BEFORE, WRITTEN_S, SPREAD = 6_000, 300, 8, 300, 0.25
DAY_MS = 86_400_000
pytestmark = pytest.mark.slow


def found(lessons: int) -> tuple[float, float, float]:
    """How often the budget was kept before and since, and how often the median since is a tenth off at most.

    Phases take a tenth more than is written, give or take .15; a proposal is accepted that differs by half a
    minute at least.
    """
    before, since, near = [], [], []
    for seed in range(FIRST, FIRST + CASES):
        chance = np.random.default_rng([seed, lessons])
        usual_s = WRITTEN_S * np.exp(chance.normal(0.1, 0.15))
        days_s = (usual_s * np.exp(SPREAD * chance.normal(size=BEFORE + lessons))).tolist()
        past = [
            PastEnding(run, "", "part", "modeling", WRITTEN_S, seconds, "done")
            for run, seconds in enumerate(days_s[:BEFORE])
        ]
        (proposal,) = proposals(past)
        new_s = proposal.proposed_s
        assert new_s is not None
        if abs(new_s - WRITTEN_S) < 30:
            continue
        past += [
            PastEnding(BEFORE + run, "", "part", "modeling", new_s, seconds, "done")
            for run, seconds in enumerate(days_s[BEFORE:])
        ]
        at_ms = round((BEFORE - 0.5) * DAY_MS)
        acceptance = Accepted(1, at_ms, "made.toml", "part", "modeling", WRITTEN_S, new_s, BEFORE, 0)
        (effect,) = effects(past, [acceptance], {one.run: one.run * DAY_MS for one in past}).values()
        assert effect.is_known
        assert effect.since.ratio is not None
        before.append(effect.before.kept / effect.before.endings)
        since.append(effect.since.kept / effect.since.endings)
        near.append(abs(np.log(effect.since.ratio / (usual_s / new_s))) < 0.1)
    return float(np.mean(before)), float(np.mean(since)), float(np.mean(near))


@pytest.mark.parametrize(("lessons", "within_a_tenth"), [(5, 0.54), (20, 0.84)])
def test_an_accepted_budget_is_kept_more_often_though_only_the_budget_changed(
    lessons: int, within_a_tenth: float
) -> None:
    kept_before, kept_since, near = found(lessons)
    print(f"{lessons} since: kept {kept_before:.2f} before, {kept_since:.2f} since, median near {near:.2f}")
    assert kept_before == pytest.approx(0.32, abs=0.06)
    assert kept_since == pytest.approx(0.69, abs=0.05)
    assert near == pytest.approx(within_a_tenth, abs=0.09)
