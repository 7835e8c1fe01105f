"""The second half of a lesson as legs: move, visit, swap, share, clean-up; what follows which. Pure."""

from dataclasses import dataclass
from typing import Literal, NamedTuple

LegKind = Literal["move", "visit", "swap", "share", "clean_up"]


@dataclass(frozen=True)
class Leg:
    """A stretch of the second half, in lesson milliseconds; ``end_ms`` is None while it lasts.

    ``group`` is the number of the group that a visit is of, or that a move or a swap leads to; -1 in share
    and clean-up.
    """

    kind: LegKind
    group: int
    begin_ms: int
    end_ms: int | None = None


class LegChange(NamedTuple):
    """Seconds given by hand to a leg, by its place among all legs, or taken when negative."""

    t_ms: int
    leg: int
    seconds: int


class GroupOut(NamedTuple):
    """A group that has no visit today, by its number: pulled out, or left for another day.

    ``after`` is how many changes by hand had come before it: two presses may be of one millisecond.
    """

    t_ms: int
    group: int
    why: Literal["missed", "dropped"]
    after: int = 0


class BellChange(NamedTuple):
    """The bell rings so many seconds later than it would, or earlier when negative; ``after`` as above."""

    t_ms: int
    seconds: int
    after: int = 0


class NextLeg(NamedTuple):
    """A leg to go to."""

    kind: LegKind
    group: int = -1
