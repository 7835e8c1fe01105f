"""What lies on a lesson's timeline, as frozen values: stays in phases, marks, bursts, gaps, and lengths."""

from dataclasses import dataclass
from typing import Literal, NamedTuple

from pacer.run import events as ev
from pacer.run.events import Ending

SETTLE_MS = 120_000  # a choice of ours: no class takes longer to come back from partner talk
QUIET_MS = 20 * 60_000  # fixed: longer than any phase that ordinary lessons have

CutChoice = Literal["", "kept", "declined"]


@dataclass(frozen=True)
class Span:
    """A stretch of lesson time in milliseconds; ``end_ms`` is None while it lasts."""

    begin_ms: int
    end_ms: int | None = None

    def overlap_ms(self, begin_ms: int, end_ms: int) -> int:
        """How much of this span lies between two times; an open span lasts to ``end_ms``."""
        own_end = end_ms if self.end_ms is None else min(self.end_ms, end_ms)
        return max(0, own_end - max(self.begin_ms, begin_ms))


@dataclass(frozen=True)
class Visit:
    """One stay in a phase. A phase that was left and entered again has several.

    ``choice`` is what the teacher said to the re-cut of its border, ``leaving`` the phases that left with it,
    ``cut_anew`` when she asked for another one, in lesson time.
    """

    index: int
    begin_ms: int
    end_ms: int | None = None
    ending: Ending | None = None
    choice: CutChoice = ""
    leaving: tuple[int, ...] = ()
    cut_anew: tuple[int, ...] = ()


@dataclass(frozen=True)
class PartnerBurst:
    """A partner burst on the timeline, laid over phase ``index``."""

    index: int
    span: Span
    length_s: int
    prompt: str


@dataclass(frozen=True)
class TimedMark:
    """A press that only marks a time: a voice, an example, a tally, a table mark, a happening."""

    kind: str
    index: int
    t_ms: int
    number: int = 0


class AddedTime(NamedTuple):
    """Seconds given by hand to a phase, by its index, or taken when negative."""

    t_ms: int
    phase: int
    seconds: int


class Settle(NamedTuple):
    """How long all eyes took to come back, and the index of the phase then; -1 when none was running."""

    phase: int
    took_ms: int


class HalfTime(NamedTuple):
    """How long half of the class took to be ready, after what, and the index of the phase; -1 if none."""

    phase: int
    took_ms: int
    after: Literal["talk", "burst", "move", "phase"]


class Stall(NamedTuple):
    """A second that was shown late."""

    t_ms: int
    late_ms: int


class TimeGap(NamedTuple):
    """Time that passed unseen, or by which the clock was set, noticed at ``t_ms``."""

    t_ms: int
    gap_ms: int
    cause: str


class ScreensChange(NamedTuple):
    """Screens that came or went."""

    t_ms: int
    screens: ev.ScreensChanged


class GivenCue(NamedTuple):
    """A cue that the Desk gave."""

    t_ms: int
    cue: ev.Cue


Cues = tuple[GivenCue, ...]
