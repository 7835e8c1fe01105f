"""After school: what the teacher says about a lesson when it is over. The lesson's own events never change.

Repairs are events of their own, folded over the state of the lesson: the original is always there, and
taking one back is an event, too.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Annotated, ClassVar, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter

from pacer.plan.kinds import Fate
from pacer.run.events import Ending
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
    # By phase or line the last word counts.
    bodies = [event.body for event in standing]
    went = {body.phase: body.to for body in bodies if isinstance(body, WentTo)}
    lines = {LineKey(body.about, body.of): body.to for body in bodies if isinstance(body, LineWent)}
    reasons = {body.phase: body.reason for body in bodies if isinstance(body, ReasonGiven)}
    endings = {body.phase: body.ending for body in bodies if isinstance(body, EndingSaid)}
    flags = [body.flagged for body in bodies if isinstance(body, DayFlagged)]
    notes = [(body.text, event.utc_ms) for event in standing if isinstance(body := event.body, TomorrowNoted)]
    ticks = [body for body in bodies if isinstance(body, TomorrowNoted | TomorrowNoteDone)]
    thing, thing_utc_ms = notes[-1] if notes else ("", 0)
    return Corrections(
        effective=tuple(standing),
        flagged=bool(flags) and flags[-1],
        thing=thing,
        thing_utc_ms=thing_utc_ms,
        reasons=tuple((phase, reason) for phase, reason in reasons.items() if reason),
        endings=tuple(endings.items()),
        went=tuple((phase, to) for phase, to in went.items() if to),
        lines=tuple((line, to) for line, to in lines.items() if to),
        # Another thing is not done yet.
        thing_done=bool(ticks) and isinstance(ticks[-1], TomorrowNoteDone) and ticks[-1].done,
    )
