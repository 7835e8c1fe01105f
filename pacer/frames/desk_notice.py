"""The Desk's notice: the one line beside the stage that asks for attention while its reason stays."""

from pacer.frames.desk_near import TALK_STEP_S, stepped
from pacer.frames.outlook import NAMED_AT_MOST, Outlook, price_words, recut_words
from pacer.frames.wall import SETTLE_SHOWN_MS
from pacer.frames.words import wording
from pacer.pace.reading import Reading
from pacer.plan.durations import format_duration
from pacer.run.second_half import title_of
from pacer.run.state import LessonState
from pacer.run.timeline import Cues
from pacer.text import _

GAP_NOTICE_MS = 60_000
EXAMPLE_NOTICE_MS = 20_000


def settles(reading: Reading) -> bool:
    """Whether partner talk has just ended, and eyes are still on their way back."""
    since_ms = reading.state.settling_ms
    return since_ms is not None and reading.now_ms - since_ms < SETTLE_SHOWN_MS


def notice_words(reading: Reading, talk_limit_s: int, ahead: Outlook | None, cues: Cues) -> str:
    """The one line that asks for attention beside the stage; it stays while its reason does."""
    return (
        happening_words(reading)
        or quiet_words(reading)
        or recut_words(reading)
        or _example_notice(reading.state, reading.now_ms, ahead)
        or _talk_notice(reading, talk_limit_s, ahead, cues)
        or clock_notice(reading)
    )


def clock_notice(reading: Reading) -> str:
    """Why other times of day are shown; nobody need do anything, so it gives way to all else."""
    since_ms = reading.now_ms - GAP_NOTICE_MS
    if any(gap.cause == "clock_set" and gap.t_ms > since_ms for gap in reading.state.gaps):
        return _("This computer's clock was set: the times of day moved with it, and nothing else.")
    return ""


def happening_words(reading: Reading) -> str:
    """What goes on now and which key ends it, whatever the pace is; empty when nothing does."""
    state, now_ms = reading.state, reading.now_ms
    last_gap = next((gap for gap in reversed(state.gaps) if gap.cause != "clock_set"), None)
    if last_gap is not None and now_ms - last_gap.t_ms < GAP_NOTICE_MS and last_gap.gap_ms:
        away = format_duration(last_gap.gap_ms // 1000)
        if state.pressed_ms >= last_gap.t_ms:  # Page Up now takes that press back
            return _("Away for {time}; it counts.", time=away)
        return _("Away for {time}; it counts. Page Up takes it off.", time=away)
    if state.is_blank:
        return (
            _("The Wall is blank and the phase stands. X or Space: back")
            if state.is_paused
            else _("The Wall is blank. X: back")
        )
    if settles(reading):
        return _("Partner talk is over. E again when all eyes are back")
    left_ms = reading.partners_left_ms
    if left_ms is not None:
        if left_ms <= 0:
            return _("Partners are done. E: eyes back")
        return _("Partners: {time}. E: eyes back", time=wording.countdown(left_ms))
    bell_ms = state.bell_ms
    if now_ms >= bell_ms:
        return _(
            "The bell was due at {time}. Home: bell now.",
            time=wording.clock_words(state.utc_ms(bell_ms), state.utc_offset_s),
        )
    return ""


def quiet_words(reading: Reading) -> str:
    """A question, once so long nothing was pressed that something may have been forgotten."""
    state, now_ms = reading.state, reading.now_ms
    if not state.is_quiet(now_ms):
        return ""
    minutes = (now_ms - state.pressed_ms) // 60_000
    leg = state.leg
    if state.is_paused:
        return _("{n} min without a key. Still paused? Y: yes", n=minutes)
    if leg is not None:
        return _("{n} min without a key. Still {phase}? Y: yes", n=minutes, phase=title_of(state, leg))
    title = "" if state.phase is None else state.phase.title
    return _("{n} min without a key. Still {phase}? Y: yes", n=minutes, phase=title)


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
    return words.format(
        given=len(given), planned=planned, price=price_words(state, ahead.price, NAMED_AT_MOST)
    )


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
    return words if ahead is None else f"{words}. {price_words(reading.state, ahead.price, NAMED_AT_MOST)}"
