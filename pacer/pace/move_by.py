"""The latest time to leave the running phase, and which of three reasons sets it."""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from pacer.pace.cut import Allotments
from pacer.remember import identity_cache
from pacer.run.state import LessonState

Reason = Literal["fair", "hard", "cap"]
# The fair overrun is a rule of ours: common practice knows none with a source.
ALLOWANCE_LEAST_S = 30
ALLOWANCE_DIVISOR = 4


@dataclass(frozen=True)
class MoveBy:
    """Times in lesson milliseconds. ``cap_ms`` is None where no cap applies; ``cap_s`` is its length.

    ``over_ms`` is when the running phase has had its allotment, which is its floor where the lesson is that
    late: only a cap ends it before that.
    """

    comfort_ms: int
    fair_ms: int
    hard_ms: int
    cap_ms: int | None
    cap_s: int = 0
    over_ms: int = 0

    @cached_property
    def at_ms(self) -> int:
        """The earliest of the three; only the cap comes before the end of the time that is shown as left."""
        at_ms = max(min(self.fair_ms, self.hard_ms), self.over_ms)
        return at_ms if self.cap_ms is None else min(at_ms, self.cap_ms)

    @cached_property
    def reason(self) -> Reason:
        """Which time it is; the harder reason is named on a tie."""
        if self.cap_ms == self.at_ms != self.hard_ms:
            return "cap"
        return "hard" if self.hard_ms <= self.at_ms else "fair"


def allowance_s(budget_s: int) -> int:
    """The fair overrun of a phase: a quarter of its written budget, at least half a minute."""
    return max(ALLOWANCE_LEAST_S, budget_s // ALLOWANCE_DIVISOR)


def move_by(state: LessonState, cut: Allotments, now_ms: int) -> MoveBy:
    """When to move on from the running phase.

    Comfort is where everything later keeps its allotment; fair lets this phase overrun by its
    allowance as far as later ones have slack; hard leaves the later ones only their floors; the cap
    is what is left for all phases of its group together.
    """
    return _moved_by(state, cut, _cap(state, cut.index, now_ms) or (None, 0))


@identity_cache
def _moved_by(state: LessonState, cut: Allotments, cap: tuple[int | None, int]) -> MoveBy:
    """The same with the cap in lesson time, which stands still while the phase clock runs."""
    phase = state.plan.phases[cut.index]
    comfort = cut.end_ms - cut.later_s * 1000
    fair = comfort + 1000 * min(allowance_s(phase.budget_s), cut.later_slack_s)
    hard = cut.end_ms - cut.later_floor_s * 1000
    return MoveBy(comfort, fair, hard, *cap, cut.over_ms)


def _cap(state: LessonState, index: int, now_ms: int) -> tuple[int, int] | None:
    """When the phase's own cap or that of its group is reached, whichever comes first, and its seconds."""
    plan, phase = state.plan, state.plan.phases[index]
    ends = []
    if phase.cap_s is not None:
        ends.append((now_ms + phase.cap_s * 1000 - state.spent_ms(index, now_ms), phase.cap_s))
    if phase.cap_group is not None and phase.cap_group in plan.caps_s:
        cap_s = plan.caps_s[phase.cap_group]
        members = (i for i, other in enumerate(plan.phases) if other.cap_group == phase.cap_group)
        ends.append((now_ms + cap_s * 1000 - sum(state.spent_ms(i, now_ms) for i in members), cap_s))
    return min(ends, default=None)
