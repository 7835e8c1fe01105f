"""What was not taught, and where did it go? Planned phases that the class did not get.

A phase counts as not taught where it left by a re-cut, was skipped, or was cut off from outside before its
floor. Groups and a share that the outline has as phases count, too, as far as it is known what became of
them: who ends the lesson by hand when groups start may well have had both. Taught and not taught add up to
all that was planned.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from pacer.plan.kinds import KINDS, Fate
from pacer.review.choice import LessonChoice
from pacer.review.days import Day, DayPhase

Why = Literal["left", "skipped", "cut off"]
LeftFate = Fate | Literal[""]
WENT: tuple[LeftFate, ...] = ("table", "tomorrow", "dropped", "")
"""Where a phase goes, as its outline says; empty where that was not written down."""


@dataclass(frozen=True)
class Missing:
    """One phase that was not taught; ``planned_s`` and ``actual_s`` in seconds."""

    run: int
    date: str
    lesson: str
    phase: str
    kind: str
    why: Why
    went: LeftFate
    planned_s: int
    actual_s: int

    @property
    def missing_s(self) -> int:
        """Seconds of its budget that the class did not get, never below 0."""
        return max(0, self.planned_s - self.actual_s)


@dataclass(frozen=True)
class NotTaughtRow:
    """A kind of phase, or one phase of a single outline by its id; how often it was planned."""

    name: str
    title: str
    planned: int
    missing: tuple[Missing, ...]

    @property
    def taught(self) -> int:
        """How often it was taught."""
        return self.planned - len(self.missing)

    @property
    def missing_s(self) -> int:
        """Seconds that are missing altogether."""
        return sum(phase.missing_s for phase in self.missing)

    def of(self, went: LeftFate) -> tuple[Missing, ...]:
        """Those that went to one place."""
        return tuple(phase for phase in self.missing if phase.went == went)


@dataclass(frozen=True)
class NotTaught:
    """A row for each kind or phase that was planned in ``lessons`` lessons."""

    rows: tuple[NotTaughtRow, ...]
    lessons: int
    by_kind: bool

    @property
    def planned(self) -> int:
        """How many phases were planned."""
        return sum(row.planned for row in self.rows)

    @property
    def missing(self) -> tuple[Missing, ...]:
        """All that was not taught, the oldest first; within a lesson in the order of the rows."""
        return tuple(
            sorted((phase for row in self.rows for phase in row.missing), key=lambda phase: phase.date)
        )


def not_taught(days: Sequence[Day], choice: LessonChoice) -> NotTaught:
    """What was not taught in the lessons that are shown, of the chosen kinds."""
    shown = [(day, phases) for day in choice.days(days) if (phases := planned_phases(day, choice))]
    by_kind = len({day.title for day, _phases in shown}) > 1
    planned: dict[str, list[tuple[Day, DayPhase]]] = {}
    for day, phases in shown:
        for phase in phases:
            planned.setdefault(phase.kind if by_kind else phase.id, []).append((day, phase))
    # Outlines differ in their order, the table of kinds is one for all.
    names = [kind for kind in KINDS if kind in planned] if by_kind else list(planned)
    rows = tuple(
        NotTaughtRow(name, planned[name][-1][1].title, len(planned[name]), missing(planned[name]))
        for name in names
    )
    return NotTaught(rows, len(shown), by_kind)


def planned_phases(day: Day, choice: LessonChoice) -> tuple[DayPhase, ...]:
    """The phases of chosen kinds of which it is known whether they were taught."""
    known = known_after(day)
    return choice.phases(day) + tuple(p for p in known if not choice.kinds or p.kind in choice.kinds)


def known_after(day: Day) -> tuple[DayPhase, ...]:
    """Groups and share that were reached, passed over, or that the bell left no time for."""
    after = [phase for phase in day.phases if not phase.mini]
    last = max((at for at, phase in enumerate(after) if phase.reached), default=-1)
    rang = any(phase.ending == "bell" for phase in day.phases)
    return tuple(
        phase for at, phase in enumerate(after) if phase.kind in ("group", "share") and (rang or at <= last)
    )


def why_not(phase: DayPhase) -> Why | None:
    """Why a phase was not taught; None where it was."""
    if phase.left and not phase.reached:
        return "left"
    if phase.ending == "skipped" or not phase.reached:
        return "skipped"
    return "cut off" if phase.cut_off and phase.actual_s < phase.floor_s else None


def missing(planned: Iterable[tuple[Day, DayPhase]]) -> tuple[Missing, ...]:
    """Those of some planned phases that were not taught, in the same order."""
    return tuple(
        Missing(
            run=day.run,
            date=day.date,
            lesson=day.title,
            phase=phase.title,
            kind=phase.kind,
            why=why,
            went=next((went for went in WENT if went == phase.fate), ""),
            planned_s=phase.planned_s,
            actual_s=phase.actual_s,
        )
        for day, phase in planned
        if (why := why_not(phase)) is not None
    )
