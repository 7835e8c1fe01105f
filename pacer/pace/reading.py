"""One reading of an instant: all that pace says of a lesson at a time, worked out once for all who ask."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from pacer.pace.cut import Allotments, cut, cut_from, uncut_s
from pacer.pace.groups import Rotations, visits_after
from pacer.pace.leave import PlannedDrops, plan_drops
from pacer.pace.ledger import Account, paid_by_now
from pacer.pace.move_by import MoveBy, move_by
from pacer.pace.price import Price, price_after
from pacer.pace.second_half import SecondHalf, second_half, shown_leg_stage
from pacer.pace.stages import Shown, shown_stage
from pacer.pace.talk import TalkShares, TalkStretch, talk_now, talk_shares
from pacer.pace.trim import STEP_S
from pacer.remember import identity_cache
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
    def from_now(self) -> Allotments | None:
        """What each phase is allotted from now on: all that is shown of time to come follows from it."""
        return cut_from(self.state, self.now_ms)

    @cached_property
    def ends_ms(self) -> int:
        """When the part of the day would end if the rest took what it is allotted, in lesson time."""
        return self.now_ms if self.from_now is None else self.from_now.ends_ms

    @cached_property
    def move_by(self) -> MoveBy | None:
        """When to leave the running phase."""
        # In a pause by the cut of going on now; else a phase that is over would put its own move-by off.
        current = self.from_now if self.state.is_paused else self.allotments
        return None if current is None else move_by(self.state, current, self.now_ms)

    @cached_property
    def shown(self) -> Shown:
        """The stage that the Desk shows, and since when."""
        if self.half is not None:
            return shown_leg_stage(self.state, self.half, self.now_ms)
        return shown_stage(self.state, self.allotments, self.move_by, self.now_ms)

    @cached_property
    def price(self) -> Price | None:
        """Who pays for one more minute."""
        return None if self.from_now is None else price_after(self.state, self.from_now)

    @cached_property
    def fitting(self) -> PlannedDrops | None:
        """The re-cut from now on, with those that must leave."""
        return plan_drops(self.state, self.now_ms)

    @cached_property
    def recut(self) -> Changes:
        """What is taken from phases that stay, against what they would have without any cut.

        From now on; where phases must leave, as it would be without them.
        """
        current, fitting = self.from_now, self.fitting
        if current is None or fitting is None:
            return ()
        if fitting.leaving:
            return _reductions(self.state, ((current.index, fitting.allotted_s), *fitting.later))
        return self.taken

    @cached_property
    def taken(self) -> Changes:
        """What is taken from now on from each phase, with none leaving but those that have left."""
        return () if self.from_now is None else self._taken_by(self.from_now)

    @cached_property
    def asks(self) -> bool:
        """Whether the cut in force takes anything worth an answer, and the teacher has not given it yet."""
        current, state = self.allotments, self.state
        if current is None or state.cut_choice:
            return False
        taken = self.taken if current is self.from_now else self._taken_by(current)
        return -sum(change for _index, change in taken) >= STEP_S

    @cached_property
    def could_cut_anew(self) -> bool:
        """Whether a cut made now would give the running phase another time; the later ones are cut anyway."""
        current, fitting = self.from_now, self.fitting
        if current is None or fitting is None or not self.state.is_cut:
            return False
        return fitting.allotted_s != current.allotted_s

    @cached_property
    def paid(self) -> dict[Account, int]:
        """Who has more than was written by now or, below zero, less, in milliseconds."""
        return {} if self.from_now is None else paid_by_now(self.state, self.from_now, self.now_ms)

    @cached_property
    def groups(self) -> Rotations | None:
        """What the mini lesson leaves to the groups, by whole seconds of the lesson."""
        return None if self.from_now is None else visits_after(self.state, self.from_now)

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

    def _taken_by(self, current: Allotments) -> Changes:
        return _reductions(self.state, ((current.index, current.allotted_s), *current.later))


@identity_cache
def _reductions(state: LessonState, allotted: Changes) -> Changes:
    """What is taken from each phase against what it would have without any cut."""
    begin_ms = 0 if state.visit is None else state.visit.begin_ms  # no later phase ran since then
    changes = ((index, seconds - uncut_s(state, index, begin_ms)) for index, seconds in allotted)
    return tuple((index, change) for index, change in changes if change < 0)
