"""What the Wall shows. It has no field for anything private: privacy by type, not by care."""

from dataclasses import dataclass
from typing import Literal

from pacer.frames.wording import countdown
from pacer.pace.cut import cut
from pacer.plan.outline import Outline
from pacer.run.state import LessonState
from pacer.text import _

SQUARE_S = 60
FOURTH_MS = 15_000
FOURTHS = 4


@dataclass(frozen=True)
class WallFrame:
    """All that children may see.

    ``face``: full, strip, hidden (no time and no space for it) or off. ``shape`` says whether a
    hidden face fills the screen or lies in the strip. ``full`` and ``fourths`` are the minute squares
    left, ``whole`` how many there are in all; ``digits`` is None where no digits are shown.
    """

    face: Literal["full", "strip", "hidden", "off"]
    shape: Literal["full", "strip"] = "full"
    title: str = ""
    line: str = ""
    second_line: str = ""
    digits: str | None = None
    full: int = 0
    fourths: int = 0
    whole: int = 0
    note: str = ""
    next_title: str = ""
    waiting: bool = False
    over: bool = False


def squares_left(left_ms: int) -> tuple[int, int]:
    """Full minute squares and fourths of the leaving one, from the milliseconds left."""
    return divmod(max(0, -(-left_ms // FOURTH_MS)), FOURTHS)


def wall_frame(state: LessonState, now_ms: int, *, digits: bool = True, squares: bool = True) -> WallFrame:
    """The Wall of a lesson at a time; ``digits`` and ``squares`` are the teacher's settings."""
    if state.outline is None or state.ended_ms is not None:
        return _at_rest(state)
    if state.face == "off":
        return WallFrame("off")
    current = cut(state)
    if current is None:
        return _at_rest(state)
    if state.talk is not None:
        left = state.talk_left_ms(now_ms)
        total_s, title, second = state.talk.length_s, _("Partner talk"), ""
        line = state.talk.prompt or state.plan.phases[current.index].class_line
    else:
        phase = state.plan.phases[current.index]
        left = current.allotted_s * 1000 - state.spent_ms(current.index, now_ms)
        total_s, title, line, second = current.allotted_s, phase.title, phase.class_line, phase.second_line
    over = left <= 0
    full, fourths = squares_left(left)
    frame = WallFrame(
        face=state.face,
        shape="strip" if state.face == "strip" else "full",
        title=title,
        line=line,
        second_line=second,
        digits=countdown(left) if digits else None,
        full=full if squares else 0,
        fourths=fourths if squares else 0,
        whole=-(-max(total_s, 0) // SQUARE_S) if squares else 0,
        note=_("Wait") if state.is_paused else _("Finish up") if over else "",
        next_title=next_title(state),
        waiting=state.is_paused,
        over=over,
    )
    return _without_time(frame) if state.hidden else frame


def ready_frame(outline: Outline) -> WallFrame:
    """The Wall before the start: the lesson's title, and no time yet."""
    first = outline.phases[0]
    return WallFrame("full", title=outline.title, line=first.class_line, second_line=first.second_line)


def _without_time(frame: WallFrame) -> WallFrame:
    """Squares, digits and their space go; nobody can read time from a gap. "Finish up" still comes."""
    return WallFrame(
        "hidden", frame.shape, frame.title, frame.line, frame.second_line, note=frame.note,
        next_title=frame.next_title, waiting=frame.waiting,
    )  # fmt: skip


def _at_rest(state: LessonState) -> WallFrame:
    """Before the start and after the end, in the face the teacher chose: what comes now, and no time."""
    if state.outline is None:
        return WallFrame("full")
    if state.face == "off":
        return WallFrame("off")
    plan = state.plan
    to_groups = plan.mini_count == len(plan.phases) and state.bell_offset_s is None
    title = after_mini_lesson(plan) if to_groups else ""
    return WallFrame(state.face, state.face, title=title or plan.title)


def next_title(state: LessonState) -> str:
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
