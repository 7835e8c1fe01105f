"""The state the Desk shows: Steady, Closing, Borrowing, Move on, each held long enough to be read."""

from dataclasses import dataclass
from typing import Literal

from pacer.pace.cut import Allotments
from pacer.pace.move_by import MoveBy
from pacer.run.state import LessonState

Stage = Literal["ready", "steady", "closing", "borrowing", "move_on", "paused", "ended"]
Onsets = tuple[int, int, int]
"""When closing, borrowing and move on are reached, in lesson milliseconds, none after one that follows it."""
LEVELS: tuple[Stage, ...] = ("steady", "closing", "borrowing", "move_on")

# Leads and holds are rules of ours, chosen to be read in half a second; no source.
HOLD_MS = 5_000
HARD_LEAD_MS = 20_000
CLOSING_LEAST_S, CLOSING_MOST_S, CLOSING_DIVISOR = 10, 60, 5


@dataclass(frozen=True)
class Shown:
    """The stage to show and since when, in lesson milliseconds."""

    stage: Stage
    since_ms: int


def closing_lead_s(allotted_s: int) -> int:
    """How long before its end a phase is closing: a fifth of it, within 10 and 60 s."""
    return min(CLOSING_MOST_S, max(CLOSING_LEAST_S, allotted_s // CLOSING_DIVISOR))


def shown_stage(state: LessonState, cut: Allotments | None, move_by: MoveBy | None, now_ms: int) -> Shown:
    """The stage at a time. A pure function: the holds follow from when each level was reached."""
    if state.outline is None:
        return Shown("ready", 0)
    if state.ended_ms is not None or cut is None or move_by is None:
        return Shown("ended", state.ended_ms or 0)
    if state.is_paused:
        return Shown("paused", state.stopped[-1].begin_ms)
    onsets = _onsets(state, cut, move_by, now_ms)
    return held_stage(onsets, stages_since_ms(state), now_ms, move_by.at_ms)


def stages_since_ms(state: LessonState) -> int:
    """When the phase was entered or its allotment last changed: a hold starts anew there."""
    visit = state.visit
    begin = 0 if visit is None else visit.begin_ms
    return max([begin, *(change.t_ms for change in state.added if change.phase == state.index)])


def _onsets(state: LessonState, cut: Allotments, move_by: MoveBy, now_ms: int) -> Onsets:
    """When closing, borrowing and move on are reached, the earlier never after the later."""
    left_ms = cut.allotted_s * 1000 - state.spent_ms(cut.index, now_ms)
    allotment_end_ms = now_ms + left_ms
    # A cap or a late lesson can end a phase before its budget does; that too is announced by Closing.
    latest = min(allotment_end_ms, move_by.at_ms, move_by.fair_ms, move_by.hard_ms)
    closing = latest - closing_lead_s(cut.allotted_s) * 1000
    # However late the lesson is, only a cap ends a phase while the Wall shows more than the lead.
    move = max(min(move_by.fair_ms, move_by.hard_ms - HARD_LEAD_MS), move_by.over_ms - HARD_LEAD_MS)
    if move_by.cap_ms is not None:
        move = min(move, move_by.cap_ms)
    return min(closing, allotment_end_ms, move), min(allotment_end_ms, move), move


def held_stage(onsets: Onsets, begin_ms: int, now_ms: int, latest_ms: int | None = None) -> Shown:
    """Walk up from the stage at the beginning; each change waits until the stage before it was held.

    Where ``latest_ms``, the time to move on by, would pass while another stage is held, move on is shown at
    once: it is never past beside a stage that leaves time.
    """
    level, since = _level_at(onsets, begin_ms, latest_ms), begin_ms
    while level < len(onsets):
        at = max(onsets[level], since + HOLD_MS)
        if at > now_ms:
            break
        level, since = _level_at(onsets, at, latest_ms), at
    return Shown(LEVELS[level], since)


def _level_at(onsets: Onsets, t_ms: int, latest_ms: int | None) -> int:
    if latest_ms is not None and latest_ms < t_ms + HOLD_MS:
        return len(onsets)
    return sum(onset <= t_ms for onset in onsets)
