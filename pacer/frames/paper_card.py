"""One page for the day the laptop dies: phases, visits and share with clock times, from the real engine."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from pacer.frames.words.dates import full_date_words
from pacer.frames.words.wording import hour_minute
from pacer.pace.move_by import MoveByReason
from pacer.pace.reading import Reading
from pacer.plan.durations import brief_duration, format_duration
from pacer.plan.kinds import Fate
from pacer.plan.outline import Outline
from pacer.run.clock import ManualClock
from pacer.run.refusal import Refusal
from pacer.run.second_half import title_of
from pacer.run.session import MemoryJournal, Session
from pacer.text import _, counted

MOST_TABLE_LINES = 12


@dataclass(frozen=True)
class CardRow:
    """One phase on paper, with clock times; ``move_by`` holds if everything before went to plan."""

    start: str
    title: str
    budget: str
    move_by: str
    reason: MoveByReason
    floor: str
    gives: str
    line: str


@dataclass(frozen=True)
class LegRow:
    """A part of the second half on paper: a visit says when its swap begins, the share its latest time."""

    start: str
    title: str
    length: str
    until: str
    place: str
    length_ms: int
    is_swap: bool = False


@dataclass(frozen=True)
class PaperCard:
    """The whole page; ``legs`` is empty where groups are typed as phases, ``after`` are lines below.

    ``day`` is the date in words and ``shape`` the name of its shape, empty for the outline's own block;
    ``notes`` are the teacher's own, a line for each phase that has some.
    """

    title: str
    subject: str
    day: str
    shape: str
    times: str
    rows: tuple[CardRow, ...]
    legs: tuple[LegRow, ...]
    after: tuple[str, ...]
    notes: tuple[str, ...]
    file_name: str


def paper_card(outline: Outline, start: datetime, shape: str = "") -> PaperCard:
    """The card of a lesson whose block starts at a naive classroom time, on a day of a shape's name.

    Each move-by is the engine's own on a lesson that has gone to plan so far.
    """
    bell = start + timedelta(seconds=outline.block.length_s)
    rows, legs = _rows(outline, start)
    times = _("{start} to {bell}, mini lesson {length}").format(
        start=hour_minute(start), bell=hour_minute(bell), length=brief_duration(outline.mini_lesson_s)
    )
    return PaperCard(
        title=outline.title,
        subject=outline.subject,
        day=full_date_words(start.date()),
        shape=shape,
        times=times,
        rows=tuple(rows),
        legs=tuple(legs),
        after=_after(outline),
        notes=_notes(outline),
        file_name=f"{start.date().isoformat()} {outline.title}",
    )


def _notes(outline: Outline) -> tuple[str, ...]:
    """The notes of each phase that has some, a paragraph each."""
    noted = ((phase.title, " ".join(phase.notes.split())) for phase in outline.phases)
    return tuple(_("{phase}: {notes}", phase=title, notes=notes) for title, notes in noted if notes)


def _rows(outline: Outline, start: datetime) -> tuple[list[CardRow], list[LegRow]]:
    """The phases and what comes after, from a lesson run to plan; swaps stand with their visits."""
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
                start=_clock(start + timedelta(milliseconds=now)),
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
    legs = []
    while (leg := _leg_row(session, start)) is not None:
        legs.append(leg)
        clock.advance(leg.length_ms)
        if isinstance(session.do("next"), Refusal):
            break
    return rows, [leg for leg in legs if not leg.is_swap]


def _gives(tier: int, movable: Fate | None) -> str:
    """When a phase gives time, and where it goes when it must leave."""
    turn = {1: _("gives first"), 2: _("gives second"), 3: _("gives third")}.get(tier, _("gives later"))
    if movable is None:
        return turn
    place = {"table": _("to the table"), "tomorrow": _("to tomorrow"), "dropped": _("may be dropped")}
    return f"{turn}, {place[movable]}"


def _leg_row(session: Session, start: datetime) -> LegRow | None:
    """The leg that begins now, if everything before went to plan."""
    state, now = session.state, session.now_ms()
    half = Reading(state, now).half
    if half is None:
        return None
    group = state.plan.visitors[half.leg.group] if half.leg.kind == "visit" else None
    until = {
        "visit": _("swap {time}") if half.to_come else _("share {time}"),
        "share": _("latest {time}"),
    }.get(half.leg.kind, _("until {time}"))
    at_ms = half.latest_share_ms if half.leg.kind == "share" else half.end_ms
    return LegRow(
        start=_clock(start + timedelta(milliseconds=now)),
        title=title_of(state, half.leg),
        length=format_duration(half.allotted_s),
        until=until.format(time=_clock(start + timedelta(milliseconds=at_ms))),
        place="" if group is None else group.place,
        length_ms=half.allotted_s * 1000,
        is_swap=half.leg.kind == "swap",
    )


def _after(outline: Outline) -> tuple[str, ...]:
    """What is said below the times: who works where, what the share is about, what the table still has."""
    stations = [
        " ".join(filter(None, (station.name, _("(yours)") if station.teacher else "", station.words)))
        for station in outline.stations
    ]
    lines = [line.strip() for line in outline.table_list.splitlines() if line.strip()]
    more = len(lines) - MOST_TABLE_LINES
    if more > 0:
        lines[MOST_TABLE_LINES:] = [counted("and {n} more", "and {n} more", more)]
    said = (
        (_("Stations: {lines}"), stations if outline.has_second_half else []),
        (_("Share: {lines}"), [outline.share_prompt] if outline.share_prompt else []),
        (_("Table list: {lines}"), lines),
    )
    return tuple(words.format(lines="; ".join(parts)) for words, parts in said if parts)


def reason_words(reason: MoveByReason) -> str:
    """Why it is time to go, in a word for paper."""
    return {"fair": _("fair"), "hard": _("floors after it"), "cap": _("cap")}[reason]


def _clock(at: datetime) -> str:
    """A clock time; seconds only where there are any."""
    return hour_minute(at) if at.second == 0 else f"{hour_minute(at)}:{at.second:02d}"
