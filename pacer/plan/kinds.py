"""The table of phase kinds and the defaults each gives to a phase that says nothing.

The figures are starting values of ours, to be edited in an outline; that warm-up and review
together stay within five minutes is common practice, no source.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

Talk = Literal["teacher", "class", "partners", "quiet", "unmarked"]
Fate = Literal["table", "tomorrow", "dropped"]
KindName = Literal[
    "warm-up", "review", "modeling", "vocabulary", "partner-talk", "guided-practice",
    "look-back", "move", "group", "share", "other",
]  # fmt: skip

REVIEWING = "reviewing"
REVIEWING_CAP_S = 300
BURST_S = 30


@dataclass(frozen=True)
class Kind:
    """Defaults of one phase kind: ``floor`` is a share of the budget, ``cut_tier`` 1 gives first."""

    name: KindName
    floor: Fraction
    cut_tier: int
    talk: Talk
    cap_group: str | None = None
    examples: int = 0


_HALF, _THIRDS, _THREE_QUARTERS = Fraction(1, 2), Fraction(2, 3), Fraction(3, 4)

KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind("warm-up", _HALF, 1, "class", REVIEWING),
        Kind("review", _HALF, 1, "class", REVIEWING),
        Kind("modeling", _THIRDS, 2, "teacher", examples=2),
        Kind("vocabulary", _THIRDS, 2, "teacher"),
        Kind("partner-talk", _HALF, 2, "partners"),
        Kind("guided-practice", _THREE_QUARTERS, 3, "class"),
        Kind("look-back", _HALF, 1, "class"),
        Kind("move", Fraction(1), 3, "unmarked"),
        Kind("group", _THIRDS, 3, "unmarked"),
        Kind("share", _HALF, 2, "class"),
        Kind("other", _HALF, 2, "unmarked"),
    )
}

AFTER_MINI_LESSON: frozenset[str] = frozenset({"move", "group", "share"})
