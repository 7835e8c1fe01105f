"""The table of phase kinds: the usual budget, floor, cut tier and talk mode of each.

The figures are starting values that the teacher may change. Each says whether it is common practice in the
trade, without a published source, or a choice of ours.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

TalkMode = Literal["teacher", "class", "partners", "quiet", "unmarked"]
Fate = Literal["table", "tomorrow", "dropped"]
KindName = Literal[
    "warm-up", "review", "modeling", "vocabulary", "partner-talk", "guided-practice",
    "look-back", "move", "group", "share", "other",
]  # fmt: skip
Standing = Literal["common practice", "ours"]

REVIEWING = "reviewing"
REVIEWING_CAP_S = 300  # warm-up and review together: common practice, no source
BURST_S = 30


@dataclass(frozen=True)
class Kind:
    """Defaults of one phase kind.

    ``budget_s`` is what a new phase gets, ``floor`` a share of its budget, ``cut_tier`` 1 gives first.
    ``standing`` says where the figures come from; ``cap_s`` caps a phase of the kind where its outline says
    nothing, None where nothing does.
    """

    name: KindName
    budget_s: int
    floor: Fraction
    cut_tier: int
    talk: TalkMode
    cap_group: str | None = None
    examples: int = 0
    standing: Standing = "ours"
    cap_s: int | None = None


class KindChange(BaseModel):
    """What a teacher changed of a kind; None keeps the starting value. ``floor_percent`` is of the budget."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    budget_s: Annotated[int, Field(ge=15, le=3 * 3600)] | None = None
    floor_percent: Annotated[int, Field(ge=0, le=100)] | None = None
    cut_tier: Annotated[int, Field(ge=1, le=9)] | None = None
    talk: TalkMode | None = None
    examples: Annotated[int, Field(ge=0, le=20)] | None = None
    cap_s: Annotated[int, Field(ge=15, le=3 * 3600)] | None = None


_HALF, _THIRDS, _THREE_QUARTERS = Fraction(1, 2), Fraction(2, 3), Fraction(3, 4)

KINDS: dict[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind("warm-up", 120, _HALF, 1, "class", REVIEWING, standing="common practice"),
        Kind("review", 180, _HALF, 1, "class", REVIEWING, standing="common practice"),
        Kind("modeling", 420, _THIRDS, 2, "teacher", examples=2, standing="common practice"),
        Kind("vocabulary", 180, _THIRDS, 2, "teacher"),
        Kind("partner-talk", 120, _HALF, 2, "partners"),
        Kind("guided-practice", 480, _THREE_QUARTERS, 3, "class"),
        Kind("look-back", 120, _HALF, 1, "class"),
        Kind("move", 120, Fraction(1), 3, "unmarked"),
        Kind("group", 780, _THIRDS, 3, "unmarked"),
        Kind("share", 300, _HALF, 2, "class", standing="common practice"),
        Kind("other", 180, _HALF, 2, "unmarked"),
    )
}
_in_use: dict[str, Kind] = dict(KINDS)
_reviewing_cap_s = [REVIEWING_CAP_S]


def kind_of(name: str) -> Kind:
    """The kind as the teacher has it; ``other`` for an unknown name."""
    return _in_use.get(name, _in_use["other"])


def reviewing_cap_s() -> int:
    """The usual cap on warm-up and review together, in seconds, as the teacher has it."""
    return _reviewing_cap_s[0]


def figures_in_use() -> tuple[int, tuple[Kind, ...]]:
    """What an outline's reader fills in by itself: whoever keeps what was read asks for them too."""
    return _reviewing_cap_s[0], tuple(_in_use.values())


def use_kinds(changes: Mapping[str, KindChange], reviewing_s: int = REVIEWING_CAP_S) -> None:
    """Install the teacher's changes process-wide: at the start and when she edits them.

    ``reviewing_s`` is her cap on warm-up and review together.
    """
    _reviewing_cap_s[0] = reviewing_s
    _in_use.clear()
    _in_use.update({name: changed(kind, changes.get(name)) for name, kind in KINDS.items()})


def changed(kind: Kind, change: KindChange | None) -> Kind:
    """A kind with what was changed of it."""
    if change is None:
        return kind
    values = change.model_dump(exclude_none=True)
    percent = values.pop("floor_percent", None)
    floor = kind.floor if percent is None else Fraction(percent, 100)
    return replace(kind, floor=floor, **values, standing="ours" if change != KindChange() else kind.standing)


AFTER_MINI_LESSON: frozenset[str] = frozenset({"move", "group", "share"})
