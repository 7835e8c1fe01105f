"""After school: what the teacher says about a lesson when it is over. The lesson's own events never change.

Repairs are events of their own, folded over the state of the lesson: the original is always there, and
taking one back is an event, too.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Annotated, ClassVar, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

from pacer.run.events import Ending
from pacer.run.state import LessonState, Talk, Visit

Reason = Literal["needed", "talked", "questions", "settling", "visitor", "materials", "late"]
"""Children needed it, I talked on, many questions, settling down, a visitor or a call, materials, late."""


class AfterBody(BaseModel):
    """What was said or mended. ``mends`` tells whether it changes a time of the lesson."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    mends: ClassVar[bool] = False


class BorderMoved(AfterBody):
    """Visit number ``visit`` (from 0) ended, and the next began, at another lesson time."""

    mends = True
    kind: Literal["border_moved"] = "border_moved"
    visit: Annotated[int, Field(ge=0)]
    t_ms: Annotated[int, Field(ge=0)]


class VisitSplit(AfterBody):
    """A press was forgotten: within visit ``visit`` the class went on to phase ``to`` at a lesson time."""

    mends = True
    kind: Literal["visit_split"] = "visit_split"
    visit: Annotated[int, Field(ge=0)]
    t_ms: Annotated[int, Field(ge=0)]
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


class DayFlagged(AfterBody):
    """The day was not like others, so nothing is learned from it; or it was after all."""

    kind: Literal["day_flagged"] = "day_flagged"
    flagged: bool


class ThingTomorrow(AfterBody):
    """One thing to change tomorrow, in the teacher's words."""

    kind: Literal["thing_tomorrow"] = "thing_tomorrow"
    text: Annotated[str, Field(max_length=200)]


class TakenBack(AfterBody):
    """An earlier one of these, named by its number, was taken back."""

    kind: Literal["taken_back"] = "taken_back"
    target: Annotated[int, Field(ge=0)]


AnyAfter = Annotated[
    BorderMoved | VisitSplit | EndingSaid | ReasonGiven | DayFlagged | ThingTomorrow | TakenBack,
    Field(discriminator="kind"),
]


@dataclass(frozen=True)
class AfterEvent:
    """A body with its number in the lesson's list, from 0, and the time it was said, in UTC milliseconds."""

    number: int
    utc_ms: int
    body: AnyAfter


@dataclass(frozen=True)
class AfterSchool:
    """What stands of all that was said: nothing that was taken back.

    ``reasons`` and ``endings`` by phase; ``thing_utc_ms`` is when the thing for tomorrow was written.
    """

    standing: tuple[AfterEvent, ...] = ()
    flagged: bool = False
    thing: str = ""
    thing_utc_ms: int = 0
    reasons: tuple[tuple[int, str], ...] = ()
    endings: tuple[tuple[int, Ending], ...] = ()

    @property
    def is_repaired(self) -> bool:
        """Whether a time of the lesson was changed."""
        return any(event.body.mends for event in self.standing)

    @property
    def last(self) -> AfterEvent | None:
        """What would be taken back next."""
        return self.standing[-1] if self.standing else None


@cache
def _bodies() -> "TypeAdapter[AnyAfter]":
    return TypeAdapter(AnyAfter)


def after_to_json(body: AnyAfter) -> str:
    """The text that is written to the day record."""
    return body.model_dump_json()


def after_from_json(text: str) -> AnyAfter:
    """Read a body back; raises ValueError when it is not one."""
    return _bodies().validate_json(text)


def standing(events: Iterable[AfterEvent]) -> AfterSchool:
    """What stands, in the order in which it was said."""
    left: list[AfterEvent] = []
    for event in events:
        if isinstance(event.body, TakenBack):
            target = event.body.target
            left = [each for each in left if each.number != target]
        else:
            left.append(event)
    reasons: dict[int, str] = {}
    endings: dict[int, Ending] = {}
    flagged, thing, thing_utc_ms = False, "", 0
    for event in left:
        match event.body:
            case ReasonGiven(phase=phase, reason=reason):
                reasons[phase] = reason
            case EndingSaid(phase=phase, ending=ending):
                endings[phase] = ending
            case DayFlagged():
                flagged = event.body.flagged
            case ThingTomorrow():
                thing, thing_utc_ms = event.body.text, event.utc_ms
    kept = tuple((phase, reason) for phase, reason in reasons.items() if reason)
    return AfterSchool(tuple(left), flagged, thing, thing_utc_ms, kept, tuple(endings.items()))


def repaired(state: LessonState, after: AfterSchool) -> LessonState:
    """The lesson as it was mended; a repair that fits no more changes nothing."""
    if not after.standing:
        return state
    told = state
    for event in after.standing:
        match event.body:
            case BorderMoved(visit=visit, t_ms=t_ms):
                state = border_moved(state, visit, t_ms)
            case VisitSplit(visit=visit, t_ms=t_ms, to=to):
                state = visit_split(state, visit, t_ms, to)
            case EndingSaid(phase=phase, ending=ending):
                state = ending_said(state, phase, ending)
    # A border that was moved to and fro leaves no mark in the wrong phase.
    return _with_visits(replace(state, marks=told.marks, talks=told.talks), state.visits)


def border_room(state: LessonState, visit: int) -> tuple[int, int] | None:
    """Between which lesson times the end of a visit may lie: its own begin and the end of the next.

    The end of the last visit of an ended lesson may lie anywhere from its begin to the end of the lesson:
    moved to an earlier time it leaves the rest to no phase. None where there is no such visit or it has not
    ended, or the one after it has not.
    """
    if not 0 <= visit < len(state.visits):
        return None
    own = state.visits[visit]
    following = state.visits[visit + 1] if visit + 1 < len(state.visits) else None
    if own.end_ms is None:
        return None
    if following is None:
        return own.begin_ms, max(own.end_ms, state.ended_ms or own.end_ms)
    # Between two visits no time is lost, but for a lesson that went on after its last phase.
    return (own.begin_ms, following.end_ms) if following.end_ms is not None else None


def border_moved(state: LessonState, visit: int, t_ms: int) -> LessonState:
    """The state with the border after a visit at another time; as it was where that can't be."""
    room = border_room(state, visit)
    if room is None or not room[0] <= t_ms <= room[1]:
        return state
    visits = list(state.visits)
    visits[visit] = replace(visits[visit], end_ms=t_ms)
    if visit + 1 < len(visits):
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
    at = next((i for i in reversed(range(len(state.visits))) if state.visits[i].index == phase), None)
    if at is None or state.visits[at].end_ms is None:
        return state
    visits = list(state.visits)
    visits[at] = replace(visits[at], ending=ending)
    return replace(state, visits=tuple(visits))


def _with_visits(state: LessonState, visits: Sequence[Visit]) -> LessonState:
    """Marks and partner bursts belong to the phase that ran when they were made."""

    def talked_in(talk: Talk) -> int:
        found = _ran_at(visits, talk.span.begin_ms, talk.index)
        return talk.index if found < 0 else found

    return replace(
        state,
        visits=tuple(visits),
        marks=tuple(replace(mark, index=_ran_at(visits, mark.t_ms, mark.index)) for mark in state.marks),
        talks=tuple(replace(talk, index=talked_in(talk)) for talk in state.talks),
    )


def _ran_at(visits: Sequence[Visit], t_ms: int, index: int) -> int:
    """The phase that ran at a lesson time; -1 where none did.

    On a border two did: whoever was in one of them before stays there.
    """
    if index < 0:
        return index
    there = [
        visit.index
        for visit in visits
        if visit.begin_ms <= t_ms and (visit.end_ms is None or t_ms <= visit.end_ms)
    ]
    if index in there:
        return index
    return there[-1] if there else -1
