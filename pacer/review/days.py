"""What one lesson came to, as plain values for the pictures of Look back, and as text to keep them in."""

import json
from collections.abc import Sequence
from typing import Any, Literal, NamedTuple

from pacer.pace.stages import Stage
from pacer.plan.kinds import Fate, TalkMode
from pacer.plan.outline import Block
from pacer.run.events import Ending, Mode
from pacer.run.legs import LegKind

FORMAT = 10  # of the text that a day is kept in; raise it whenever a figure is worked out in another way


OTHER_CAUSES = (":start", ":plan", ":pauses", ":moves")
"""Causes of lateness that are no phase: no phase's id has a colon."""


class DayPhase(NamedTuple):
    """One phase of a lesson; seconds.

    ``begin_s`` and ``end_s`` are lesson times of its first begin and last end, None where it was not reached;
    ``added_s`` what was given (or taken) by hand. ``stage`` is what the Desk showed at an unsaid ending.
    ``mini`` tells the mini lesson's phases from those after it. ``left``: it left the lesson by a re-cut;
    ``fate`` is where it went as the teacher said afterwards, else where its outline sends it, empty where
    neither was written.
    """

    id: str
    title: str
    kind: str
    planned_s: int
    floor_s: int
    actual_s: int
    begin_s: int | None
    end_s: int | None
    added_s: int
    ending: Ending | None
    stage: Stage | None
    mini: bool
    left: bool
    fate: Fate | str
    reason: str

    @property
    def cut_off(self) -> bool:
        """Whether something from outside ended it, so that it needs at least the time it got."""
        return self.ending in ("bell", "interrupted")

    @property
    def reached(self) -> bool:
        """Whether the class was in it at all."""
        return self.begin_s is not None


class DayTalk(NamedTuple):
    """Teacher talk in the mini lesson, milliseconds; the ``wide_…`` stretch counts unmarked time as talk.

    The lengths are 0 where there was no talk; ``…_from_ms`` are lesson times.
    """

    teacher_ms: int
    unmarked_ms: int
    total_ms: int
    longest_ms: int
    longest_from_ms: int
    wide_ms: int
    wide_from_ms: int


class DayForecast(NamedTuple):
    """A forecast at a phase border: the chance, as a range, that groups start on time, and whether they did.

    ``in_time`` is None where nobody knows: the mini lesson was cut off.
    """

    phase: str
    low: float
    high: float
    lessons: int
    in_time: bool | None


class DayVisit(NamedTuple):
    """What one group had of its visit to the table, in seconds of lesson time, pauses left out.

    ``group`` is its name, ``planned_s`` the visit that the outline planned, ``begin_s`` when its first visit
    began, None where it had none. ``out`` says why it had none, or was cut short: pulled out (missed), left
    for another day (dropped); empty else.
    """

    group: str
    planned_s: int
    had_s: int
    begin_s: int | None
    out: Literal["", "missed", "dropped"] = ""


class DayHalf(NamedTuple):
    """The rest of a second half that was run, in seconds, pauses left out.

    ``transition_s`` is the walk to the groups, ``swaps_s`` all ``swaps`` together, ``share_s`` the share and
    ``kept_share_s`` what it should have kept. ``bell_cut`` is the leg that the bell cut short, empty where it
    cut nothing: a visit, a walk, or a share that had less than it should keep.
    """

    transition_s: int
    swaps: int
    swaps_s: int
    share_s: int
    kept_share_s: int
    bell_cut: LegKind | Literal[""] = ""


class Day(NamedTuple):
    """One lesson. ``planned_s`` is its planned start as seconds of the classroom's day; all times in seconds.

    ``late_s`` is how much later than planned it began, ``mini_end_s`` when the mini lesson was left for the
    last time, counted from the planned start of the block (None: never), ``group_late_s`` how much later than
    planned the groups started and ``causes`` its parts by phase id or name, which add up to it. ``ribbon`` is
    the mini lesson in talk modes, as (begin, end, mode) of lesson time. ``review_s`` is all reviewing
    together, against ``review_cap_s``; ``paused_s`` what passed in the mini lesson while no phase clock ran.
    ``groups`` are the names of the block's groups; ``visits`` and ``half`` what each really had, where visits
    were run (empty and None where they were not: groups typed as phases, a lesson that never got there, an
    old record). ``problems`` are the review problems gone through in ``problems_s``, as far as known.
    """

    run: int
    date: str
    title: str
    subject: str
    mode: Mode
    shape: str
    planned_s: int
    late_s: int
    block: tuple[int, int, int, int, int, int]
    mini_lesson_s: int
    mini_end_s: int | None
    group_late_s: int | None
    causes: tuple[tuple[str, int], ...]
    phases: tuple[DayPhase, ...]
    talk: DayTalk
    ribbon: tuple[tuple[int, int, TalkMode], ...]
    review_s: int
    review_cap_s: int
    forecasts: tuple[DayForecast, ...]
    cues: int
    length_s: int
    ended: bool
    flagged: bool
    repaired: bool
    thing: str
    paused_s: int = 0
    groups: tuple[str, ...] = ()
    visits: tuple[DayVisit, ...] = ()
    half: DayHalf | None = None
    problems: int = 0
    problems_s: int = 0

    @property
    def warned(self) -> bool:
        """Whether the Desk gave its warnings."""
        return self.mode != "baseline"

    @property
    def mini(self) -> tuple[DayPhase, ...]:
        """The phases of the mini lesson."""
        return tuple(phase for phase in self.phases if phase.mini)

    def block_of(self) -> Block:
        """The block that the lesson stood in."""
        length, move, groups, swap, clean_up, share = self.block
        return Block(
            length_s=length, move_s=move, groups=groups, swap_s=swap, clean_up_s=clean_up, share_s=share
        )


def day_to_text(day: Day) -> str:
    """A day as JSON; `day_from_text` reads it back."""
    return json.dumps(day, ensure_ascii=False, separators=(",", ":"))


def day_from_text(text: str) -> Day:
    """Read a day back. Raises ValueError or TypeError where the text is not one."""
    values: list[Any] = json.loads(text)
    day = Day._make(values)
    return day._replace(
        block=_six(day.block),
        causes=_tuples(day.causes),
        phases=tuple(DayPhase._make(phase) for phase in day.phases),
        talk=DayTalk._make(day.talk),
        ribbon=_tuples(day.ribbon),
        forecasts=tuple(DayForecast._make(forecast) for forecast in day.forecasts),
        groups=tuple(day.groups),
        visits=tuple(DayVisit._make(visit) for visit in day.visits),
        half=None if day.half is None else DayHalf._make(day.half),
    )


def _six(values: Sequence[int]) -> tuple[int, int, int, int, int, int]:
    one, two, three, four, five, six = values
    return one, two, three, four, five, six


def _tuples(lists: Sequence[Any]) -> tuple[Any, ...]:
    return tuple(tuple(values) for values in lists)
