"""The latest time to leave the running phase, and which of three reasons sets it."""

from dataclasses import dataclass
from typing import Literal

from pacer.pace.cut import Cut
from pacer.run.state import LessonState

Reason = Literal["fair", "hard", "cap"]
ALLOWANCE_LEAST_S = 30
ALLOWANCE_DIVISOR = 4


@dataclass(frozen=True)
class MoveBy:
    """Times in lesson milliseconds. ``cap_ms`` is None where no cap applies."""

    comfort_ms: int
    fair_ms: int
    hard_ms: int
    cap_ms: int | None

    @property
    def at_ms(self) -> int:
        """The earliest of the three."""
        return min(self.fair_ms, self.hard_ms, self.hard_ms if self.cap_ms is None else self.cap_ms)

    @property
    def reason(self) -> Reason:
        """Which time it is; the harder reason is named on a tie."""
        if self.hard_ms == self.at_ms:
            return "hard"
        return "cap" if self.cap_ms == self.at_ms else "fair"


def allowance_s(budget_s: int) -> int:
    """The fair overrun of a phase: a quarter of its written budget, at least half a minute."""
    return max(ALLOWANCE_LEAST_S, budget_s // ALLOWANCE_DIVISOR)


def move_by(state: LessonState, cut: Cut, now_ms: int) -> MoveBy:
    """When to move on from the running phase.

    Comfort is where everything later keeps its allotment; fair lets this phase overrun by its
    allowance as far as later ones have slack; hard leaves the later ones only their floors; the cap
    is what is left for all phases of its group together.
    """
    phase = state.plan.phases[cut.index]
    comfort = cut.end_ms - cut.later_s * 1000
    fair = comfort + 1000 * min(allowance_s(phase.budget_s), cut.later_slack_s)
    hard = cut.end_ms - cut.later_floor_s * 1000
    return MoveBy(comfort, fair, hard, _cap_ms(state, cut.index, now_ms))


def _cap_ms(state: LessonState, index: int, now_ms: int) -> int | None:
    plan = state.plan
    group = plan.phases[index].cap_group
    if group is None or group not in plan.caps_s:
        return None
    members = (i for i, phase in enumerate(plan.phases) if phase.cap_group == group)
    return now_ms + plan.caps_s[group] * 1000 - sum(state.spent_ms(i, now_ms) for i in members)
