"""What each phase is allotted now: the written budgets, re-cut at the last border or when time was added."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

from pacer.pace.trim import TrimItem, trim
from pacer.plan.outline import Outline, Phase
from pacer.remember import identity_cache
from pacer.run.state import LessonState, with_added
from pacer.run.timeline import Visit

OVER_STEP_S = 5
_FINISHED = ("done", "moved on")


@dataclass(frozen=True)
class Allotments:
    """Allotments at a time. ``allotted_s`` of the running phase counts from its first second.

    ``later`` pairs each later phase's index with what is still allotted to it, once the running one is over
    at ``over_ms``; ``later_floor_s`` and ``later_slack_s`` are sums over them; ``end_ms`` is when they all
    should be over, both in lesson time; ``short_s`` is what is missing even at the floors.
    """

    index: int
    allotted_s: int
    over_ms: int
    later: tuple[tuple[int, int], ...]
    later_floor_s: int
    end_ms: int
    short_s: int

    @property
    def later_s(self) -> int:
        """Sum of the later allotments."""
        return sum(seconds for _index, seconds in self.later)

    @property
    def later_slack_s(self) -> int:
        """What the later phases can still give."""
        return self.later_s - self.later_floor_s

    @property
    def ends_ms(self) -> int:
        """When the part of the day ends if every phase takes what it is allotted, in whole seconds.

        Down to them: less than a second too much is no deficit.
        """
        return self.over_ms // 1000 * 1000 + self.later_s * 1000


def end_of_span_ms(state: LessonState, index: int) -> int:
    """When the part of the day that a phase belongs to should end, in lesson time."""
    return state.plan.span_end_s(index) * 1000 - state.late_ms


@identity_cache
def cut(state: LessonState) -> Allotments | None:
    """The allotments in force; None when no phase is running.

    The running phase is cut at the border, from the written budgets and the time then left, and by what
    happened since: time given or taken by hand, a cut that the teacher asked for, and a pause or a gap that
    was taken off, which the later phases pay as far as they can. These are cut for the moment at which the
    running phase is over. While the lesson is paused that is the moment it would have been at the pause.
    """
    visit = state.visit
    if visit is None:
        return None
    border = _at_border(state, visit)
    if not (state.stopped or state.added or visit.cut_anew):
        return border
    running = _running(state, visit, border)
    return _allotments(state, running.allotted_s, running.over_ms)


def cut_from(state: LessonState, now_ms: int) -> Allotments | None:
    """The same from now on: a phase that is over, or a pause that lasts, takes from the later ones by now.

    A phase over its time counts in steps of five seconds, up from the second that is shown: between two of
    them all that follows stands still.
    """
    in_force = cut(state)
    if in_force is None:
        return None
    over_ms = in_force.over_ms
    if state.is_paused and state.visit is not None:
        over_ms = _running(state, state.visit, _at_border(state, state.visit), now_ms).over_ms
    if now_ms > over_ms:
        over_s = (now_ms - over_ms) // 1000
        over_ms += -(-over_s // OVER_STEP_S) * OVER_STEP_S * 1000
    if over_ms == in_force.over_ms:
        return in_force
    return _allotments(state, in_force.allotted_s, over_ms)


def allotted_at_start(outline: Outline) -> tuple[int, ...]:
    """What each phase is allotted if the lesson begins on time, in seconds; less where the day is short."""
    current = cut(LessonState(outline=outline, visits=(Visit(0, 0),)))
    if current is None:
        return ()
    allotted = {current.index: current.allotted_s} | dict(current.later)
    return tuple(allotted.get(index, phase.budget_s) for index, phase in enumerate(outline.phases))


def later_taken(state: LessonState, current: Allotments, more_s: int = 0) -> tuple[list[int], int]:
    """What is taken from each later phase, and the deficit, if the running one takes so many seconds more."""
    items = later_items(state, [j for j, _seconds in current.later], current.over_ms)
    deficit = deficit_s(items, current.end_ms - current.over_ms) + more_s
    return trim(items, deficit if state.is_cut else 0), deficit


class _Running(NamedTuple):
    """What the running phase is allotted, and when that is over, in lesson time."""

    allotted_s: int
    over_ms: int


def _allotments(state: LessonState, allotted_s: int, over_ms: int) -> Allotments:
    """The allotments where the running phase is over at a time."""
    index = state.index or 0
    later, end_ms = _later(state, index), end_of_span_ms(state, index)
    items = later_items(state, later, over_ms)
    deficit = deficit_s(items, end_ms - over_ms)
    trimmed = trim(items, deficit if state.is_cut else 0)
    allotments = Allotments(index, allotted_s, over_ms, (), 0, end_ms, max(0, deficit - sum(trimmed)))
    return _with_later(allotments, later, items, trimmed)


def _with_later(own: Allotments, later: list[int], items: list[TrimItem], trimmed: list[int]) -> Allotments:
    shares = (item.budget_s - given for item, given in zip(items, trimmed, strict=True))
    floor_s = sum(min(item.floor_s, item.budget_s) for item in items)
    return replace(own, later=tuple(zip(later, shares, strict=True)), later_floor_s=floor_s)


def _later(state: LessonState, index: int) -> list[int]:
    return [j for j in state.plan.span(index) if j > index]


def _running(state: LessonState, visit: Visit, border: Allotments, now_ms: int | None = None) -> _Running:
    """The running phase, through all that changed its time since it was entered; a pause lasts until now."""
    index, running = visit.index, _Running(border.allotted_s, border.over_ms)
    at_ms, by_hand = visit.begin_ms, False
    for t_ms, change in _changes(state, visit):
        running = running._replace(over_ms=running.over_ms + _stopped_ms(state, at_ms, t_ms))
        match change:
            case int():
                spent_ms = state.spent_ms(index, t_ms)
                allotted = with_added(running.allotted_s, change, spent_ms // 1000)
                # A press that could take nothing cuts nothing: it must not put the move-by off.
                if allotted != running.allotted_s:
                    running, by_hand = _Running(allotted, _over_ms(allotted, spent_ms, t_ms)), True
            case "asked":
                running = _cut_anew(state, running, t_ms, by_hand=by_hand)
            case "went on" if not by_hand:
                running = _after_stop(state, running, t_ms)
        at_ms = t_ms
    if now_ms is None:
        return running
    return running._replace(over_ms=running.over_ms + _stopped_ms(state, at_ms, now_ms))


def _changes(state: LessonState, visit: Visit) -> list[tuple[int, int | Literal["asked", "went on"]]]:
    """What changed since a phase was entered, in order: seconds by hand, cuts asked for, ends of stops."""
    changes: list[tuple[int, int | Literal["asked", "went on"]]] = [
        (stop.end_ms, "went on")
        for stop in state.stopped
        if stop.end_ms is not None and stop.end_ms > visit.begin_ms
    ]
    changes += [(t_ms, "asked") for t_ms in visit.cut_anew]
    changes += [
        (change.t_ms, change.seconds)
        for change in state.added
        if change.phase == visit.index and change.t_ms >= visit.begin_ms
    ]
    return sorted(changes, key=lambda change: change[0])


def _stopped_ms(state: LessonState, begin_ms: int, end_ms: int) -> int:
    return end_ms - begin_ms - state.clocked_ms(begin_ms, end_ms)


def _over_ms(allotted_s: int, spent_ms: int, at_ms: int) -> int:
    """When a phase is over that goes on now, in lesson time; now, if it is over already."""
    return at_ms + max(0, allotted_s * 1000 - spent_ms)


def _at_border(state: LessonState, visit: Visit) -> Allotments:
    """By the cut that is made when a phase is entered, of itself and all later ones."""
    index, begin_ms, plan = visit.index, visit.begin_ms, state.plan
    spent_ms, added = state.spent_ms(index, begin_ms), state.added_s(index, begin_ms)
    spent = spent_ms // 1000
    running = item_of(plan.phases[index], spent, added)
    later, end_ms = _later(state, index), end_of_span_ms(state, index)
    items = later_items(state, later, begin_ms)
    deficit = deficit_s([running, *items], end_ms - begin_ms)
    given, *trimmed = trim([running, *items], deficit if state.is_cut else 0)
    written = plan.phases[index].budget_s + added
    # A phase that comes back after an overrun is still over by as much.
    allotted = spent + running.budget_s - given if spent < written else written
    over_ms = _over_ms(allotted, spent_ms, begin_ms)
    allotments = Allotments(index, allotted, over_ms, (), 0, end_ms, max(0, deficit - given - sum(trimmed)))
    return _with_later(allotments, later, items, trimmed)


def _given(state: LessonState, index: int, running: TrimItem, at_ms: int) -> int:
    """What the running phase gives in a cut of itself and all later ones."""
    if not state.is_cut:
        return 0
    items = [running, *later_items(state, _later(state, index), at_ms)]
    return trim(items, deficit_s(items, end_of_span_ms(state, index) - at_ms))[0]


def _cut_anew(state: LessonState, running: _Running, at_ms: int, *, by_hand: bool) -> _Running:
    """A cut that was asked for in mid-phase; time given by hand stays, and a phase that is over gets none."""
    index = state.visit.index if state.visit is not None else 0
    spent_ms = state.spent_ms(index, at_ms)
    spent_s = spent_ms // 1000
    if by_hand or spent_s >= running.allotted_s:
        return running
    item = item_of(state.plan.phases[index], spent_s, state.added_s(index, at_ms))
    allotted = spent_s + item.budget_s - _given(state, index, item, at_ms)
    return _Running(allotted, _over_ms(allotted, spent_ms, at_ms))


def _after_stop(state: LessonState, running: _Running, at_ms: int) -> _Running:
    """The phase clock goes on: the later phases pay for the time it stood, then the running one to its floor.

    So what the Wall shows as left stays true as long as anybody else can pay.
    """
    if not state.is_cut or state.visit is None:
        return running
    index = state.visit.index
    items = later_items(state, _later(state, index), at_ms)
    missing_s = deficit_s(items, end_of_span_ms(state, index) - running.over_ms) - sum(
        item.slack_s for item in items
    )
    phase = state.plan.phases[index]
    floor_s = min(phase.floor_s, phase.budget_s + state.added_s(index, at_ms))
    kept_s = max(floor_s, -(-state.spent_ms(index, at_ms) // 1000))
    given_s = max(0, min(missing_s, running.allotted_s - kept_s))
    return _Running(running.allotted_s - given_s, running.over_ms - given_s * 1000)


def deficit_s(items: list[TrimItem], time_ms: int) -> int:
    """By how many whole seconds the items exceed the time; under a second is no deficit."""
    return sum(item.budget_s for item in items) - -(-time_ms // 1000)


def item_of(phase: Phase, spent_s: int, added_s: int) -> TrimItem:
    """What a phase still has to do after it has had some time."""
    return TrimItem(
        budget_s=max(0, phase.budget_s + added_s - spent_s),
        floor_s=max(0, min(phase.floor_s, phase.budget_s + added_s) - spent_s),
        tier=phase.cut_tier,
    )


def uncut_s(state: LessonState, index: int, now_ms: int) -> int:
    """What a phase would have without any cut; for a later one, what is left of it."""
    if index == state.index:
        return state.plan.phases[index].budget_s + state.added_s(index)
    return later_items(state, [index], now_ms)[0].budget_s


def later_items(state: LessonState, indices: Sequence[int], now_ms: int) -> list[TrimItem]:
    """The trim item of each later phase; zero where it was finished before or has left the lesson."""
    phases, left = state.plan.phases, state.left
    # Most have had no time yet and were given none: nothing needs to be asked about them.
    begun = {visit.index for visit in state.visits} | {index for _t, index, _s in state.added}
    items = []
    for index in indices:
        phase = phases[index]
        if index in left or (index in begun and state.ending_of(index) in _FINISHED):
            items.append(TrimItem(0, 0, phase.cut_tier))
        elif index in begun:
            items.append(item_of(phase, state.spent_ms(index, now_ms) // 1000, state.added_s(index)))
        else:
            items.append(item_of(phase, 0, 0))
    return items
