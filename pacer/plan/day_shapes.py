"""Day shapes: when the block starts and the bell rings on regular, early-release and assembly days."""

import re
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from typing import Annotated

from pydantic import Field

from pacer.plan.fit import honest_mini_lesson_s
from pacer.plan.outline import Block, Outline, OutlinePart

ClockTime = Annotated[str, Field(pattern=r"^([01]?\d|2[0-3]):[0-5]\d$")]
LEAST_MINI_S = 60
MOST_DOUBTS = 50


class DayShape(OutlinePart):
    """One entry of the bell schedule: the block's start on the classroom clock, and its parts in seconds."""

    name: Annotated[str, Field(min_length=1, max_length=60)]
    start: ClockTime
    length_s: Annotated[int, Field(ge=300, le=8 * 3600)]
    share_s: Annotated[int, Field(ge=0, le=3600)] = 300
    move_s: Annotated[int, Field(ge=0, le=3600)] = 120
    clean_up_s: Annotated[int, Field(ge=0, le=3600)] = 60
    groups: Annotated[int, Field(ge=0, le=12)] = 3
    swap_s: Annotated[int, Field(ge=0, le=3600)] = 90

    @property
    def block(self) -> Block:
        """The block of an outline on such a day."""
        return Block(
            length_s=self.length_s, move_s=self.move_s, groups=self.groups, swap_s=self.swap_s,
            clean_up_s=self.clean_up_s, share_s=self.share_s,
        )  # fmt: skip


class Doubt(OutlinePart):
    """An event of a calendar that could not be read, and the days on which it may be."""

    name: Annotated[str, Field(max_length=80)]
    first: date
    last: date


class DayShapes(OutlinePart):
    """All shapes, the weekly pattern and the exceptions; ``doubts`` are what a calendar left open.

    ``week`` maps a weekday (0 is Monday) and ``days`` an ISO date to a shape's name; an empty name is a day
    without the block. What neither names takes the first shape.
    """

    shapes: tuple[DayShape, ...] = ()
    week: dict[int, str] = Field(default_factory=dict)
    days: dict[str, str] = Field(default_factory=dict)
    doubts: Annotated[tuple[Doubt, ...], Field(max_length=MOST_DOUBTS)] = ()

    def named(self, name: str) -> DayShape | None:
        """The shape of a name; None for an unknown or empty one."""
        return next((shape for shape in self.shapes if shape.name == name), None)

    def on(self, day: date) -> DayShape | None:
        """The shape of a date; None where there are no shapes, or no block on that day."""
        name = self.days.get(day.isoformat(), self.week.get(day.weekday()))
        if name is None:
            return self.shapes[0] if self.shapes else None
        return self.named(name)

    def doubts_on(self, day: date) -> tuple[str, ...]:
        """What a calendar may hold on a date and could not be read; nothing once it has its own shape."""
        if day.isoformat() in self.days:
            return ()
        return tuple(dict.fromkeys(doubt.name for doubt in self.doubts if doubt.first <= day <= doubt.last))


# Starting values of ours, to be edited: no two schools ring alike.
STARTING_SHAPES = (
    DayShape(name="Regular", start="9:00", length_s=75 * 60),
    DayShape(name="Early release", start="9:00", length_s=48 * 60, share_s=180, groups=2),
    DayShape(name="Assembly", start="9:30", length_s=60 * 60),
)


def ends_at(shape: DayShape, day: date) -> datetime:
    """When the bell rings, as a naive classroom clock time."""
    hour, minute = (int(part) for part in shape.start.split(":"))
    return datetime.combine(day, time(hour, minute)) + timedelta(seconds=shape.length_s)


def on_a_day(outline: Outline, shape: DayShape, *, recut: bool) -> Outline:
    """An outline in the block of a day shape.

    With ``recut`` a mini lesson that is too long for the day gets its honest length; the lesson then begins
    with a cut of its budgets, as after a late start. Names, order and floors of the groups and the share stay
    the outline's; where fewer groups come, they are the first of the order.
    """
    was, groups = outline.block, outline.groups
    kept = {"visit_floor_s": was.visit_floor_s, "order": was.order}
    if was.share_floor_s is not None:
        kept["share_floor_s"] = min(was.share_floor_s, shape.share_s)
    if was.order and shape.groups < was.groups:
        coming = outline.visit_order[: shape.groups]
        groups = tuple(outline.visitors[number] for number in sorted(coming))
        kept["order"] = tuple(outline.visitors[number].name for number in coming)
    block = shape.block.model_copy(update=kept)
    mini = outline.mini_lesson_s
    if recut:
        mini = min(mini, max(LEAST_MINI_S, honest_mini_lesson_s(block)))
    return outline.model_copy(update={"block": block, "groups": groups, "mini_lesson_s": mini})


def too_long_s(outline: Outline, shape: DayShape) -> int:
    """By how many seconds the mini lesson is longer than the day's honest length, on a shorter day only."""
    if shape.length_s >= outline.block.length_s:
        return 0
    return max(0, outline.mini_lesson_s - max(LEAST_MINI_S, honest_mini_lesson_s(shape.block)))


def days_named(
    entries: Iterable[tuple[date, str]], shapes: DayShapes
) -> tuple[dict[date, str], tuple[tuple[date, str], ...]]:
    """Which dates of a calendar take which shape, by its name in the entry; and the entries without one.

    A name is there with all its words in a row, hyphens or not: the shape "A" is not in "Picture day". The
    longest name wins, so that "Early release with assembly" is not taken for an assembly alone.
    """
    ordered = sorted(shapes.shapes, key=lambda shape: (-len(shape.name), shape.name))
    shape_names: dict[date, str] = {}
    unnamed: list[tuple[date, str]] = []
    for day, summary in entries:
        text = _words(summary)
        shape = next((shape for shape in ordered if _names(text, _words(shape.name))), None)
        if shape is None:
            unnamed.append((day, summary))
        elif day not in shape_names or len(shape.name) > len(shape_names[day]):
            shape_names[day] = shape.name
    return shape_names, tuple(unnamed)


def doubts_in(unread: Iterable[tuple[str, date, date]], shapes: DayShapes) -> tuple[Doubt, ...]:
    """Of events that could not be read those that may name a shape: by its words, or since there are none."""
    named = [_words(shape.name) for shape in shapes.shapes]
    doubts = [
        Doubt(name=summary[:80], first=first, last=last)
        for summary, first, last in unread
        if not summary.strip() or any(_names(_words(summary), name) for name in named)
    ]
    return tuple(dict.fromkeys(doubts))[:MOST_DOUBTS]


def _names(text: str, name: str) -> bool:
    """Whether a text names a shape; "no early release" does not."""
    return name in text and f" no{name}" not in text


def _words(text: str) -> str:
    """The words of a text between single blanks, with one at each end."""
    words = re.findall(r"[^\W_]+", text.casefold())
    return f" {' '.join(words)} "
