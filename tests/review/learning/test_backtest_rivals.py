"""The end foretold beside what plain ways foretell: means and medians of past durations, phase by phase.

Six families of series: journeys, stopwatch times and eruptions that others measured, and teachers of whom
every number is drawn by chance (on seeds that no choice was made on). And six families of measured series of
one phase alone (`measured.py`), on which forecasts were chosen.
"""

from collections.abc import Callable, Iterable

import numpy as np
import pytest

from pacer.pace.forecasts.past import PastEnding, by_lesson
from pacer.pace.forecasts.survival import fit
from pacer.review.learning.backtest import ScoredBorder, replay
from pacer.review.learning.invented_terms import invented_term
from pacer.review.learning.invented_terms import taught as term
from tests.review.learning.measured import MEASURED
from tests.review.learning.teachers import taught
from tests.review.learning.test_backtest import commutes, drops, faithful, geyser

Series = list[PastEnding]
SMOOTHING = 0.3  # of the exponentially weighted mean; the usual choice
FAMILIES: dict[str, Callable[[], list[Series]]] = {
    "journeys": lambda: [commutes("Boston"), commutes("Washington")],
    "stopwatch": lambda: [drops()],
    "eruptions": lambda: [geyser()[:240], faithful()[:240]],
    "pace that changes": lambda: [taught(k, 100) for k in ("drifting", "seasonal", "another unit", "waves")],
    "days that differ": lambda: [taught(k, 100) for k in ("whole days long or short", "hurries when late")],
    "cut off": lambda: [taught("fire drills", 100), term(invented_term(400)), term(invented_term(401))],
}


def weighted(times: np.ndarray, _whole: np.ndarray) -> float:
    share = SMOOTHING * (1 - SMOOTHING) ** np.arange(len(times))[::-1]
    return float(share @ times / share.sum())


RIVALS: dict[str, Callable[[np.ndarray, np.ndarray], float]] = {
    "mean": lambda times, _whole: float(times.mean()),
    "weighted mean": weighted,
    "median": lambda times, _whole: float(np.median(times)),
    "Kaplan-Meier median": lambda times, whole: fit(times, whole).quantile(0.5).seconds,
}


def rival_ends(series: Series, borders: list[ScoredBorder]) -> dict[str, list[float]]:
    """What each rival foretells at the same borders from the same past, phase by phase, in seconds."""
    lessons = by_lesson(series)
    place = {lesson[0].run: number for number, lesson in enumerate(lessons)}
    ends: dict[str, list[float]] = {name: [] for name in RIVALS}
    phases: dict[str, list[tuple[float, bool]]] = {}
    known, said = 0, {}
    for border in borders:
        while known < place[border.run]:
            for past in lessons[known]:
                if past.ending != "skipped" and past.is_sound:
                    phases.setdefault(past.phase, []).append((past.actual_s, past.is_complete("gives")))
            known += 1
            said = {}
        if not said:
            for phase, ones in phases.items():
                times, whole = np.array([one[0] for one in ones]), np.array([one[1] for one in ones])
                said[phase] = {name: rival(times, whole) for name, rival in RIVALS.items()}
        rest = [past.phase for past in lessons[known][border.index :]]
        for name, found in ends.items():
            found.append(sum(said[phase][name] for phase in rest))
    return ends


def errors(family: Iterable[Series]) -> dict[str, float]:
    """Mean absolute errors in seconds, of each series as a share of what the plain mean is off."""
    ratios: dict[str, list[float]] = {}
    for series in family:
        borders = [border for border in replay(series) if border.came_s is not None]
        came = np.array([border.came_s for border in borders])
        off = {name: abs(np.array(ends) - came).mean() for name, ends in rival_ends(series, borders).items()}
        off["Pacer"] = abs(np.array([border.forecast.end_s for border in borders]) - came).mean()
        for name, error in off.items():
            ratios.setdefault(name, []).append(float(error / off["mean"]))
    return {name: float(np.mean(found)) for name, found in ratios.items()}


@pytest.mark.slow
def test_it_is_better_on_four_of_six_families_than_each_of_them_and_nowhere_much_worse() -> None:
    found = {family: errors(made()) for family, made in FAMILIES.items()}
    for rival, beside in beside_each(found).items():
        assert sum(ratio < 1 for ratio in beside) >= 4, (rival, beside)
        assert max(beside) <= 1.03, (rival, beside)


@pytest.mark.slow
def test_of_measured_series_it_is_nowhere_much_worse_than_any_and_mostly_better() -> None:
    """31 series of 6,245 days. Where nothing ever changes the middle of all days is hard to beat: beside both
    medians it is better in three families (flights, answers, what changes), beside both means in all six.
    """
    found = {family: errors(made()) for family, made in MEASURED.items()}
    for rival, beside in beside_each(found).items():
        assert sum(ratio < 1 for ratio in beside) >= (3 if "median" in rival else 5), (rival, beside)
        assert max(beside) <= 1.03, (rival, beside)


def beside_each(found: dict[str, dict[str, float]]) -> dict[str, list[float]]:
    """Beside each rival, the error as a share of its error: one of each family."""
    beside = {rival: [ratios["Pacer"] / ratios[rival] for ratios in found.values()] for rival in RIVALS}
    for rival, ratios in beside.items():
        print(
            f"{rival:>20}",
            "  ".join(f"{name} {ratio:.3f}" for name, ratio in zip(found, ratios, strict=True)),
        )
    return beside
