"""After school: what the teacher says about a lesson when it is over. The lesson's own events never change.

Repairs are events of their own, folded over the state of the lesson: the original is always there, and
taking one back is an event, too.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Annotated, ClassVar, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

from pacer.plan.kinds import Fate
from pacer.run.events import Ending
from pacer.run.shift_times import shift_times
from pacer.run.state import LessonState, PartnerBurst, Visit
from pacer.run.table_list import LineKey, LineKind

Reason = Literal["needed", "talked", "questions", "settling", "visitor", "materials", "late"]
"""Children needed it, I talked on, many questions, settling down, a visitor or a call, materials, late."""
Went = Fate | Literal["done"]
"""Where what was left over went: a fate, or it was done at the table that day and only its tick forgotten."""
START_ROOM_MS = 60 * 60_000
"""How long before the press a lesson may really have begun: a choice of ours, no source."""


class AfterBody(BaseModel):
    """One correction or remark. ``mends`` tells whether it changes a time of the lesson."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    mends: ClassVar[bool] = False


# Times are counted from the press of Start, whatever is said about the real start: so each of these means
# the same whether another one is taken back or not. Before the press they are below zero.
PressMs = Annotated[int, Field(ge=-START_ROOM_MS)]


class StartMoved(AfterBody):
    """Start was pressed late: the lesson really began so many milliseconds before the press; 0: with it."""

    mends = True
    kind: Literal["start_moved"] = "start_moved"
    early_ms: Annotated[int, Field(ge=0, le=START_ROOM_MS)]


class BorderMoved(AfterBody):
    """Visit number ``visit`` (from 0) ended, and the next began, at another time, in ms from the press."""

    mends = True
    kind: Literal["border_moved"] = "border_moved"
    visit: Annotated[int, Field(ge=0)]
    t_ms: PressMs


class VisitSplit(AfterBody):
    """A press was forgotten: within a visit the class went on to phase ``to``, in ms from the first press."""

    mends = True
    kind: Literal["visit_split"] = "visit_split"
    visit: Annotated[int, Field(ge=0)]
    t_ms: PressMs
    to: Annotated[int, Field(ge=0)]


class EndingSaid(AfterBody):
    """How a phase ended, where nobody said so in the lesson or it was said wrongly."""

    kind: Literal["ending_said"] = "ending_said"
    phase: Annotated[int, Field(ge=0)]
    ending: Ending


class ReasonGiven(AfterBody):
    """Why a phase took its time; an empty reason takes an earlier one away."""

    kind: Literal["reason_given"] = "reason_given"
    phase: Annotated[int, Field(ge=0)]
    reason: Reason | Literal[""]


class WentTo(AfterBody):
    """Where a phase that was not taught went; empty leaves it to what the outline says."""

    kind: Literal["went_to"] = "went_to"
    phase: Annotated[int, Field(ge=0)]
    to: Went | Literal[""]


class LineWent(AfterBody):
    """Where an unticked line of the table list went; empty: it is open again.

    ``about`` and ``of`` are its key. A phase that was moved to the table is a phase: `WentTo`.
    """

    kind: Literal["line_went"] = "line_went"
    about: LineKind
    of: Annotated[int, Field(ge=-1)]
    to: Went | Literal[""]


class DayFlagged(AfterBody):
    """The day was not like others, so nothing is learned from it; or it was after all."""

    kind: Literal["day_flagged"] = "day_flagged"
    flagged: bool


class TomorrowNoted(AfterBody):
    """One thing to change tomorrow, in the teacher's words."""

    kind: Literal["thing_tomorrow"] = "thing_tomorrow"
    text: Annotated[str, Field(max_length=200)]


class TomorrowNoteDone(AfterBody):
    """The one thing for tomorrow was done, so it is shown no more; or it was not after all."""

    kind: Literal["thing_done"] = "thing_done"
    done: bool


class TakenBack(AfterBody):
    """An earlier one of these, named by its number, was taken back."""

    kind: Literal["taken_back"] = "taken_back"
    target: Annotated[int, Field(ge=0)]


AnyAfter = Annotated[
    StartMoved | BorderMoved | VisitSplit | EndingSaid | ReasonGiven | WentTo | LineWent | DayFlagged
    | TomorrowNoted | TomorrowNoteDone | TakenBack,
    Field(discriminator="kind"),
]  # fmt: skip


@dataclass(frozen=True)
class Correction:
    """A body with its number in the lesson's list, from 0, and the time it was said, in UTC milliseconds."""

    number: int
    utc_ms: int
    body: AnyAfter


@dataclass(frozen=True)
class Corrections:
    """All corrections that were not taken back, and what they come to.

    ``reasons``, ``endings`` and ``went`` by phase, ``lines`` by line of the table list; ``thing_utc_ms`` is
    when the thing for tomorrow was written, ``thing_done`` whether it was ticked off since.
    """

    effective: tuple[Correction, ...] = ()
    flagged: bool = False
    thing: str = ""
    thing_utc_ms: int = 0
    reasons: tuple[tuple[int, str], ...] = ()
    endings: tuple[tuple[int, Ending], ...] = ()
    went: tuple[tuple[int, Went], ...] = ()
    lines: tuple[tuple[LineKey, Went], ...] = ()
    thing_done: bool = False

    @property
    def is_repaired(self) -> bool:
        """Whether a time of the lesson was changed."""
        return any(event.body.mends for event in self.effective)


@cache
def _bodies() -> "TypeAdapter[AnyAfter]":
    return TypeAdapter(AnyAfter)


def after_from_json(text: str) -> AnyAfter:
    """Read a body back; raises ValueError when it is not one."""
    return _bodies().validate_json(text)


def effective(events: Iterable[Correction]) -> Corrections:
    """What stands of all corrections, in the order in which they were said."""
    standing: list[Correction] = []
    for event in events:
        if isinstance(event.body, TakenBack):
            target = event.body.target
            standing = [earlier for earlier in standing if earlier.number != target]
        else:
            standing.append(event)
    reasons: dict[int, str] = {}
    endings: dict[int, Ending] = {}
    went: dict[int, Went | Literal[""]] = {}
    lines: dict[LineKey, Went | Literal[""]] = {}
    flagged, thing, thing_utc_ms, thing_done = False, "", 0, False
    for event in standing:
        match event.body:
            case ReasonGiven(phase=phase, reason=reason):
                reasons[phase] = reason
            case EndingSaid(phase=phase, ending=ending):
                endings[phase] = ending
            case WentTo(phase=phase, to=to):
                went[phase] = to
            case LineWent(about=about, of=of, to=to):
                lines[LineKey(about, of)] = to
            case DayFlagged():
                flagged = event.body.flagged
            case TomorrowNoted():
                # Another thing is not done yet.
                thing, thing_utc_ms, thing_done = event.body.text, event.utc_ms, False
            case TomorrowNoteDone():
                thing_done = event.body.done
    return Corrections(
        effective=tuple(standing),
        flagged=flagged,
        thing=thing,
        thing_utc_ms=thing_utc_ms,
        reasons=tuple((phase, reason) for phase, reason in reasons.items() if reason),
        endings=tuple(endings.items()),
        went=tuple((phase, to) for phase, to in went.items() if to),
        lines=tuple((line, to) for line, to in lines.items() if to),
        thing_done=thing_done,
    )


def repaired(state: LessonState, after: Corrections) -> LessonState:
    """The lesson with all standing corrections; one that no longer applies is ignored.

    Lesson time 0 is the real start then; nothing but times counted from it changes by that.
    """
    if not after.effective:
        return state
    original = state
    for event in after.effective:
        match event.body:
            case StartMoved(early_ms=early_ms):
                state = start_moved(state, early_ms)
            case BorderMoved(visit=visit, t_ms=t_ms):
                state = border_moved(state, visit, t_ms)
            case VisitSplit(visit=visit, t_ms=t_ms, to=to):
                state = visit_split(state, visit, t_ms, to)
            case EndingSaid(phase=phase, ending=ending):
                state = ending_said(state, phase, ending)
    # A border that was moved to and fro leaves no mark in the wrong phase.
    state = _with_visits(replace(state, marks=original.marks, talks=original.talks), state.visits)
    return shift_times(state, -state.visits[0].begin_ms) if state.visits else state


def early_ms(original: LessonState, mended: LessonState) -> int:
    """How long before the press the mended lesson began: 0 where nothing was said."""
    return original.started_utc_ms - mended.started_utc_ms


def start_moved(state: LessonState, early_ms: int) -> LessonState:
    """The state with another begin of its first visit, still counted from the press; as it was where not.

    ``early_ms`` is how long before the press. A lesson begins with its first visit, which can't end before.
    """
    first = state.visits[0] if state.visits else None
    if first is None or first.end_ms is None or not 0 <= early_ms <= START_ROOM_MS:
        return state
    if first.end_ms < -early_ms:
        return state
    return _with_visits(state, [replace(first, begin_ms=-early_ms), *state.visits[1:]])


def border_room(state: LessonState, visit: int) -> tuple[int, int] | None:
    """Between which lesson times the end of a visit may lie: its own begin and the end of the next.

    Where the groups come next, their walk or first visit begins with the border and ends where it did. The
    end of the last visit of an ended lesson may lie anywhere from its begin to the end of the lesson: moved
    to an earlier time it leaves the rest to no phase. None where there is no such visit or it has not ended,
    or what comes after it has not.
    """
    if not 0 <= visit < len(state.visits):
        return None
    own = state.visits[visit]
    following = state.visits[visit + 1] if visit + 1 < len(state.visits) else None
    if own.end_ms is None:
        return None
    leg = leg_after(state, visit)
    if leg is not None:
        end_ms = state.legs[leg].end_ms
        return (own.begin_ms, end_ms) if end_ms is not None else None
    if following is None:
        return own.begin_ms, max(own.end_ms, state.ended_ms or own.end_ms)
    # Between two visits no time is lost, but for a lesson that went on after its last phase.
    return (own.begin_ms, following.end_ms) if following.end_ms is not None else None


def leg_after(state: LessonState, visit: int) -> int | None:
    """The leg of the second half, by its place among all, that a visit to a phase was left for."""
    end_ms = state.visits[visit].end_ms
    following = state.visits[visit + 1].begin_ms if visit + 1 < len(state.visits) else None
    if following is None and state.legs and state.legs[-1].end_ms not in (None, state.ended_ms):
        return None  # the class came back from the groups before
    for number, leg in enumerate(state.legs):
        if leg.begin_ms == end_ms and (following is None or (leg.end_ms or 0) <= following):
            return number
    return None


def border_moved(state: LessonState, visit: int, t_ms: int) -> LessonState:
    """The state with the border after a visit at another time; as it was where that can't be."""
    room = border_room(state, visit)
    if room is None or not room[0] <= t_ms <= room[1]:
        return state
    visits = list(state.visits)
    visits[visit] = replace(visits[visit], end_ms=t_ms)
    leg = leg_after(state, visit)
    if leg is not None:
        legs = list(state.legs)
        legs[leg] = replace(legs[leg], begin_ms=t_ms)
        state = replace(state, legs=tuple(legs))
    elif visit + 1 < len(visits):
        visits[visit + 1] = replace(visits[visit + 1], begin_ms=t_ms)
    return _with_visits(state, visits)


def visit_split(state: LessonState, visit: int, t_ms: int, to: int) -> LessonState:
    """The state with a visit of phase ``to`` in the rest of a visit; as it was where that can't be."""
    if state.outline is None or not 0 <= visit < len(state.visits) or not 0 <= to < len(state.plan.phases):
        return state
    own = state.visits[visit]
    if own.end_ms is None or to == own.index or not own.begin_ms < t_ms < own.end_ms:
        return state
    # Nobody said how the first part ended; the second ended as the whole did.
    first = replace(own, end_ms=t_ms, ending="unsaid")
    second = Visit(to, t_ms, own.end_ms, own.ending)
    return _with_visits(state, [*state.visits[:visit], first, second, *state.visits[visit + 1 :]])


def ending_said(state: LessonState, phase: int, ending: Ending) -> LessonState:
    """The state in which a phase's last visit ended in another way."""
    visits = list(state.visits)
    last = next((i for i in reversed(range(len(visits))) if visits[i].index == phase), None)
    if last is None or visits[last].end_ms is None:
        return state
    visits[last] = replace(visits[last], ending=ending)
    return replace(state, visits=tuple(visits))


def _with_visits(state: LessonState, visits: Sequence[Visit]) -> LessonState:
    """Marks and partner bursts belong to the phase that ran when they were made."""

    def talked_in(talk: PartnerBurst) -> int:
        index = _ran_at(visits, talk.span.begin_ms, talk.index)
        return talk.index if index < 0 else index

    return replace(
        state,
        visits=tuple(visits),
        marks=tuple(replace(mark, index=_ran_at(visits, mark.t_ms, mark.index)) for mark in state.marks),
        talks=tuple(replace(talk, index=talked_in(talk)) for talk in state.talks),
    )


def _ran_at(visits: Sequence[Visit], t_ms: int, index: int) -> int:
    """The phase that ran at a lesson time; -1 where none did.

    On a border two did: then it is ``index``, where that is one of them.
    """
    if index < 0:
        return index
    running = [
        visit.index
        for visit in visits
        if visit.begin_ms <= t_ms and (visit.end_ms is None or t_ms <= visit.end_ms)
    ]
    if index in running:
        return index
    return running[-1] if running else -1
