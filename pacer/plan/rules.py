"""Small rules of the trade: review that fits, when the bell really rings, what a rehearsal tells."""

from collections.abc import Sequence
from statistics import median

BELL_PRESSES, BELL_FAR_S = 5, 300
LEAST_PAIRS = 3


def review_fit(cap_s: int, warm_up_s: int, per_problem_s: int) -> int:
    """How many review problems fit under the cap after the warm-up, at one's own pace per problem."""
    return max(0, cap_s - warm_up_s) // per_problem_s if per_problem_s > 0 else 0


def bell_offset_s(offsets_s: Sequence[float]) -> float | None:
    """How much later than planned the bell rings: the median of the last five presses.

    Presses more than five minutes off are slips and don't count. None without any.
    """
    sound = [offset for offset in offsets_s if abs(offset) <= BELL_FAR_S]
    return median(sound[-BELL_PRESSES:]) if sound else None


def rehearsal_ratio(pairs: Sequence[tuple[float, float]]) -> float | None:
    """The median of live over rehearsed durations; None before three pairs. ``pairs``: (rehearsed, live)."""
    sound = [live / rehearsed for rehearsed, live in pairs if rehearsed > 0 and live > 0]
    return median(sound) if len(sound) >= LEAST_PAIRS else None
