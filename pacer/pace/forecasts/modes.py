"""Two modes of a phase: some days it goes quickly, on others it sticks. Told only where both are plain."""

import math
from dataclasses import dataclass

import numpy as np

from pacer.pace.forecasts.survival import Curve

APART = 4.0  # spreads of a mode that lie between plain modes
LEAST_DAYS = 3  # that ended in each mode
_USUAL_SPREAD, _USUAL_WEIGHT = 0.12, 2.0
_LEAST_SPREAD = 0.05


@dataclass(frozen=True)
class TwoModes:
    """Medians of both modes in seconds, their common spread of logarithms, the share of the longer."""

    short_s: float
    long_s: float
    sigma: float
    long_share: float

    @property
    def logs(self) -> list[float]:
        """The logarithms of both medians."""
        return [math.log(self.short_s), math.log(self.long_s)]


def two_modes(curve: Curve) -> TwoModes | None:
    """Two modes where they are plain; ``curve`` has no prior. None where one mode tells as much.

    The logarithms of the durations that ended, each with the probability that the product-limit estimate
    gives it, are cut in two where the least is left within the halves (Fisher, "On grouping for maximum
    homogeneity", JASA 53, 1958; from memory). Fifteen days of one mode are taken for two in up to one case of
    ten, eight that lie far apart in one of five (`tests/pace/forecasts/test_modes.py`).
    """
    share = -np.diff(curve.at(curve.times_s), prepend=1.0)
    share[-1] += 1.0 - share.sum()  # what is left where the longest was cut off
    here = share > 0
    logs, share, days = np.log(curve.times_s[here]), share[here], np.cumsum(curve.complete[here])
    ended = float(days[-1])
    cuts = np.flatnonzero((days[:-1] >= LEAST_DAYS) & (ended - days[:-1] >= LEAST_DAYS))
    if not len(cuts):
        return None
    below, first = np.cumsum(share)[cuts], np.cumsum(share * logs)[cuts]
    whole = float(share @ logs)
    short, long = first / below, (whole - first) / (1.0 - below)
    within = float(share @ logs**2) - below * short**2 - (1.0 - below) * long**2
    best = int(np.argmin(within))
    squares = max(0.0, float(within[best])) * ended + _USUAL_WEIGHT * _USUAL_SPREAD**2
    spread = math.sqrt(squares / max(1.0, ended + _USUAL_WEIGHT - 2))
    if long[best] - short[best] < APART * spread:
        return None
    count = curve.count
    return TwoModes(
        math.exp(float(short[best])),
        math.exp(float(long[best])),
        max(_LEAST_SPREAD, spread),
        (float(1.0 - below[best]) * count + 0.5) / (count + 1),
    )
