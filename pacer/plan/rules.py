"""Small rules of the trade: review that fits, and when the bell really rings."""

from collections.abc import Sequence
from typing import NamedTuple

from pacer.plan.kinds import REVIEWING_CAP_S

BELL_PRESSES, BELL_FAR_S = 5, 300


class ProblemPace(NamedTuple):
    """How long one review problem takes, in seconds, by so many past lessons; 0 where it was typed."""

    seconds: int
    lessons: int = 0


class Reviewing(NamedTuple):
    """The teacher's figures, in seconds: the cap on all reviewing, and one problem, None if it is learned."""

    cap_s: int = REVIEWING_CAP_S
    problem_s: int | None = None


def review_fit(cap_s: int, warm_up_s: int, per_problem_s: int) -> int:
    """How many review problems fit under the cap after the warm-up, at one's own pace per problem."""
    return max(0, cap_s - warm_up_s) // per_problem_s if per_problem_s > 0 else 0


def sound_presses(offsets_s: Sequence[float]) -> Sequence[float]:
    """The last five presses of "bell now" that count; one more than five minutes off is a slip."""
    return [offset for offset in offsets_s if abs(offset) <= BELL_FAR_S][-BELL_PRESSES:]


def bell_offset_s(offsets_s: Sequence[float]) -> float | None:
    """How much later than planned the bell rings: the median of the presses that count, None without any."""
    from statistics import median  # late: few starts know of any press

    sound = sound_presses(offsets_s)
    return median(sound) if sound else None
