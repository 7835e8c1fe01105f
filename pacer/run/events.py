"""What can happen in a lesson, as frozen values that are written down one by one and never changed.

``t_ms`` of an event is lesson time: milliseconds since the start, sleep counted, pauses counted.
"""

from functools import cache
from typing import Annotated, ClassVar, Literal, Self

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, TypeAdapter, model_validator

from pacer.plan.outline import MAX_GROUPS, Outline
from pacer.run.event_words import Cue as Cue
from pacer.run.event_words import Edge as Edge
from pacer.run.event_words import Ending as Ending
from pacer.run.event_words import Face as Face
from pacer.run.event_words import Fill as Fill
from pacer.run.event_words import Mode as Mode
from pacer.run.legs import LegKind

MOST_BELL_S = 8 * 3600
MOST_PLANNED_S = 86_400  # an outline's file allows a third of it
MOST_GAP_MS = 10**13  # three hundred years: a longer one has no time of day that can be told


class Body(BaseModel):
    """What happened. ``undoable`` says whether the undo command may take it back."""

    # Built when first used: the program starts faster than its first lesson.
    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
    undoable: ClassVar[bool] = True


def _of_a_lesson(outline: Outline) -> Outline:
    """Refuse a plan with times or groups that no lesson has: to follow one may never end."""
    if not 0 <= outline.block.groups <= MAX_GROUPS:
        raise ValueError("groups that no lesson has")
    parts = (
        outline,
        outline.block,
        *outline.phases,
        *(burst for phase in outline.phases for burst in phase.bursts),
    )
    written = (
        value for part in parts for name, value in part if name.endswith("_s") and isinstance(value, int)
    )
    if any(abs(seconds) > MOST_PLANNED_S for seconds in (*written, *outline.caps_s.values())):
        raise ValueError("times that no lesson has")
    return outline


class Started(Body):
    """The lesson began. Holds a copy of the outline, so that later edits never rewrite history.

    ``shape`` is the name of the day's shape, empty where the outline's own block was used. ``boot`` names the
    run of the monotonic clock, empty where that is unknown.
    """

    undoable = False
    kind: Literal["started"] = "started"
    outline: Annotated[Outline, AfterValidator(_of_a_lesson)]
    planned_utc_ms: int
    utc_offset_s: int = 0
    mode: Mode = "live"
    shape: str = ""
    boot: str = ""


class Moved(Body):
    """The class went to another phase, or past the last one (``to`` is None)."""

    kind: Literal["moved"] = "moved"
    to: int | None
    ending: Ending
    how: Literal["next", "back", "jump", "groups"] = "next"


class LegBegan(Body):
    """The class went to a leg of the second half; what ran before, a phase or another leg, ended.

    ``group`` is the number of the group that a visit is of, or that a move or a swap leads to; -1 else.
    ``ending`` is how the phase before it ended.
    """

    kind: Literal["leg_began"] = "leg_began"
    leg: LegKind
    group: Annotated[int, Field(ge=-1)] = -1
    ending: Ending = "unsaid"
    how: Literal["next", "back", "jump", "groups"] = "next"

    @model_validator(mode="after")
    def _has_its_group(self) -> Self:
        """A visit is of a group; share and clean-up are of none."""
        has, must, may = self.group >= 0, self.leg == "visit", self.leg in ("move", "visit", "swap")
        if (must and not has) or (has and not may):
            raise ValueError("a leg of a group that it can't have")
        return self


class GroupLeftOut(Body):
    """A group has no visit today: it was pulled out of class, or the time is too short for all."""

    kind: Literal["group_left_out"] = "group_left_out"
    group: Annotated[int, Field(ge=0)]
    why: Literal["missed", "dropped"] = "missed"


class BellMoved(Body):
    """The bell rings so many seconds later today than was planned, or earlier when negative."""

    kind: Literal["bell_moved"] = "bell_moved"
    seconds: Annotated[int, Field(ge=-MOST_BELL_S, le=MOST_BELL_S)]


class ListTicked(Body):
    """A line of the table list, by its number from 0, is done."""

    kind: Literal["list_ticked"] = "list_ticked"
    number: Annotated[int, Field(ge=0)]


class Paused(Body):
    """The phase clock stopped; the lesson clock and the bell did not."""

    kind: Literal["paused"] = "paused"


class WentOn(Body):
    """The phase clock goes on."""

    kind: Literal["went_on"] = "went_on"


class TimeAdded(Body):
    """Seconds given to the running phase; negative when taken from it."""

    kind: Literal["time_added"] = "time_added"
    seconds: int


class CutKept(Body):
    """The teacher accepts the re-cut of this border; ``leaving`` are the phases that leave with it.

    ``anew``: she asked for another one in mid-phase, made at this event.
    """

    kind: Literal["cut_kept"] = "cut_kept"
    leaving: tuple[int, ...] = ()
    anew: bool = False


class CutDeclined(Body):
    """The teacher takes the re-cut of this border back: all written budgets stand until the next border."""

    kind: Literal["cut_declined"] = "cut_declined"


class Forecasted(Body):
    """What the past said at a phase border: the chance, as a range, that groups start on time.

    ``end_ms`` is the lesson time at which the mini lesson was expected to end.
    """

    undoable = False
    kind: Literal["forecasted"] = "forecasted"
    index: Annotated[int, Field(ge=0)]
    low: Annotated[float, Field(allow_inf_nan=False)]
    high: Annotated[float, Field(allow_inf_nan=False)]
    end_ms: int
    lessons: int


class BurstStarted(Body):
    """A partner burst was laid over the running phase."""

    kind: Literal["burst_started"] = "burst_started"
    length_s: int
    prompt: str = ""


class EyesBack(Body):
    """The partner burst ended: eyes are back on the teacher."""

    kind: Literal["eyes_back"] = "eyes_back"


class Voice(Body):
    """A child's voice was heard by all."""

    kind: Literal["voice"] = "voice"


class Example(Body):
    """Another example was modeled."""

    kind: Literal["example"] = "example"


class Tally(Body):
    """A problem, by its number, that a child got stuck on."""

    kind: Literal["tally"] = "tally"
    number: int


class TableMark(Body):
    """A worry to see to at the table; no name."""

    kind: Literal["table_mark"] = "table_mark"


class Happened(Body):
    """Something happened: a visitor, a call, a drill."""

    kind: Literal["happened"] = "happened"


class WallTurned(Body):
    """The Wall was turned to another face."""

    kind: Literal["wall_turned"] = "wall_turned"
    face: Face


class FillTurned(Body):
    """Something else fills the Wall: the countdown, the phase's typed problem, or its picture."""

    kind: Literal["fill_turned"] = "fill_turned"
    fill: Fill


class PageTurned(Body):
    """Another page of the phase's PDF is on the Wall, counted from 1."""

    kind: Literal["page_turned"] = "page_turned"
    page: int


class StripMoved(Body):
    """The strip lies along another edge of the Wall."""

    kind: Literal["strip_moved"] = "strip_moved"
    edge: Edge


class Blanked(Body):
    """A drill, an emergency, a visitor: the Wall went blank and the phase clock stopped."""

    kind: Literal["blanked"] = "blanked"


class Unblanked(Body):
    """The Wall is back; the phase clock goes on unless it stood still before."""

    kind: Literal["unblanked"] = "unblanked"


class Settled(Body):
    """After a partner burst all eyes are back; the time since it ended is the settle time."""

    kind: Literal["settled"] = "settled"


class HalfReady(Body):
    """Half of the class is ready: back from partner talk or from a move, or with the task of the phase."""

    kind: Literal["half_ready"] = "half_ready"


class Here(Body):
    """The teacher answered that all is as the Desk says, after a long time without a press."""

    undoable = False
    kind: Literal["here"] = "here"


class ScreensChanged(Body):
    """A screen came, went, was mirrored or changed. ``screens`` are those there are now, in words.

    ``wall`` is the one that the Wall is on, empty when its screen is gone; ``curtain`` says whether the
    private window was covered.
    """

    undoable = False
    kind: Literal["screens_changed"] = "screens_changed"
    screens: tuple[str, ...]
    wall: str = ""
    curtain: bool = False


class Stalled(Body):
    """The windows stood still: a second was shown so many milliseconds late."""

    undoable = False
    kind: Literal["stalled"] = "stalled"
    late_ms: int


class TimeHidden(Body):
    """Time on the Wall was hidden or shown again."""

    kind: Literal["time_hidden"] = "time_hidden"
    hidden: bool


class BellRang(Body):
    """The teacher heard the bell; the lesson ends. ``offset_s``: how much later than planned it rang."""

    kind: Literal["bell_rang"] = "bell_rang"
    offset_s: int


class Ended(Body):
    """The lesson was ended by hand."""

    kind: Literal["ended"] = "ended"
    ending: Ending = "unsaid"


class Undone(Body):
    """An earlier event, named by its number, was taken back."""

    undoable = False
    kind: Literal["undone"] = "undone"
    target: int


class Gap(Body):
    """The machine slept or stalled, the program was closed, or the computer's clock was set.

    Of sleep and closing, ``gap_ms`` of lesson time lie before this event. A clock that was set (forward or
    back, then negative) changes the times of day that are shown and nothing that could be taken back.
    ``boot`` is as in Started, of the program that goes on after closing.
    """

    kind: Literal["gap"] = "gap"
    gap_ms: Annotated[int, Field(ge=-MOST_GAP_MS, le=MOST_GAP_MS)]
    cause: Literal["slept", "clock_set", "closed"] = "slept"
    boot: str = ""


class Cued(Body):
    """The Desk drew the teacher's attention."""

    undoable = False
    kind: Literal["cued"] = "cued"
    cue: Cue


AnyBody = Annotated[
    Started | Moved | LegBegan | GroupLeftOut | BellMoved | ListTicked | Paused | WentOn | TimeAdded | CutKept
    | CutDeclined | Forecasted | BurstStarted | EyesBack | Voice | Example | Tally | TableMark | Happened
    | WallTurned | FillTurned | PageTurned | StripMoved | Blanked | Unblanked | Settled | ScreensChanged
    | Stalled | TimeHidden | BellRang | Ended | Undone | Gap | Cued | HalfReady | Here,
    Field(discriminator="kind"),
]  # fmt: skip


class Event(BaseModel):
    """A body with its number and its times, in milliseconds."""

    model_config = ConfigDict(frozen=True, defer_build=True)
    seq: int
    t_ms: int
    mono_ms: int
    utc_ms: int
    body: AnyBody


@cache
def _bodies() -> TypeAdapter[AnyBody]:
    return TypeAdapter(AnyBody)


def body_to_json(body: AnyBody) -> str:
    """The text that is written to the day record."""
    return body.model_dump_json()


def body_from_json(text: str) -> AnyBody:
    """Read a body back; raises ValueError when it is not one."""
    return _bodies().validate_json(text)
