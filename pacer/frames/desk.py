"""What the Desk shows: a far page for half a second's glance and a near page for arm's length."""

from dataclasses import dataclass, field, replace
from typing import TypedDict

from pacer.commands import LessonPart
from pacer.frames import desk_groups as groups
from pacer.frames.desk_near import counts, near_lines, wall_lines
from pacer.frames.desk_notice import clock_notice, happening_words, notice_words, quiet_words, settles
from pacer.frames.desk_tape import TapeRow, half_tape, planned_tape, tape
from pacer.frames.outlook import NAMED_AT_MOST, Outlook, outlook, payer_words, price_words
from pacer.frames.wall import next_title
from pacer.frames.words import wording
from pacer.frames.words.lesson.over import over_words
from pacer.pace.move_by import MoveBy, MoveByReason
from pacer.pace.reading import Reading
from pacer.pace.second_half import SecondHalf
from pacer.pace.stages import LEVELS, Stage
from pacer.pace.talk import TALK_LIMIT_S
from pacer.plan.durations import format_duration
from pacer.plan.outline import Outline
from pacer.run.state import LessonState
from pacer.run.timeline import Cues
from pacer.text import _

SECONDS_BELOW_S = 120


@dataclass(frozen=True)
class DeskFrame:
    """All that the Desk shows of a lesson.

    ``level`` is the fill of the state area, 0 to 3. ``left_s`` is negative when over. ``move_by``
    is the classroom clock's ``HH:MM:SS``; the words on screen round it down to the minute begun.
    ``headline_short`` stands for ``headline`` where that is too long for three metres; ``payers`` are one
    or two who pay for a minute more, each with the amount first, for ``under``, which is a sentence; where
    more pay the second is a sum, ``payers_named`` is false, and only ``under`` names them.
    ``ahead`` is what the words come from, and no reason to paint again. ``offers`` are the commands that
    mouse or touch may press now, "close" for what Enter does once the lesson is over. ``part`` says which
    keys are named, ``checks`` are the lines of the table list and whether each is done. ``beat``
    is 0 or 1 by turns, another one each second while a lesson runs: a sign of life.
    """

    stage: Stage
    word: str
    level: int
    phase_id: str = ""
    phase_title: str = ""
    number: str = ""
    left_s: int = 0
    move_by: str = ""
    move_by_reason: MoveByReason | None = None
    headline: str = ""
    headline_short: str = ""
    under: str = ""
    payers: tuple[str, ...] = ()
    payers_named: bool = True
    next_id: str = ""
    next_title: str = ""
    clock: str = ""
    outlook: str = ""
    tape: tuple[TapeRow, ...] = ()
    near: tuple[str, ...] = ()
    checks: tuple[tuple[str, bool], ...] = ()
    notes: str = ""
    notice: str = ""
    part: LessonPart = "mini"
    cues: int = 0
    offers: tuple[str, ...] = ()
    beat: int | None = None
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

    Of ``ahead``, an outlook of some seconds ago, what is slow to change is kept. ``room_lines`` say what
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
    time = DeskFrame(
        **_time(reading, stage, reading.left_ms, cues),
        phase_id=phase.id,
        phase_title=phase.title,
        next_id="" if after is None else state.plan.phases[after].id,
        next_title=next_title(state),
        notes=phase.notes,
        offers=_offers(reading),
    )
    if state.mode == "baseline":
        return _baseline(time, reading, current.index, room_lines)
    ahead = outlook(reading, ahead)
    return replace(
        time,
        move_by=wording.clock_seconds(state.utc_ms(by.at_ms), state.utc_offset_s),
        move_by_reason=by.reason,
        headline=_headline(state, by, reading.now_ms),
        headline_short=_short_headline(state, by, reading.now_ms),
        under="" if ahead is None else price_words(state, ahead.price),
        payers=() if ahead is None else payer_words(state, ahead.price),
        payers_named=ahead is None or len(ahead.price.payments) <= NAMED_AT_MOST,
        outlook=_outlook(reading, current.index),
        tape=tape(reading),
        near=(*room_lines, *near_lines(reading, current.index, ahead)),
        notice=notice_words(reading, talk_limit_s, ahead, cues),
        ahead=ahead,
    )


class _Time(TypedDict):
    stage: Stage
    word: str
    level: int
    number: str
    left_s: int
    clock: str
    cues: int
    beat: int


def _time(reading: Reading, stage: Stage, left_ms: int, cues: Cues) -> _Time:
    """The stage, what is left and the clock: the same in both halves."""
    left_s = wording.whole_seconds(left_ms)
    return _Time(
        stage=stage,
        word=wording.stage_word(stage),
        level=LEVELS.index(stage) if stage in LEVELS else 0,
        number=wording.signed(left_s),
        left_s=left_s,
        clock=_clock(reading.state, reading.now_ms),
        cues=len(cues),
        beat=reading.now_ms // 1000 % 2,
    )


def _groups_desk(reading: Reading, half: SecondHalf, room_lines: tuple[str, ...], cues: Cues) -> DeskFrame:
    """The Desk of the second half, in the same places."""
    state, stage = reading.state, reading.shown.stage
    calm = state.mode == "baseline"
    if calm and stage != "paused":
        stage = "steady"
    time = DeskFrame(
        **_time(reading, stage, half.left_ms, cues),
        phase_title=groups.leg_words(state, half),
        next_title=groups.next_words(state),
        checks=groups.checks(state),
        part="half",
        offers=groups.offers(reading, half),
        visit=groups.visit_json(reading),
    )
    rows, happening = half_tape(reading), happening_words(reading)
    near = (*room_lines, *wall_lines(state), *groups.near_lines(reading, half))
    later = quiet_words(reading) or groups.news(reading) or clock_notice(reading)
    if calm:
        return replace(
            time,
            tape=tuple(TapeRow(row.title, row.budget_s, 0) for row in rows),
            near=(_("Baseline: no warnings"), *near),
            notice=happening or later,
        )
    return replace(
        time,
        move_by=wording.clock_seconds(state.utc_ms(half.end_ms), state.utc_offset_s),
        headline=groups.until_words(state, half),
        under=groups.leg_price_words(state, half),
        payers=groups.leg_payer_words(state, half),
        payers_named=len(half.price) <= NAMED_AT_MOST,
        outlook=groups.share_words(state, half),
        tape=rows,
        near=near,
        notice=happening or groups.offer_words(state, half) or later,
    )


def _offers(reading: Reading) -> tuple[str, ...]:
    """What a teacher without a keyboard needs while a lesson runs, in reading order."""
    state = reading.state
    talk = "eyes-back" if reading.partners_left_ms is not None else "settled" if settles(reading) else "burst"
    return "next", "add", "go-on" if state.is_paused else "pause", talk, "undo", "end"


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
        notice=happening_words(reading) or quiet_words(reading) or clock_notice(reading),
    )


def ready_desk(outline: Outline, clock: str) -> DeskFrame:
    """The Desk before the start."""
    rows = planned_tape(outline)
    allotted = [row.budget_s if row.now_s is None else row.now_s for row in rows[: outline.mini_count]]
    first = outline.phases[0]
    return DeskFrame(
        "ready", wording.stage_word("ready"), 0, first.id, outline.title,
        number=format_duration(max(outline.mini_lesson_s, sum(allotted))), headline=_("Press Space to start"),
        headline_short=_("Space starts"),
        next_id=first.id, next_title=first.title, clock=clock, tape=rows, notes=first.notes,
        offers=("start",),
    )  # fmt: skip


def _clock(state: LessonState, t_ms: int) -> str:
    return wording.clock_words(state.utc_ms(t_ms), state.utc_offset_s)


def _ended(reading: Reading) -> DeskFrame:
    state = reading.state
    end_ms = state.ended_ms or 0
    mini_only = state.plan.mini_count == len(state.plan.phases)
    if state.bell_offset_s is not None:
        headline = _short_bell_words(state.bell_offset_s) if state.legs else _("The bell rang")
        under = _bell_words(state.bell_offset_s)
    elif mini_only and not state.legs:
        headline = _("Groups can start") if state.plan.block.groups else _("The lesson is over")
        under = _late_words(round((end_ms + state.late_ms) / 1000) - state.plan.span_end_s(0))
    else:
        headline, under = _("The lesson is over"), ""
    over = DeskFrame(
        "ended", wording.stage_word("ended"), 0,
        phase_title=state.plan.title,
        number=_clock(state, end_ms),
        headline=headline,
        under=under,
        clock=_clock(state, reading.now_ms),
        tape=tape(reading),
        cues=len(state.cues),
        notice=over_words(state, end_ms),
        part="over",
        offers=("undo", "close"),
    )  # fmt: skip
    if not state.legs:
        return over
    return replace(
        over,
        under=groups.had_words(state, end_ms),
        tape=half_tape(reading),
        near=groups.had_lines(state, end_ms),
        checks=groups.checks(state),
    )


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


def _short_bell_words(offset_s: int) -> str:
    """The same in one line of the far page, where the groups need the next."""
    if abs(offset_s) < 60:
        return _("Bell on time")
    words = _("Bell {n} min late") if offset_s > 0 else _("Bell {n} min early")
    return words.format(n=abs(offset_s) // 60)


def _headline(state: LessonState, by: MoveBy, now_ms: int) -> str:
    """When to move on, as a clock time and a length that add up; once that has passed, what to do now."""
    if wording.whole_seconds(by.at_ms - now_ms) > 0:
        length = _left_words(state, by, now_ms)
        return _("move by {time}, {length}", time=_clock(state, by.at_ms), length=length)
    if state.is_paused:
        return _("go on, or move on")
    if by.reason == "cap":
        return _("move on now, past the {cap} cap", cap=format_duration(by.cap_s))
    return _("move on now")


def _short_headline(state: LessonState, by: MoveBy, now_ms: int) -> str:
    """The same in as few words as three metres have room for."""
    if wording.whole_seconds(by.at_ms - now_ms) > 0:
        return _("move by {time}", time=_clock(state, by.at_ms))
    return _("go on, or next") if state.is_paused else _("move on now")


def _left_words(state: LessonState, by: MoveBy, now_ms: int) -> str:
    """The time until then as a length: added to the clock that is shown, it is the time that is shown.

    Clock times are minutes that have begun, so lengths of minutes are counted between these; the last two
    minutes are told in seconds.
    """
    left_s = wording.whole_seconds(by.at_ms - now_ms)
    if left_s < SECONDS_BELOW_S:
        return _("in {seconds} s", seconds=left_s)
    now_min, at_min = ((state.utc_ms(t_ms) // 1000 + state.utc_offset_s) // 60 for t_ms in (now_ms, by.at_ms))
    return _("in {minutes} min", minutes=at_min - now_min)


def _outlook(reading: Reading, index: int) -> str:
    """When groups (or the end) would start if the rest takes what it is allotted."""
    state = reading.state
    at = _clock(state, reading.ends_ms)
    if index < state.plan.mini_count and state.plan.block.groups:
        return _("groups at {time}", time=at)
    return _("ends at {time}", time=at)
