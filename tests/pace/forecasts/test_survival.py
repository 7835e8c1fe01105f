"""How long something lasts: the curve with a prior, and the product-limit estimate as its limit."""

import itertools
import math

import lifelines
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pacer.pace.forecasts.survival import Curve, Prior, Quantile, fit


def parsed(text: str) -> tuple[list[float], list[bool]]:
    """Durations as published: a plus sign marks one that was cut off."""
    words = text.split()
    return [float(word.rstrip("+")) for word in words], [not word.endswith("+") for word in words]


# A worked example of our own, in minutes.
PRACTICE = "7 8 8 9 9+ 10 10+ 12"
# Freireich et al., Blood 21 (1963); Gehan, Biometrika 52 (1965). Weeks.
SIX_MP = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+"
PLACEBO = "1 1 2 2 3 4 4 5 5 8 8 8 8 11 11 12 12 15 17 22 23"
# NIST/SEMATECH e-Handbook 8.2.1.5, hours.
NIST = "10 32 56 98 122 181 50+ 100+ 125+ 150+" + " 200+" * 10
# Bewick, Cheek & Ball, Critical Care 8:389 (2004), Table 2.
BEWICK = "1 1 4 5 6+ 9 9+ 22"
# An example of Kleinman & Horton, "SAS and R" (attribution from memory).
KLEINMAN = ".5+ 1 1 2 2+ 3 4 5+ 6 7+ 8 9 10+ 12 14+ 14 17+ 20 21+"
# Kaplan & Meier, JASA 53 (1958), from memory; used by Susarla & Van Ryzin too.
KAPLAN_MEIER = "0.8 1.0+ 2.7+ 3.1 5.4 7.0+ 9.2 12.1+"


def mean_to(curve: Curve, horizon: float) -> float:
    """The mean of the shorter of duration and horizon: the area under a curve without a prior, in steps."""
    edges = np.array([0.0, *[t for t in curve.times_s.tolist() if t < horizon], horizon])
    return float(curve.at(edges[:-1]) @ np.diff(edges))


samples = st.lists(st.tuples(st.integers(1, 30), st.booleans()), min_size=1, max_size=40)


def test_the_worked_example_of_practice_comes_out_exactly() -> None:
    curve = fit(*parsed(PRACTICE))
    assert curve.at([7, 8, 9, 10, 12]) == pytest.approx([0.875, 0.625, 0.5, 1 / 3, 0], abs=1e-15)
    assert mean_to(curve, 12) == pytest.approx(9 + 2 / 3, abs=1e-14)
    assert 1 - curve.at(10) / curve.at(8) == pytest.approx(7 / 15, abs=1e-15)


def test_dropping_cut_off_ones_or_calling_them_finished_flatters() -> None:
    """9.0 and 9.125 in the worked example."""
    times, complete = parsed(PRACTICE)
    whole = [time for time, ended in zip(times, complete, strict=True) if ended]
    assert mean_to(fit(whole, [True] * len(whole)), 12) == pytest.approx(9.0, abs=1e-14)
    assert mean_to(fit(times, [True] * len(times)), 12) == pytest.approx(9.125, abs=1e-14)


@pytest.mark.parametrize(
    ("text", "at", "survival"),
    [
        # As printed by R in two course notes (3 and 4 decimals) and by scipy (6).
        (SIX_MP, [6, 7, 10, 13, 16, 22, 23],
         [0.857143, 0.806723, 0.752941, 0.690196, 0.627451, 0.537815, 0.448179]),
        (PLACEBO, [1, 2, 3, 4, 5, 8, 23], [0.904762, 0.809524, 0.761905, 0.666667, 0.571429, 0.380952, 0]),
        (NIST, [10, 32, 56, 98, 122, 181], [0.95, 0.9, 0.847059, 0.794118, 0.737395, 0.670359]),
        (BEWICK, [1, 4, 5, 9, 22], [0.75, 0.625, 0.5, 1 / 3, 0]),
        (KLEINMAN, [1, 2, 3, 4, 6, 8, 9, 12, 14, 20],
         [0.8889, 0.8333, 0.7738, 0.7143, 0.6494, 0.5772, 0.5051, 0.4209, 0.3367, 0.1684]),
    ],
)  # fmt: skip
def test_without_a_prior_published_curves_come_out(text, at, survival) -> None:
    curve = fit(*parsed(text))
    assert curve.at(at) == pytest.approx(survival, abs=6e-5 if text == KLEINMAN else 6e-7)


def test_medians_means_and_what_is_left_of_the_leukemia_data_are_as_published() -> None:
    """Medians 23 and 8; restricted means from R and SAS (17.9092 at 23, 23.29 at 35); ratios by hand."""
    drug, placebo = fit(*parsed(SIX_MP)), fit(*parsed(PLACEBO))
    assert drug.quantile(0.5) == Quantile(23, False)
    assert placebo.quantile(0.5) == Quantile(8, False)
    assert drug.quantile(0.25) == Quantile(13, False)
    assert drug.quantile(0.9) == Quantile(35, True)
    for horizon, mean in ((10, 9.277311), (15, 12.916527), (23, 17.909244), (30, 21.046499), (35, 23.287395)):
        assert mean_to(drug, horizon) == pytest.approx(mean, abs=1e-6)
    assert mean_to(placebo, 23) == pytest.approx(8.666667, abs=1e-6)
    assert drug.at(16) / drug.at(10) == pytest.approx(5 / 6)
    assert drug.at(22) / drug.at(13) == pytest.approx(0.779221, abs=1e-6)


@given(samples)
def test_without_a_prior_it_is_what_two_libraries_compute(sample) -> None:
    """scipy.stats.ecdf and lifelines, to 1e-9."""
    times, ended = np.array([float(t) for t, _e in sample]), np.array([e for _t, e in sample])
    curve = fit(times, ended)
    asked = np.arange(0, 32, 0.5)
    if ended.all():  # scipy refuses an empty list of cut-off ones only through this door
        theirs = stats.ecdf(times).sf.evaluate(asked)
    else:
        theirs = stats.ecdf(stats.CensoredData.right_censored(times, ~ended)).sf.evaluate(asked)
    assert curve.at(asked) == pytest.approx(theirs, abs=1e-9)
    fitted = lifelines.KaplanMeierFitter().fit(times, ended)
    assert curve.at(asked) == pytest.approx(fitted.predict(asked).to_numpy(), abs=1e-9)


@given(samples, st.floats(0.001, 0.999))
def test_the_prior_fades_with_its_weight(sample, place) -> None:
    times, ended = [float(t) for t, _e in sample], [e for _t, e in sample]
    asked = place * max(times)
    faint, none = fit(times, ended, Prior(1e-9, 10)), fit(times, ended)
    assert faint.at(asked) == pytest.approx(none.at(asked), abs=1e-6)


def urn(times: list[float], ended: list[bool], prior: Prior, asked: float) -> float:
    """The posterior mean by another road: Polya's urn, with every place a cut-off one may have gone to.

    The prior is an urn of weight B whose next draw falls into an interval with its share of the balls; a
    complete duration adds a ball of its own. Each cut-off one is drawn among what lies beyond it, all such
    drawings are listed with their probabilities, and the next draw after them is asked for.
    """
    edges = sorted({*times, asked})
    ends = [*edges, math.inf]
    begins = [0.0, *edges]
    survival = stats.lognorm(prior.sigma, scale=prior.median_s).sf
    balls = [
        prior.weight * float(survival(b) - (survival(e) if e < math.inf else 0))
        for b, e in zip(begins, ends, strict=True)
    ]
    atoms = {
        time: float(sum(t == time and e for t, e in zip(times, ended, strict=True))) for time in set(times)
    }
    # Places: intervals (begin, end], open to their right end for the continuous part, and atoms.
    places = [("open", b, weight) for b, weight in zip(begins, balls, strict=True)]
    places += [("atom", time, weight) for time, weight in atoms.items() if weight]
    lost = [t for t, e in zip(times, ended, strict=True) if not e]

    def beyond(place, limit: float) -> bool:
        kind, at, _weight = place
        return at >= limit if kind == "open" else at > limit

    total = hit = 0.0
    for drawn in itertools.product(range(len(places)), repeat=len(lost)):
        if not all(beyond(places[d], z) for d, z in zip(drawn, lost, strict=True)):
            continue
        now, chance = [weight for _k, _a, weight in places], 1.0
        for d in drawn:
            chance *= now[d]
            now[d] += 1
        total += chance
        hit += (
            chance * sum(w for w, place in zip(now, places, strict=True) if beyond(place, asked)) / sum(now)
        )
    return hit / total


@pytest.mark.slow
@pytest.mark.parametrize(("weight", "median"), [(0.5, 4.0), (3.0, 5.0), (8.0, 2.0)])
def test_with_a_prior_the_1958_data_give_what_an_urn_gives(weight: float, median: float) -> None:
    """Independent derivation: exact enumeration of a Polya urn; the estimator is a posterior mean."""
    times, ended = parsed(KAPLAN_MEIER)
    prior = Prior(weight, median, 0.8)
    curve = fit(times, ended, prior)
    for asked in (0.5, 0.8, 1.0, 2.0, 2.7, 3.1, 6.0, 7.0, 9.2, 11.0, 12.1, 15.0):
        assert curve.at(asked) == pytest.approx(urn(times, ended, prior, asked), abs=1e-12), asked


@given(st.lists(st.tuples(st.integers(1, 8), st.booleans()), min_size=1, max_size=6), st.floats(0.3, 9))
def test_with_a_prior_any_small_sample_gives_what_an_urn_gives(sample, asked) -> None:
    """Ties included: a complete one comes before one cut off at the same time."""
    sample = [*[one for one in sample if one[1]], *[one for one in sample if not one[1]][:3]]
    times, ended = [float(t) for t, _e in sample], [e for _t, e in sample]
    prior = Prior(2.0, 4.0, 0.6)
    assert fit(times, ended, prior).at(asked) == pytest.approx(urn(times, ended, prior, asked), abs=1e-10)


@given(samples, st.floats(0, 6))
def test_a_curve_starts_at_one_and_never_rises(sample, weight) -> None:
    curve = fit([float(t) for t, _e in sample], [e for _t, e in sample], Prior(weight, 12))
    asked = np.linspace(0, 60, 500)
    values = curve.at(asked)
    assert values[0] == 1
    assert np.all(np.diff(values) <= 1e-12)


@given(samples, st.floats(0, 6), st.floats(0.05, 0.95))
def test_a_quantile_is_the_shortest_duration_that_enough_stayed_within(sample, weight, share) -> None:
    curve = fit([float(t) for t, _e in sample], [e for _t, e in sample], Prior(weight, 12))
    found = curve.quantile(share)
    if found.at_least:
        assert found.seconds == curve.known_to_s
        assert curve.at(found.seconds) > 1 - share
    else:
        assert curve.at(found.seconds) <= 1 - share + 1e-9
        assert curve.at(found.seconds * (1 - 1e-9)) >= 1 - share - 1e-6


def test_with_whole_durations_quantiles_are_the_first_kind_of_hyndman_and_fan() -> None:
    """NIST/SEMATECH e-Handbook 7.2.6.2, 12 resistivities, type 1 of Hyndman & Fan (1996)."""
    text = "95.1772 95.1567 95.1937 95.1959 95.1442 95.0610 95.1591 95.1195 95.1065 95.0925 95.1990 95.1682"
    curve = fit(*parsed(text))
    for share, value in ((0.1, 95.0925), (0.25, 95.1065), (0.5, 95.1567), (0.75, 95.1772), (0.9, 95.1959)):
        assert curve.quantile(share) == Quantile(value, False)


def test_if_the_longest_was_cut_off_the_curve_stays_flat_and_the_tail_is_unknown() -> None:
    curve = fit(*parsed(PRACTICE + "+"))
    assert curve.at([12, 13, 1000]) == pytest.approx([1 / 3] * 3)
    assert curve.unknown == pytest.approx(1 / 3)
    assert curve.quantile(0.7) == Quantile(12, True)
    assert fit(*parsed(PRACTICE)).unknown == 0


def test_if_all_were_cut_off_nothing_is_known_but_at_least() -> None:
    curve = fit([9.0, 10.0, 12.0], [False] * 3)
    assert curve.quantile(0.01) == Quantile(12, True)
    assert curve.unknown == 1


def test_if_all_were_cut_off_a_prior_guesses_and_says_how_much_is_unknown() -> None:
    curve = fit([9.0, 10.0, 12.0], [False] * 3, Prior(3, 8))
    assert curve.quantile(0.7) == Quantile(12, True)
    assert curve.unknown > 0.8 * float(curve.at(12)) > 0.25


def test_without_a_past_the_curve_is_the_prior() -> None:
    """A lognormal: its quantiles."""
    curve = fit([], [], Prior(3, 300))
    assert curve.quantile(0.5).seconds == pytest.approx(300)
    assert curve.quantile(0.7).seconds == pytest.approx(float(stats.lognorm(0.25, scale=300).ppf(0.7)))


def test_a_duration_of_ten_hours_breaks_nothing() -> None:
    curve = fit([300.0, 36_000.0], [True, False], Prior(3, 300))
    assert curve.at([299, 301, 35_999, 36_001]) == pytest.approx([0.7026, 0.4974, 0.2, 0.2], abs=0.003)


@pytest.mark.parametrize(
    ("times", "ended"),
    [
        ([0.0], [True]),
        ([-3.0], [True]),
        ([math.nan], [True]),
        ([math.inf], [True]),
        ([1.0, 2.0], [True]),
        ([], []),
    ],
)
def test_durations_that_can_not_be_are_refused(times, ended) -> None:
    with pytest.raises(ValueError, match="duration"):
        fit(times, ended)


def test_a_prior_and_a_share_that_can_not_be_are_refused() -> None:
    for weight, median, sigma in ((-1, 5, 0.2), (3, 0, 0.2), (3, 5, 0), (math.nan, 5, 0.2)):
        with pytest.raises(ValueError, match="not a prior"):
            Prior(weight, median, sigma)
    with pytest.raises(ValueError, match="share"):
        fit([3.0], [True]).quantile(1.0)


def test_a_prior_is_hardly_exceeded_so_many_spreads_above_its_median() -> None:
    """By scipy's lognormal; a prior without weight says nothing."""
    for spreads in (2, 5):
        law = stats.lognorm(0.4, scale=300)
        assert Prior(3, 300, 0.4).within_s(spreads) == pytest.approx(law.ppf(stats.norm.cdf(spreads)))
    assert Prior(0, 300).within_s(2) == 0
