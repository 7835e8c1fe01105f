"""The state of a lesson as a frozen value, with the questions one can ask of it. `fold.py` makes it."""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from pacer.plan.outline import Outline, Phase
from pacer.run import events as ev
from pacer.run.events import Edge, Ending, Face, Fill
from pacer.run.legs import BellChange, GroupOut, Leg, LegChange
from pacer.run.table_list import LineKey, TableLine, table_list
from pacer.run.timeline import (
    QUIET_MS,
    SETTLE_MS,
    AddedTime,
    Cues,
    CutChoice,
    HalfTime,
    PartnerBurst,
    ScreensChange,
    Settle,
    Span,
    Stall,
    TimedMark,
    TimeGap,
    Visit,
)


@dataclass(frozen=True)
class LessonState:
    """Everything known about a running or ended lesson. Times are lesson milliseconds.

    ``cues_before`` is how many cues were given before the phase was entered or last got more time;
    ``forecasts_before`` is how many forecasts were made before the phase was entered. ``fill``, ``page``
    and ``edge`` are what the teacher turned to, None where the plan and the settings hold; ``blank_from``
    is how many stops there were when the Wall went blank; ``settling_ms`` is when the partner burst ended
    after which eyes are still on their way back, ``settles`` the phases and lengths of those measured,
    ``halves`` when half of the class was ready; ``pressed_ms`` is when anything was last pressed;
    ``ended_by_hand`` tells a lesson that was ended from one that went past its last phase. ``legs`` are those
    of the second half, ``out`` the groups without a visit, ``ticked`` the done lines of the table list.

    What is asked many times between two presses is worked out once; ``replace`` does not take it along.
    """

    outline: Outline | None = None
    started_utc_ms: int = 0
    planned_utc_ms: int = 0
    utc_offset_s: int = 0
    mode: ev.Mode = "live"
    shape: str = ""
    visits: tuple[Visit, ...] = ()
    stopped: tuple[Span, ...] = ()
    added: tuple[AddedTime, ...] = ()
    talks: tuple[PartnerBurst, ...] = ()
    marks: tuple[TimedMark, ...] = ()
    face: Face = "full"
    hidden: bool = False
    fill: Fill | None = None
    page: int | None = None
    edge: Edge | None = None
    blank_from: int | None = None
    settling_ms: int | None = None
    settles: tuple[Settle, ...] = ()
    halves: tuple[HalfTime, ...] = ()
    pressed_ms: int = 0
    screens: tuple[ScreensChange, ...] = ()
    stalls: tuple[Stall, ...] = ()
    gaps: tuple[TimeGap, ...] = ()
    clock_set_ms: int = 0
    forecasts: tuple[ev.Forecasted, ...] = ()
    forecasts_before: int = 0
    cues: Cues = ()
    cues_before: int = 0
    ended_ms: int | None = None
    ended_by_hand: bool = False
    bell_offset_s: int | None = None
    legs: tuple[Leg, ...] = ()
    leg_changes: tuple[LegChange, ...] = ()
    out: tuple[GroupOut, ...] = ()
    bell_changes: tuple[BellChange, ...] = ()
    ticked: tuple[LineKey, ...] = ()

    @cached_property
    def plan(self) -> Outline:
        """The outline of a started lesson. Raises LookupError before the start."""
        if self.outline is None:
            raise LookupError("the lesson has not started")
        return self.outline

    @cached_property
    def visit(self) -> Visit | None:
        """The visit under way, or None before the start, after the last phase and after the end."""
        last = self.visits[-1] if self.visits else None
        return last if last is not None and last.end_ms is None else None

    @cached_property
    def leg(self) -> Leg | None:
        """The leg of the second half under way, or None outside of it."""
        last = self.legs[-1] if self.legs else None
        return last if last is not None and last.end_ms is None else None

    @cached_property
    def bell_ms(self) -> int:
        """When the bell should ring, in lesson time, as far as it is known by now."""
        moved_s = sum(change.seconds for change in self.bell_changes)
        return (self.plan.block.length_s + moved_s) * 1000 - self.late_ms

    @cached_property
    def groups_out(self) -> frozenset[int]:
        """Numbers of the groups that have no visit today."""
        return frozenset(out.group for out in self.out)

    @cached_property
    def visited_groups(self) -> tuple[int, ...]:
        """Numbers of the groups that have had a visit or have one now, in the order of their first."""
        return tuple(dict.fromkeys(leg.group for leg in self.legs if leg.kind == "visit"))

    @cached_property
    def groups_to_come(self) -> tuple[int, ...]:
        """Numbers of the groups whose visit is still to come, in their order; not the one at the table."""
        gone = {*self.groups_out, *self.visited_groups}
        return tuple(group for group in self.plan.visit_order if group not in gone)

    @cached_property
    def table_list(self) -> tuple[TableLine, ...]:
        """What is to be seen to at the table, a line each; ``ticked`` names those that are done."""
        return table_list(self.plan, self.left, [(mark.kind, mark.index, mark.number) for mark in self.marks])

    @cached_property
    def index(self) -> int | None:
        """The running phase's position in the outline."""
        return None if self.visit is None else self.visit.index

    @cached_property
    def phase(self) -> Phase | None:
        """The running phase."""
        return None if self.index is None else self.plan.phases[self.index]

    @cached_property
    def is_in_mini_lesson(self) -> bool:
        """Whether the running phase belongs to the mini lesson."""
        return self.index is not None and self.index < self.plan.mini_count

    @cached_property
    def is_running(self) -> bool:
        """Whether the lesson has started and not ended."""
        return self.outline is not None and self.ended_ms is None

    @cached_property
    def is_paused(self) -> bool:
        """Whether the phase clock stands still."""
        return bool(self.stopped) and self.stopped[-1].end_ms is None and self.is_running

    @cached_property
    def talk(self) -> PartnerBurst | None:
        """The partner burst under way."""
        last = self.talks[-1] if self.talks else None
        return last if last is not None and last.span.end_ms is None else None

    @property
    def is_blank(self) -> bool:
        """Whether the Wall shows nothing at all."""
        return self.blank_from is not None and self.is_running

    @cached_property
    def fills(self) -> tuple[Fill, ...]:
        """What may fill the Wall in the running phase; the first does until the teacher turns it."""
        if self.phase is None:
            return ("countdown",)
        content: tuple[tuple[Fill, str], ...] = (
            ("picture", self.phase.attach),
            ("problem", self.phase.problem),
        )
        return (*(fill for fill, text in content if text), "countdown")

    @cached_property
    def filled_with(self) -> Fill:
        """What fills the Wall now."""
        return self.fill if self.fill in self.fills else self.fills[0]

    @property
    def shown_page(self) -> int:
        """The page of the running phase's PDF that is shown, counted from 1."""
        return self.page or (1 if self.phase is None else self.phase.page)

    @cached_property
    def late_ms(self) -> int:
        """How much later than planned the lesson started; negative when early.

        A clock that was set since then moves the times of day that are shown, and nothing else.
        """
        return self.started_utc_ms - self.planned_utc_ms

    def utc_ms(self, t_ms: int) -> int:
        """The time of day at a lesson time, as the computer's clock has it now."""
        return self.started_utc_ms + self.clock_set_ms + t_ms

    def talk_left_ms(self, now_ms: int) -> int:
        """What is left of the partner burst under way; pauses stop it too. 0 without one."""
        if self.talk is None:
            return 0
        return self.talk.length_s * 1000 - self.clocked_ms(self.talk.span.begin_ms, now_ms)

    def half_ready_now(self, now_ms: int) -> HalfTime:
        """What a press for half of the class measures: from the latest thing they come back from."""
        index = -1 if self.index is None else self.index
        settling_ms, leg = self.settling_for_ms(now_ms), self.leg
        if settling_ms is not None and settling_ms <= SETTLE_MS:
            return HalfTime(index, settling_ms, "talk")
        if self.talk is not None:
            return HalfTime(index, self.clocked_ms(self.talk.span.begin_ms, now_ms), "burst")
        if leg is not None:
            after: Literal["move", "phase"] = "move" if leg.kind in ("move", "swap") else "phase"
            return HalfTime(index, self.leg_spent_ms(len(self.legs) - 1, now_ms), after)
        begin_ms = now_ms if self.visit is None else self.visit.begin_ms
        return HalfTime(index, self.clocked_ms(begin_ms, now_ms), "phase")

    def is_quiet(self, now_ms: int) -> bool:
        """Whether nothing has been pressed for so long that a press may have been forgotten."""
        return self.is_running and now_ms - self.pressed_ms >= QUIET_MS

    def settling_for_ms(self, now_ms: int) -> int | None:
        """How long eyes have been on their way back; a drill or a visitor in between is no part of it."""
        return None if self.settling_ms is None else self.clocked_ms(self.settling_ms, now_ms)

    def clocked_ms(self, begin_ms: int, end_ms: int) -> int:
        """How long the phase clock ran between two lesson times: pauses and undone gaps are left out."""
        return end_ms - begin_ms - sum(stop.overlap_ms(begin_ms, end_ms) for stop in self.stopped)

    @property
    def cut_choice(self) -> CutChoice:
        """What the teacher said to the re-cut in force; nothing yet: empty."""
        return "" if self.visit is None else self.visit.choice

    @cached_property
    def is_cut(self) -> bool:
        """Whether budgets are re-cut at the border of the running phase.

        Not where the teacher took that back, and not in a baseline, in which she is not helped at all.
        """
        return self.cut_choice != "declined" and self.mode != "baseline"

    @cached_property
    def left(self) -> tuple[int, ...]:
        """The phases that have left the lesson; one that was gone to all the same is back."""
        gone: set[int] = set()
        for visit in self.visits:
            gone.discard(visit.index)
            gone.update(visit.leaving)
        return tuple(sorted(gone))

    @cached_property
    def next_index(self) -> int | None:
        """The phase that comes next; one that has left the lesson does not."""
        if self.index is None:
            return None
        after = range(self.index + 1, len(self.plan.phases))
        return next((index for index in after if index not in self.left), None)

    @property
    def forecast(self) -> ev.Forecasted | None:
        """The forecast made since the running phase was entered."""
        since_entered = self.forecasts[self.forecasts_before :]
        return next((forecast for forecast in reversed(since_entered) if forecast.index == self.index), None)

    def leg_spent_ms(self, number: int, now_ms: int) -> int:
        """Clock time of a leg, by its place among all, up to a time, pauses left out."""
        leg = self.legs[number]
        end_ms = now_ms if leg.end_ms is None else min(leg.end_ms, now_ms)
        return max(0, self.clocked_ms(leg.begin_ms, end_ms))

    def visit_had_ms(self, group: int, now_ms: int) -> int:
        """The time that a group has had at the table over all its visits, until it was pulled out."""
        outs = [out.t_ms for out in self.out if out.group == group]
        return sum(
            self.leg_spent_ms(number, min([now_ms, *(t_ms for t_ms in outs if t_ms >= leg.begin_ms)]))
            for number, leg in enumerate(self.legs)
            if leg.kind == "visit" and leg.group == group
        )

    def visited(self, index: int) -> bool:
        """Whether the class has been in a phase at all."""
        return any(visit.index == index for visit in self.visits)

    def ending_of(self, index: int) -> Ending | None:
        """How a phase ended at its last visit; ``skipped`` once the lesson is over without it."""
        endings = [visit.ending for visit in self.visits if visit.index == index]
        if endings:
            return endings[-1]
        return "skipped" if self.ended_ms is not None else None

    def spent_ms(self, index: int, now_ms: int) -> int:
        """Phase-clock time of a phase over all its visits up to a time, pauses left out."""
        return sum(
            self.clocked_ms(visit.begin_ms, now_ms if visit.end_ms is None else min(visit.end_ms, now_ms))
            for visit in self.visits
            if visit.index == index and visit.begin_ms < now_ms
        )

    def added_s(self, index: int, before_ms: int | None = None) -> int:
        """Seconds by which a phase's written budget grew or shrank by hand, up to a time.

        That is the sum of what was given and taken as far as the phase was not over then.
        """
        written = allotted = self.plan.phases[index].budget_s
        for change in self.added:
            if change.phase == index and (before_ms is None or change.t_ms < before_ms):
                allotted = with_added(allotted, change.seconds, self.spent_ms(index, change.t_ms) // 1000)
        return allotted - written

    def count(self, kind: str, index: int | None = None) -> int:
        """How many marks of a kind were made, in one phase or in all."""
        return sum(mark.kind == kind and index in (None, mark.index) for mark in self.marks)


def with_added(allotted_s: int, seconds: int, spent_s: int) -> int:
    """What a phase is allotted after a change by hand, in seconds.

    Time given to a phase that is over counts from now; time that is spent can't be taken.
    """
    if seconds > 0:
        return max(allotted_s, spent_s) + seconds
    return max(min(allotted_s, spent_s), allotted_s + seconds)
