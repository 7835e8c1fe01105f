"""What the Wall shows. It has no field for anything private: privacy by type, not by care."""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, TypedDict

from pacer.frames.wall_groups import GroupPlace as GroupPlace
from pacer.frames.wall_groups import PictureKey as PictureKey
from pacer.frames.wall_groups import children_walk, group_places, leg_title, move_picture
from pacer.frames.words.wording import countdown
from pacer.plan.outline import Outline, Phase
from pacer.run.events import Edge, Face, Fill
from pacer.text import _

if TYPE_CHECKING:
    from pacer.pace.reading import Reading
    from pacer.pace.second_half import SecondHalf
    from pacer.run.state import LessonState

SQUARE_S = 60
FOURTH_S = 15
FOURTHS = 4
# The least height of a capital over the picture's: 20 minutes of arc from 9 m, where the picture is 1 m high.
LEAST_SHARE = 0.05
SETTLE_SHOWN_MS = 20_000


@dataclass(frozen=True)
class WallFrame:
    """All that children may see.

    ``face``: full, strip, hidden (no time and no space for it), blank (nothing at all, over everything) or
    off. ``shape`` says whether a hidden face fills the screen or lies in the strip, which is along ``edge``.
    ``full`` and ``fourths`` are the minute squares left, ``whole`` how many there are in all and ``last`` how
    many fourths the last of them has; ``digits`` is None where no digits are shown. Where ``fill`` is a
    ``problem`` or a ``picture``, that fills the screen with the strip under it; the ``picture`` of the move
    stands beside the groups. ``turn`` is the partner whose turn it is, 1 or 2; 0 outside partner talk.
    ``least_share`` is how high the smallest capital must be, over the picture's height. ``groups`` are where
    they are now and where they go next; ``moving`` says that children walk, and that is all that counts.
    ``prompt`` is what the share asks.
    """

    face: Literal["full", "strip", "hidden", "blank", "off"]
    shape: Literal["full", "strip"] = "full"
    title: str = ""
    line: str = ""
    second_line: str = ""
    digits: str | None = None
    full: int = 0
    fourths: int = 0
    whole: int = 0
    last: int = FOURTHS
    note: str = ""
    next_title: str = ""
    waiting: bool = False
    over: bool = False
    fill: Fill = "countdown"
    problem: str = ""
    picture: PictureKey | None = None
    edge: Edge = "bottom"
    turn: int = 0
    least_share: float = LEAST_SHARE
    groups: tuple[GroupPlace, ...] = ()
    moving: bool = False
    prompt: str = ""


@dataclass(frozen=True)
class WallLook:
    """The teacher's settings for the Wall."""

    digits: bool = True
    squares: bool = True
    edge: Edge = "bottom"
    least_share: float = LEAST_SHARE


def squares_left(left_ms: int) -> tuple[int, int]:
    """Minutes that have not begun, and the fourths left, 0 to 4, of the one that has.

    What is left in all is counted in fourths that last until they are over, like the seconds of the digits.
    That alone would show 4:48 as five full squares, which is what 5:00 looks like. So a minute that has begun
    is never a full square, even while it has all four fourths: the full squares are the minutes of the
    digits, always, and whoever counts them reads "four, and a part of one".
    """
    shown_s = max(0, -(-left_ms // 1000))
    full, begun_s = divmod(shown_s, SQUARE_S)
    return full, -(-begun_s // FOURTH_S)


def squares_in(total_s: int) -> tuple[int, int]:
    """How many squares a time is in all, and how many fourths the last one has: 90 s are one and a half."""
    fourths = -(-max(total_s, 0) // FOURTH_S)
    whole = -(-fourths // FOURTHS)
    return whole, fourths - FOURTHS * (whole - 1) if whole else FOURTHS


def wall_frame(reading: "Reading", look: WallLook = WallLook()) -> WallFrame:
    """The Wall of a lesson at the instant that was read, as the teacher's settings want it to look."""
    state = reading.state
    if state.outline is None or state.ended_ms is not None:
        return _at_rest(state, look)
    if state.is_blank:
        return WallFrame("blank")
    if state.face == "off":
        return WallFrame("off")
    current = reading.allotments
    if reading.half is not None:
        return _groups_frame(reading, reading.half, look)
    if current is None:
        return _at_rest(state, look)
    phase = state.plan.phases[current.index]
    talk, left = state.talk, reading.partners_left_ms
    if talk is not None and left is not None:
        total_s, title = talk.length_s, _("Partner talk")
        line, second = (talk.prompt, "") if talk.prompt else (phase.class_line, phase.second_line)
        turn = 0 if left <= 0 else 1 if 2 * left > total_s * 1000 else 2
    else:
        left = reading.left_ms
        total_s, title, line, second = current.allotted_s, phase.title, phase.class_line, phase.second_line
        turn = 0
    fill = _fill(state)
    frame = WallFrame(
        **_timed(reading, left, total_s, look),
        title=title,
        line=line,
        second_line=second,
        next_title=next_title(state),
        fill=fill,
        problem=phase.problem if fill == "problem" else "",
        picture=_picture(state, phase) if fill == "picture" else None,
        turn=turn,
    )
    return _without_time(frame) if state.hidden else frame


class _Squares(TypedDict):
    full: int
    fourths: int
    whole: int
    last: int


class _Timed(_Squares):
    face: Face
    shape: Literal["full", "strip"]
    digits: str | None
    note: str
    waiting: bool
    over: bool
    edge: Edge
    least_share: float


def _timed(reading: "Reading", left_ms: int, total_s: int, look: WallLook) -> _Timed:
    """The face with what is left of a time, the same in both halves."""
    state, over = reading.state, left_ms <= 0
    return _Timed(
        face=state.face,
        shape="strip" if state.face == "strip" else "full",
        digits=countdown(left_ms) if look.digits else None,
        **squares(left_ms, total_s, look),
        note=_note(state, reading.now_ms, over),
        waiting=state.is_paused,
        over=over,
        edge=state.edge or look.edge,
        least_share=look.least_share,
    )


def ready_frame(outline: Outline, look: WallLook = WallLook()) -> WallFrame:
    """The Wall before the start: the lesson's title, and no time yet."""
    first = outline.phases[0]
    return WallFrame(
        "full", title=outline.title, line=first.class_line, second_line=first.second_line,
        least_share=look.least_share,
    )  # fmt: skip


def _groups_frame(reading: "Reading", half: "SecondHalf", look: WallLook) -> WallFrame:
    """The Wall of the second half: its time, and where each group is."""
    state = reading.state
    frame = WallFrame(
        **_timed(reading, half.left_ms, half.allotted_s, look),
        title=leg_title(half, state.plan),
        next_title=_after_leg(state),
        groups=group_places(reading),
        moving=children_walk(half),
        picture=move_picture(reading),
        prompt=state.plan.share_prompt if half.leg.kind == "share" else "",
    )
    return _without_time(frame) if state.hidden else frame


_NO_SQUARES = _Squares(full=0, fourths=0, whole=0, last=FOURTHS)


def squares(left_ms: int, total_s: int, look: WallLook) -> _Squares:
    """The squares of a time, where the teacher wants any."""
    if not look.squares:
        return _NO_SQUARES
    full, fourths = squares_left(left_ms)
    whole, last = squares_in(total_s)
    return _Squares(full=full, fourths=fourths, whole=whole, last=last)


def _after_leg(state: "LessonState") -> str:
    """What the class does after this leg; groups see by their places where they go."""
    from pacer.run.second_half import following  # not before a lesson: the first page waits for no more

    step = following(state)
    if step is None or step.kind in ("visit", "swap", "move"):
        return ""
    return _("Share") if step.kind == "share" else _("Clean up")


def _note(state: "LessonState", now_ms: int, over: bool) -> str:
    """The one word beside the time."""
    if state.is_paused:
        return _("Wait")
    if state.settling_ms is not None and now_ms - state.settling_ms < SETTLE_SHOWN_MS:
        return _("Eyes back")
    return _("Finish up") if over else ""


def _fill(state: "LessonState") -> Fill:
    """What fills the Wall beside a strip: the picture, the typed problem, or nothing but the countdown.

    A prompt for partner talk takes the place of a typed problem, but not of a picture to talk about.
    """
    phase = state.phase
    if state.face != "full" or phase is None or not (phase.attach or phase.problem):
        return "countdown"
    fill = state.filled_with
    return "countdown" if fill == "problem" and state.talk is not None and state.talk.prompt else fill


def _picture(state: "LessonState", phase: Phase) -> PictureKey:
    page = state.shown_page if phase.is_pdf else 1
    return PictureKey(state.index or 0, page)


def _without_time(frame: WallFrame) -> WallFrame:
    """Squares, digits and their space go; nobody can read time from a gap. "Finish up" still comes."""
    return replace(frame, face="hidden", digits=None, turn=0, over=False, **_NO_SQUARES)


def _at_rest(state: "LessonState", look: WallLook) -> WallFrame:
    """Before the start and after the end, in the face the teacher chose: what comes now, and no time."""
    if state.outline is None:
        return WallFrame("full", least_share=look.least_share)
    if state.face == "off":
        return WallFrame("off")
    plan = state.plan
    to_groups = plan.mini_count == len(plan.phases) and state.bell_offset_s is None
    title = after_mini_lesson(plan) if to_groups else ""
    edge = state.edge or look.edge
    return WallFrame(
        state.face, state.face, title=title or plan.title, edge=edge, least_share=look.least_share
    )


def next_title(state: "LessonState") -> str:
    """What comes after the running phase: the next one, or the groups after the mini lesson."""
    index, after = state.index, state.next_index
    if index is None:
        return ""
    if after is not None:
        return state.plan.phases[after].title
    return after_mini_lesson(state.plan) if index < state.plan.mini_count else ""


def after_mini_lesson(plan: Outline) -> str:
    """What a mini lesson leads to where the outline does not say it."""
    return _("Small groups") if plan.block.groups > 0 else ""
