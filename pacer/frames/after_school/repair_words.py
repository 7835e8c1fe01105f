"""What stands to be said of a lesson while it is mended, and what was said, in words."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import get_args

from pacer.frames.after_school.coach_lines import reason_words
from pacer.frames.after_school.timeline import START, timeline
from pacer.frames.record import record
from pacer.frames.words.not_taught import left_words
from pacer.frames.words.wording import ending_words, over_words
from pacer.pace.stages import Stage
from pacer.run.corrections import (
    AnyAfter,
    BorderMoved,
    Correction,
    Corrections,
    DayFlagged,
    EndingSaid,
    LineWent,
    Reason,
    ReasonGiven,
    StartMoved,
    TomorrowNoted,
    TomorrowNoteDone,
    VisitSplit,
    WentTo,
)
from pacer.run.repair import repaired
from pacer.run.state import LessonState
from pacer.run.table_list import LineKey
from pacer.text import _, counted

REASONS: tuple[Reason, ...] = get_args(Reason)
WORTH_A_REASON_S = 15
"""A phase that ran over by less is not asked about: our own choice, no source."""


def day_words(after: Corrections, *, as_it_was: bool) -> str:
    """Whether the day was repaired, and by how much."""
    count = sum(event.body.mends for event in after.effective)
    if not count:
        return _("Nothing is repaired.")
    if as_it_was:
        return _("As it was, before the repair")
    return counted("repaired: {n} change of times", "repaired: {n} changes of times", count)


@dataclass(frozen=True)
class Unsaid:
    """A phase of which nobody said how it ended, and what learning takes it for; empty where unknown."""

    phase: int
    question: str
    guess: str


def unsaid(state: LessonState, stages: Mapping[int, Stage] | None) -> tuple[Unsaid, ...]:
    """The endings to be confirmed, in the order of the outline. ``stages``: what the Desk showed at them."""
    questions = []
    for index, phase in enumerate(state.plan.phases):
        ended = any(visit.index == index and visit.end_ms is not None for visit in state.visits)
        if ended and state.ending_of(index) == "unsaid":
            guess = ""
            if stages is not None:
                moved_on = stages.get(index) == "move_on"
                guess = _("counts as moved on") if moved_on else _("counts as done")
            questions.append(Unsaid(index, _("How did {phase} end?", phase=phase.title), guess))
    return tuple(questions)


@dataclass(frozen=True)
class Over:
    """A phase that ran over: its title with by how much, and the reason that was given."""

    phase: int
    words: str
    reason: str


def over_phases(mended: LessonState, after: Corrections) -> tuple[Over, ...]:
    """The phases that ran over, and those that have a reason all the same."""
    reasons = dict(after.reasons)
    rows = record(mended, mended.ended_ms or 0).phases if mended.ended_ms is not None else ()
    phases = []
    for index, row in enumerate(rows):
        if (row.over or 0) >= WORTH_A_REASON_S or (index in reasons and row.visits):
            words = _("{phase} {over}", phase=row.title, over=over_words(row.over)).strip()
            phases.append(Over(index, words, reasons.get(index, "")))
    return tuple(phases)


def last_change(after: Corrections) -> Correction | None:
    """What would be taken back next; the note for tomorrow has a field of its own."""
    kept = [
        event for event in after.effective if not isinstance(event.body, TomorrowNoted | TomorrowNoteDone)
    ]
    return kept[-1] if kept else None


def last_words(original: LessonState, after: Corrections) -> str:
    """The change that would be taken back, in words; empty where there is none."""
    last = last_change(after)
    if last is None:
        return ""
    before = tuple(event for event in after.effective if event.number < last.number)
    return said_words(original, repaired(original, Corrections(before)), last.body)


def said_words(original: LessonState, before: LessonState, body: AnyAfter) -> str:
    """One correction in words, seen from the lesson as it was mended before that."""
    line = timeline(original, before)
    phases = before.plan.phases
    match body:
        case StartMoved(early_ms=early) if line.pieces:
            return line.moved_words(START, line.press_ms - early)
        case BorderMoved(visit=visit, t_ms=t_ms) if visit < len(line.pieces):
            return line.moved_words(visit, line.press_ms + t_ms)
        case VisitSplit(visit=visit, t_ms=t_ms, to=to) if visit < len(line.pieces) and to < len(phases):
            words = _("{phase} begins at {time}, within {visit}")
            return words.format(
                phase=phases[to].title, time=line.clock(line.press_ms + t_ms), visit=line.pieces[visit].title
            )
        case EndingSaid(phase=phase, ending=ending) if phase < len(phases):
            return _("{phase} ended: {ending}", phase=phases[phase].title, ending=ending_words(ending))
        case ReasonGiven(phase=phase, reason=reason) if phase < len(phases):
            words = reason_words(reason) if reason else _("no reason")
            return _("{phase}: {reason}", phase=phases[phase].title, reason=words)
        case WentTo(phase=phase, to=to) if phase < len(phases):
            words = left_words(to) if to else _("where the outline sends it")
            return _("{what} · {where}", what=phases[phase].title, where=words)
        case LineWent(about=about, of=of, to=to):
            texts = {line.key: line.text for line in original.table_list}
            what = texts.get(LineKey(about, of))
            if what is None:
                return _("a change that no longer fits")
            return _("{what} · {where}", what=what, where=left_words(to) if to else _("still open"))
        case DayFlagged(flagged=flagged):
            return _("not like other days") if flagged else _("like other days after all")
        case _:
            return _("a change that no longer fits")
