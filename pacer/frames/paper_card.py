"""One page for the day the laptop dies: phases with clock times, move-by and floors, from the real engine."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from pacer.frames.words.wording import clock_words, hour_minute
from pacer.pace.groups import visits
from pacer.pace.move_by import Reason
from pacer.pace.reading import Reading
from pacer.plan.durations import brief_duration, format_duration
from pacer.plan.kinds import Fate
from pacer.plan.outline import Outline
from pacer.run.clock import ManualClock
from pacer.run.session import MemoryJournal, Session
from pacer.text import _


@dataclass(frozen=True)
class CardRow:
    """One phase on paper, with clock times; ``move_by`` holds if everything before went to plan."""

    start: str
    title: str
    budget: str
    move_by: str
    reason: Reason
    floor: str
    gives: str
    line: str


@dataclass(frozen=True)
class PaperCard:
    """The whole page."""

    title: str
    subject: str
    times: str
    rows: tuple[CardRow, ...]
    after: tuple[str, ...]


def paper_card(outline: Outline, start: datetime) -> PaperCard:
    """The card of a lesson whose block starts at a naive classroom clock time.

    Each move-by is the engine's own on a lesson that has gone to plan so far.
    """
    bell = start + timedelta(seconds=outline.block.length_s)
    rows = tuple(_rows(outline, start))
    times = _("{start} to {bell}, mini lesson {length}").format(
        start=hour_minute(start), bell=hour_minute(bell), length=brief_duration(outline.mini_lesson_s)
    )
    return PaperCard(outline.title, outline.subject, times, rows, _after(outline, start))


def _rows(outline: Outline, start: datetime) -> list[CardRow]:
    clock = ManualClock(round((start - datetime(1970, 1, 1)).total_seconds() * 1000))
    session = Session(clock, MemoryJournal())
    session.start(outline)
    rows = []
    for phase in outline.phases:
        state, now = session.state, session.now_ms()
        reading = Reading(state, now)
        current, by = reading.allotments, reading.move_by
        if current is None or by is None:
            break
        rows.append(
            CardRow(
                start=clock_words(state.utc_ms(now), 0),
                title=phase.title,
                budget=brief_duration(current.allotted_s),
                move_by=_clock(start + timedelta(milliseconds=by.at_ms)),
                reason=by.reason,
                floor=brief_duration(phase.floor_s),
                gives=_gives(phase.cut_tier, phase.movable),
                line=phase.class_line,
            )
        )
        clock.advance(current.allotted_s * 1000)
        session.do("next", "done")
    return rows


def _gives(tier: int, movable: Fate | None) -> str:
    """When a phase gives time, and where it goes when it must leave."""
    turn = {1: _("gives first"), 2: _("gives second"), 3: _("gives third")}.get(tier, _("gives later"))
    if movable is None:
        return turn
    place = {"table": _("to the table"), "tomorrow": _("to tomorrow"), "dropped": _("may be dropped")}
    return f"{turn}, {place[movable]}"


def _after(outline: Outline, start: datetime) -> tuple[str, ...]:
    """What comes after the mini lesson where the outline has no phases for it."""
    block = outline.block
    if outline.mini_count < len(outline.phases) or not block.groups:
        return ()
    rotations = visits(block, outline.mini_lesson_s)
    first = start + timedelta(seconds=outline.mini_lesson_s + block.move_s)
    share = start + timedelta(seconds=block.length_s - block.clean_up_s - rotations.share_s)
    return (
        _("Groups: {n} × {length} from {time}").format(
            n=rotations.count, length=format_duration(rotations.timed_s), time=_clock(first)
        ),
        _("Share at {time}, {length}", time=_clock(share), length=format_duration(rotations.share_s)),
    )


def reason_words(reason: Reason) -> str:
    """Why it is time to go, in a word for paper."""
    return {"fair": _("fair"), "hard": _("floors after it"), "cap": _("cap")}[reason]


def _clock(at: datetime) -> str:
    """A clock time; seconds only where there are any."""
    return hour_minute(at) if at.second == 0 else f"{hour_minute(at)}:{at.second:02d}"
