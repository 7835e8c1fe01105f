"""What the Desk shows: a far page for half a second's glance and a near page for arm's length."""

from dataclasses import dataclass, field, replace

from pacer.frames.desk_groups import (
    leg_price_words,
    leg_words,
    next_words,
    offer_words,
    share_words,
    until_words,
    visit_json,
)
from pacer.frames.desk_groups import near_lines as groups_near_lines
from pacer.frames.desk_near import TALK_STEP_S, counts, near_lines, stepped, wall_lines
from pacer.frames.outlook import Outlook, outlook, price_words, recut_words
from pacer.frames.wall import SETTLE_SHOWN_MS, next_title
from pacer.frames.words import wording
from pacer.pace.move_by import MoveBy, Reason
from pacer.pace.reading import Reading
from pacer.pace.second_half import SecondHalf, planned_visit_s
from pacer.pace.stages import LEVELS, Stage
from pacer.pace.talk import TALK_LIMIT_S
from pacer.plan.durations import format_duration
from pacer.plan.outline import Outline
from pacer.run.state import Cues, LessonState
from pacer.text import _

TAPE_STEP_S = 5
GAP_NOTICE_MS = 60_000
EXAMPLE_NOTICE_MS = 20_000


@dataclass(frozen=True)
class TapeRow:
    """One phase on the tape: planned over actual, in seconds.

    The running phase's time moves in steps of five seconds: between them the Desk stands still.
    """

    title: str
    budget_s: int
    actual_s: int
    running: bool = False
    visited: bool = False


@dataclass(frozen=True)
class DeskFrame:
    """All that the Desk shows of a lesson.

    ``level`` is the fill of the state area, 0 to 3. ``left_s`` is negative when over. ``move_by``
    is the classroom clock's ``HH:MM:SS``; the words on screen round it down to the minute begun. ``ahead``
    is what the words come from, and no reason to paint again. ``offers`` are the commands that mouse or touch
    may press now, "close" for what Enter does once the lesson is over.
    """

    stage: Stage
    word: str
    level: int
    phase_id: str = ""
    phase_title: str = ""
    number: str = ""
    left_s: int = 0
    move_by: str = ""
    move_by_reason: Reason | None = None
    headline: str = ""
    under: str = ""
    next_id: str = ""
    next_title: str = ""
    clock: str = ""
    outlook: str = ""
    tape: tuple[TapeRow, ...] = ()
    near: tuple[str, ...] = ()
    notes: str = ""
    notice: str = ""
    cues: int = 0
    offers: tuple[str, ...] = ()
    ahead: Outlook | None = field(default=None, compare=False)
    visit: dict[str, object] | None = field(default=None, compare=False)


def desk_frame(
    reading: Reading,
    talk_limit_s: int = TALK_LIMIT_S,
    ahead: Outlook | None = None,
    room_lines: tuple[str, ...] = (),
    cues: Cues | None = None,
) -> DeskFrame:
    """The Desk of a lesson at the instant that was read.

    ``ahead`` is an outlook that still holds; where none is given it is the reading's. ``room_lines`` say what
    is the matter with the room: the battery, a laptop that may fall asleep. ``cues`` are those given by now,
    where that instant itself brought one.
    """
    state, current, by, stage = reading.state, reading.allotments, reading.move_by, reading.shown.stage
    cues = state.cues if cues is None else cues
    if state.outline is None:
        return DeskFrame("ready", wording.stage_word("ready"), 0)
    if reading.half is not None and stage != "ended":
        return _groups_desk(reading, reading.half, room_lines, cues)
    if stage == "ended" or current is None or by is None:
        return _ended(reading)
    phase, after = state.plan.phases[current.index], state.next_index
    left_s = wording.whole_seconds(reading.left_ms)
    time = DeskFrame(
        stage=stage,
        word=wording.stage_word(stage),
        level=LEVELS.index(stage) if stage in LEVELS else 0,
        phase_id=phase.id,
        phase_title=phase.title,
        number=wording.signed(left_s),
        left_s=left_s,
        next_id="" if after is None else state.plan.phases[after].id,
        next_title=next_title(state),
        clock=_clock(state, reading.now_ms),
        notes=phase.notes,
        cues=len(cues),
        offers=_offers(reading),
    )
    if state.mode == "baseline":
        return _baseline(time, reading, current.index, room_lines)
    ahead = ahead or outlook(reading)
    return replace(
        time,
        move_by=wording.clock_seconds(state.utc_ms(by.at_ms), state.utc_offset_s),
        move_by_reason=by.reason,
        headline=_headline(state, by, reading.now_ms),
        under="" if ahead is None else price_words(state, ahead.price),
        outlook=_outlook(reading, current.index),
        tape=tape(reading),
        near=(*room_lines, *near_lines(reading, current.index, ahead)),
        notice=_notice(reading, talk_limit_s, ahead, cues),
        ahead=ahead,
    )


def _groups_desk(reading: Reading, half: SecondHalf, room_lines: tuple[str, ...], cues: Cues) -> DeskFrame:
    """The Desk of the second half, in the same places."""
    state, stage = reading.state, reading.shown.stage
    left_s = wording.whole_seconds(half.left_ms)
    calm = state.mode == "baseline"
    if calm and stage != "paused":
        stage = "steady"
    return DeskFrame(
        stage=stage,
        word=wording.stage_word(stage),
        level=LEVELS.index(stage) if stage in LEVELS else 0,
        phase_title=leg_words(state, half),
        number=wording.signed(left_s),
        left_s=left_s,
        move_by=wording.clock_seconds(state.utc_ms(half.end_ms), state.utc_offset_s),
        headline="" if calm else until_words(state, half),
        under="" if calm else leg_price_words(half),
        next_title=next_words(state),
        clock=_clock(state, reading.now_ms),
        outlook=share_words(state, half),
        tape=visit_rows(reading, half),
        near=(*room_lines, *wall_lines(state), *groups_near_lines(reading, half)),
        notice=_happening(reading) or ("" if calm else offer_words(state, half)) or _clock_notice(reading),
        cues=len(cues),
        offers=("next", "go-on" if state.is_paused else "pause", "missed", "undo", "end"),
        visit=visit_json(reading),
    )


def visit_rows(reading: Reading, half: SecondHalf) -> tuple[TapeRow, ...]:
    """Planned over actual for each visit of today, in their order."""
    state, planned_s = reading.state, planned_visit_s(reading.state)
    order = [g for g in state.plan.visit_order if g not in state.groups_out or g in state.visited_groups]
    rows = []
    for group in order:
        running = half.leg.kind == "visit" and half.leg.group == group
        had_s = state.visit_had_ms(group, reading.now_ms) // 1000
        rows.append(
            TapeRow(
                title=state.plan.visitors[group].name,
                budget_s=planned_s,
                actual_s=stepped(had_s, TAPE_STEP_S if running else 1),
                running=running,
                visited=group in state.visited_groups,
            )
        )
    return tuple(rows)


def _offers(reading: Reading) -> tuple[str, ...]:
    """What a teacher without a keyboard needs while a lesson runs, in reading order."""
    state = reading.state
    talk = (
        "eyes-back" if reading.partners_left_ms is not None else "settled" if _settles(reading) else "burst"
    )
    return "next", "go-on" if state.is_paused else "pause", talk, "undo", "end"


def _settles(reading: Reading) -> bool:
    """Whether partner talk has just ended, and eyes are still on their way back."""
    since_ms = reading.state.settling_ms
    return since_ms is not None and reading.now_ms - since_ms < SETTLE_SHOWN_MS


def _baseline(time: DeskFrame, reading: Reading, index: int, room_lines: tuple[str, ...]) -> DeskFrame:
    """Time left, phase, next and the clock; nothing that warns, advises or foretells.

    The tape shows the plan alone: what a phase ran over is a warning, too.
    """
    state = reading.state
    stage: Stage = "paused" if state.is_paused else "steady"
    return replace(
        time,
        stage=stage,
        word=wording.stage_word(stage),
        level=0,
        tape=tuple(TapeRow(planned.title, planned.budget_s, 0) for planned in state.plan.phases),
        near=(_("Baseline: no warnings"), *room_lines, *wall_lines(state), *counts(state, index)),
        notice=_happening(reading) or _clock_notice(reading),
    )


def ready_desk(outline: Outline, clock: str) -> DeskFrame:
    """The Desk before the start."""
    rows = tuple(TapeRow(phase.title, phase.budget_s, 0) for phase in outline.phases)
    first = outline.phases[0]
    return DeskFrame(
        "ready", wording.stage_word("ready"), 0, first.id, outline.title,
        number=format_duration(outline.mini_lesson_s), headline=_("Press Space to start"),
        next_id=first.id, next_title=first.title, clock=clock, tape=rows, notes=first.notes,
        offers=("start",),
    )  # fmt: skip


def tape(reading: Reading) -> tuple[TapeRow, ...]:
    """Planned over actual for each phase of the outline, in order."""
    state, spent_ms = reading.state, reading.spent_ms
    return tuple(
        TapeRow(
            title=phase.title,
            budget_s=phase.budget_s,
            actual_s=stepped(spent_ms[index] // 1000, TAPE_STEP_S if index == state.index else 1),
            running=index == state.index,
            visited=state.visited(index),
        )
        for index, phase in enumerate(state.plan.phases)
    )


def _clock(state: LessonState, t_ms: int) -> str:
    return wording.clock_words(state.utc_ms(t_ms), state.utc_offset_s)


def _ended(reading: Reading) -> DeskFrame:
    state = reading.state
    end_ms = state.ended_ms or 0
    mini_only = state.plan.mini_count == len(state.plan.phases)
    if state.bell_offset_s is not None:
        headline, under = _("The bell rang"), _bell_words(state.bell_offset_s)
    elif mini_only:
        headline = _("Groups can start") if state.plan.block.groups else _("The lesson is over")
        under = _late_words(round((end_ms + state.late_ms) / 1000) - state.plan.span_end_s(0))
    else:
        headline, under = _("The lesson is over"), ""
    return DeskFrame(
        "ended", wording.stage_word("ended"), 0,
        phase_title=state.plan.title,
        number=_clock(state, end_ms),
        headline=headline,
        under=under,
        clock=_clock(state, reading.now_ms),
        tape=tape(reading),
        cues=len(state.cues),
        offers=("undo", "close"),
    )  # fmt: skip


def _late_words(late_s: int) -> str:
    """How a mini lesson ended against its plan."""
    if late_s == 0:
        return _("on time to the second")
    words = _("{time} after the planned end") if late_s > 0 else _("{time} before the planned end")
    return words.format(time=format_duration(abs(late_s)))


def _bell_words(offset_s: int) -> str:
    """How far from plan the bell rang; a large difference is most likely a slip."""
    if abs(offset_s) < 60:
        return _("on time")
    words = _("{n} min after its time") if offset_s > 0 else _("{n} min before its time")
    return words.format(n=abs(offset_s) // 60)


def _headline(state: LessonState, by: MoveBy, now_ms: int) -> str:
    """When to move on; or, once a cap is past, that it is."""
    if by.reason == "cap" and now_ms >= by.at_ms and state.phase is not None:
        cap = format_duration(by.cap_s)
        return _("{phase} is past its {cap} cap", phase=state.phase.title, cap=cap)
    return _("move by {time}, {length}", time=_clock(state, by.at_ms), length=_left_words(by, now_ms))


def _left_words(by: MoveBy, now_ms: int) -> str:
    """The time until then as a length."""
    left = wording.whole_seconds(by.at_ms - now_ms)
    if left >= 60:
        return _("in {minutes} min", minutes=left // 60)
    if left > 0:
        return _("in {seconds} s", seconds=left)
    return _("{time} ago", time=format_duration(-left)) if left < 0 else _("now")


def _outlook(reading: Reading, index: int) -> str:
    """When groups (or the end) would start if the rest takes what it is allotted."""
    state = reading.state
    at = _clock(state, reading.ends_ms)
    if index < state.plan.mini_count and state.plan.block.groups:
        return _("groups at {time}", time=at)
    return _("ends at {time}", time=at)


def _notice(reading: Reading, talk_limit_s: int, ahead: Outlook | None, cues: Cues) -> str:
    """The one line that asks for attention beside the stage; it stays while its reason does."""
    return (
        _happening(reading)
        or recut_words(reading)
        or _example_notice(reading.state, reading.now_ms, ahead)
        or _talk_notice(reading, talk_limit_s, ahead, cues)
        or _clock_notice(reading)
    )


def _clock_notice(reading: Reading) -> str:
    """Why other times of day are shown; nobody need do anything, so it gives way to all else."""
    since_ms = reading.now_ms - GAP_NOTICE_MS
    if any(gap.cause == "clock_set" and gap.t_ms > since_ms for gap in reading.state.gaps):
        return _("This computer's clock was set: the times of day moved with it, and nothing else.")
    return ""


def _happening(reading: Reading) -> str:
    """What goes on now and which key ends it, whatever the pace is; empty when nothing does."""
    state, now_ms = reading.state, reading.now_ms
    last_gap = next((gap for gap in reversed(state.gaps) if gap.cause != "clock_set"), None)
    if last_gap is not None and now_ms - last_gap.t_ms < GAP_NOTICE_MS and last_gap.gap_ms:
        away = format_duration(last_gap.gap_ms // 1000)
        return _("Away for {time}; it counts. Page Up takes it off.", time=away)
    if state.is_blank:
        return (
            _("The Wall is blank and the phase stands. X or Space: back")
            if state.is_paused
            else _("The Wall is blank. X: back")
        )
    if _settles(reading):
        return _("Partner talk is over. E again when all eyes are back")
    left_ms = reading.partners_left_ms
    if left_ms is not None:
        if left_ms <= 0:
            return _("Partners are done. E: eyes back")
        return _("Partners: {time}. E: eyes back", time=wording.countdown(left_ms))
    bell_ms = state.bell_ms
    if now_ms >= bell_ms:
        return _("The bell was due at {time}. Home: bell now.", time=_clock(state, bell_ms))
    return ""


def _example_notice(state: LessonState, now_ms: int, ahead: Outlook | None) -> str:
    """One example more than planned: what it costs, not a scold."""
    index = state.index
    given = [mark.t_ms for mark in state.marks if mark.kind == "example" and mark.index == index]
    if index is None or ahead is None or not 0 < state.plan.phases[index].examples < len(given):
        return ""
    if now_ms - given[-1] >= EXAMPLE_NOTICE_MS:
        return ""
    words = _("Example {given} of {planned}. {price}")
    planned = state.plan.phases[index].examples
    return words.format(given=len(given), planned=planned, price=price_words(state, ahead.price))


def _talk_notice(reading: Reading, talk_limit_s: int, ahead: Outlook | None, cues: Cues) -> str:
    """A long stretch of talk, once it was cued, with the way out of it."""
    stretch = reading.talk_stretch
    cued = stretch is not None and any(
        given.cue == "talk" and given.t_ms >= stretch.begin_ms for given in cues
    )
    if stretch is None or not cued or stretch.length_ms < talk_limit_s * 1000:
        return ""
    talked = format_duration(stepped(stretch.length_ms // 1000, TALK_STEP_S))
    words = _("{time} of your talk: P for partners", time=talked)
    return words if ahead is None else f"{words}. {price_words(reading.state, ahead.price)}"
