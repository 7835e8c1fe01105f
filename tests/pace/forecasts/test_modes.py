"""Two modes are told where they are plain, and seldom where there is one."""

import math

import numpy as np
import pytest

from pacer.pace.forecasts.modes import TwoModes, two_modes
from pacer.pace.forecasts.survival import fit

CASES = 200


def found(times: list[float], done: list[bool] | None = None) -> TwoModes | None:
    return two_modes(fit(times, [True] * len(times) if done is None else done))


def test_by_hand() -> None:
    """Four days of 400 s and four of 720 s, with no spread of their own: the root of 2 x 0.12^2 / 8 is 0.06.
    Their share is 4.5 of 9."""
    modes = found([400.0] * 4 + [720.0] * 4)
    assert modes is not None
    assert (modes.short_s, modes.long_s) == pytest.approx((400, 720))
    assert modes.sigma == pytest.approx(0.06)
    assert modes.long_share == pytest.approx(0.5)
    assert modes.logs == pytest.approx([math.log(400), math.log(720)])


def test_days_that_were_cut_off_count_where_such_days_went_on() -> None:
    """Three short, three long, two cut off in between: by the product-limit estimate 5 of 8 are long."""
    modes = found([400.0] * 3 + [500.0] * 2 + [720.0] * 3, [True] * 3 + [False] * 2 + [True] * 3)
    assert modes is not None
    assert modes.long_s == pytest.approx(720)
    assert modes.long_share == pytest.approx((0.625 * 8 + 0.5) / 9)


@pytest.mark.parametrize(
    ("times", "done"),
    [
        ([480.0] * 15, None),
        ([400, 440, 480, 520, 560, 600], None),
        ([480.0] * 9 + [3600.0], None),
        ([300.0] * 8, [False] * 8),
        ([480.0], None),
        ([400, 400, 400, 720, 720], None),
    ],
    ids=["all alike", "evenly spread", "one odd day", "none ended", "one day", "two long days"],
)
def test_one_mode_is_one(times: list[float], done: list[bool] | None) -> None:
    assert found(times, done) is None


@pytest.mark.parametrize("lessons", [8, 15])
@pytest.mark.parametrize(("spread", "most"), [(0.15, 0.04), (0.25, 0.15), (0.4, 0.27)])
def test_days_of_one_mode_are_seldom_called_two_moded(lessons: int, spread: float, most: float) -> None:
    """Where days lie far apart eight of them often fall into two heaps; it costs no coverage."""
    chance = np.random.default_rng(lessons)
    called = [found(np.exp(spread * chance.normal(size=lessons)).tolist()) is not None for _ in range(CASES)]
    print(f"{lessons} lessons, spread {spread}: {np.mean(called):.2f}")
    assert np.mean(called) <= most


@pytest.mark.parametrize(("lessons", "least"), [(8, 0.6), (15, 0.9)])
def test_days_of_two_plain_modes_are_called_so(lessons: int, least: float) -> None:
    """Half of the days take 1.9 times as long; those of a mode are about a tenth apart. Eight days often have
    only two in one of them."""
    chance = np.random.default_rng(lessons)
    called = []
    for _case in range(CASES):
        log = np.where(chance.random(lessons) < 0.5, 0.5, -0.15) + 0.1 * chance.normal(size=lessons)
        called.append(found(np.exp(log).tolist()) is not None)
    print(f"{lessons} lessons: {np.mean(called):.2f}")
    assert np.mean(called) >= least
