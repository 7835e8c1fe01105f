"""How often a phase is left out: never without evidence, and more often the later a lesson is."""

import numpy as np
import pytest

from pacer.pace.forecasts.forecast import forecast
from pacer.pace.forecasts.learned import Planned, learn
from pacer.pace.forecasts.leaving_out import leaving_out
from pacer.pace.forecasts.past import PastEnding, by_lesson

PLAN = [Planned("practice", "guided-practice", 480), Planned("look-back", "look-back", 120)]


def lesson(run: int, over_s: float, out: bool, late_s: float = 0.0) -> list[PastEnding]:
    """Practice is over its 8 minutes by so much; look back takes its 2 minutes or is left out."""
    return [
        PastEnding(run, "", "practice", "guided-practice", 480, 480 + over_s, "done", None, late_s),
        PastEnding(
            run,
            "",
            "look-back",
            "look-back",
            120,
            0 if out else 120,
            "skipped" if out else "done",
            None,
            late_s,
        ),
    ]


def leaves_out_when_late(lessons: int = 20) -> list[PastEnding]:
    """Practice is 60 s early and 100 s over by turns; over a minute late, look back is left out."""
    days = [((-60, 100)[run % 2] + run % 5, run) for run in range(lessons)]
    return [ending for over_s, run in days for ending in lesson(run, over_s, over_s > 60)]


def test_who_hardly_ever_leaves_it_out_is_expected_never_to() -> None:
    days = [lesson(run, 0, run == 3) for run in range(20)]
    assert leaving_out(days, "look-back") is None
    assert leaving_out(days, "song") is None
    assert leaving_out([], "look-back") is None


def test_where_lateness_says_nothing_there_is_one_rate() -> None:
    """By hand: 5 of 20, with 0.3 of 2.3 lessons expected before: 5.3 of 22.3."""
    found = leaving_out([lesson(run, 0, run % 4 == 0) for run in range(20)], "look-back")
    assert found is not None
    assert found.at(np.array([-3.0, 0.0, 5.0])) == pytest.approx(5.3 / 22.3)


def test_who_leaves_it_out_when_late_is_expected_to_then_and_not_else() -> None:
    found = leaving_out(by_lesson(leaves_out_when_late()), "look-back")
    assert found is not None
    early, late = found.at(np.array([-60, 100]) / 120)
    assert early < 0.1
    assert late > 0.75


@pytest.mark.parametrize("seed", range(5))
def test_it_never_falls_with_lateness_and_is_a_chance(seed: int) -> None:
    chance = np.random.default_rng(seed)
    days = [lesson(run, float(chance.integers(-100, 100)), bool(chance.random() < 0.4)) for run in range(25)]
    found = leaving_out(days, "look-back")
    assert found is not None
    rates = found.at(np.linspace(-5, 5, 300))
    assert np.all(np.diff(rates) >= 0)
    assert 0 <= rates[0] <= rates[-1] <= 1


def test_a_phase_that_was_cut_off_says_nothing_of_it() -> None:
    days = [lesson(run, 0, run < 2) for run in range(6)]
    cut = [[first, PastEnding(9, "", "look-back", "look-back", 120, 10, "bell")] for first, _last in days]
    two, same = leaving_out(days, "look-back"), leaving_out([*days, *cut], "look-back")
    assert two is not None
    assert same is not None
    assert two.at(np.zeros(1)) == pytest.approx(same.at(np.zeros(1)))


def test_a_late_lesson_whose_last_phase_will_be_left_out_ends_sooner() -> None:
    """Ten seconds before practice has had 100 s more than written, where look back is left out."""
    past = leaves_out_when_late(40)
    without = [one for one in past if one.ending != "skipped"]
    late, never = (forecast(learn(days, PLAN), 0, 570, 30) for days in (past, without))
    assert late is not None
    assert never is not None
    assert late.end_s < never.end_s - 60
    assert late.odds.likely > never.odds.likely + 0.5
