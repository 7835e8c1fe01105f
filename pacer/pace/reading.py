"""One reading of an instant: all that pace says of a lesson at a time, worked out once for all who ask."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from pacer.pace.cut import Allotments, cut, uncut_s
from pacer.pace.groups import Rotations, projected_visits
from pacer.pace.leave import PlannedDrops, plan_drops
from pacer.pace.move_by import MoveBy, move_by
from pacer.pace.price import Price, price
from pacer.pace.second_half import SecondHalf, second_half, shown_leg_stage
from pacer.pace.stages import Shown, shown_stage
from pacer.pace.talk import TalkShares, TalkStretch, talk_now, talk_shares
from pacer.run.events import Forecasted
from pacer.run.state import LessonState

Foresee = Callable[[LessonState, int], Forecasted | None]
Changes = tuple[tuple[int, int], ...]
"""Phases by their index, each with the seconds that it gains or, below zero, gives."""


@dataclass(frozen=True, eq=False)
class Reading:
    """What pace says of ``state`` at lesson time ``now_ms``; all of it is None or empty where no phase runs.

    Each part is worked out when it is first asked for and then kept, so what only the Desk shows does not
    keep the Wall waiting. ``foresee`` makes forecasts from past lessons; a reading asks it once at most.
    """

    state: LessonState
    now_ms: int
    foresee: Foresee | None = None

    @cached_property
    def allotments(self) -> Allotments | None:
        """What each phase is allotted."""
        return cut(self.state)

    @cached_property
    def half(self) -> SecondHalf | None:
        """The leg of the second half under way, and all that follows from it; None outside of it."""
        return second_half(self.state, self.now_ms) if self.state.legs else None

    @cached_property
    def left_ms(self) -> int:
        """What the running phase has left of its allotment; below zero once it is over, 0 where none runs."""
        current = self.allotments
        if self.half is not None:
            return self.half.left_ms
        if current is None:
            return 0
        return current.allotted_s * 1000 - self.state.spent_ms(current.index, self.now_ms)

    @cached_property
    def spent_ms(self) -> tuple[int, ...]:
        """The time that each phase of the outline has had, pauses left out."""
        phases = () if self.state.outline is None else self.state.outline.phases
        return tuple(self.state.spent_ms(index, self.now_ms) for index in range(len(phases)))

    @cached_property
    def partners_left_ms(self) -> int | None:
        """What is left of the partner burst under way; None without one."""
        return None if self.state.talk is None else self.state.talk_left_ms(self.now_ms)

    @cached_property
    def ends_ms(self) -> int:
        """When the part of the day would end if the rest took what it is allotted, in lesson time."""
        later_s = 0 if self.allotments is None else self.allotments.later_s
        return self.now_ms + max(0, self.left_ms) + later_s * 1000

    @cached_property
    def move_by(self) -> MoveBy | None:
        """When to leave the running phase."""
        return None if self.allotments is None else move_by(self.state, self.allotments, self.now_ms)

    @cached_property
    def shown(self) -> Shown:
        """The stage that the Desk shows, and since when."""
        if self.half is not None:
            return shown_leg_stage(self.state, self.half, self.now_ms)
        return shown_stage(self.state, self.allotments, self.move_by, self.now_ms)

    @cached_property
    def price(self) -> Price | None:
        """Who pays for one more minute."""
        return price(self.state, self.now_ms)

    @cached_property
    def fitting(self) -> PlannedDrops | None:
        """The re-cut from now on, with those that must leave."""
        return plan_drops(self.state, self.now_ms)

    @cached_property
    def recut(self) -> Changes:
        """What that re-cut takes from phases that stay, against what they would have without any cut."""
        current, fitting = self.allotments, self.fitting
        if current is None or fitting is None:
            return ()
        return self._reductions(((current.index, fitting.allotted_s), *fitting.later), self.now_ms)

    @cached_property
    def cut_at_border(self) -> Changes:
        """The same of the cut in force since the running phase was entered."""
        current, visit = self.allotments, self.state.visit
        if current is None or visit is None:
            return ()
        return self._reductions(((current.index, current.allotted_s), *current.later), visit.begin_ms)

    @cached_property
    def groups(self) -> Rotations | None:
        """What the mini lesson leaves to the groups, by whole seconds of the lesson."""
        return projected_visits(self.state, self.now_ms - self.now_ms % 1000)

    @cached_property
    def talk_stretch(self) -> TalkStretch | None:
        """The stretch of teacher talk under way."""
        return talk_now(self.state, self.now_ms)

    @cached_property
    def talk_shares(self) -> TalkShares:
        """How much of the mini lesson so far was teacher talk."""
        return talk_shares(self.state, self.now_ms)

    @cached_property
    def odds(self) -> Forecasted | None:
        """What past lessons say; without any, the forecast made at the border."""
        return self.state.forecast if self.foresee is None else self.foresee(self.state, self.now_ms)

    def _reductions(self, allotted: Changes, at_ms: int) -> Changes:
        changes = ((index, seconds - uncut_s(self.state, index, at_ms)) for index, seconds in allotted)
        return tuple((index, change) for index, change in changes if change < 0)
