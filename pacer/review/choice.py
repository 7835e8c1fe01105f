"""Like with like: which lessons, and which of their phases, a picture of Look back is made from."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pacer.review.days import Day, DayPhase
from pacer.run.events import Mode

LIVE: tuple[Mode, ...] = ("live",)


@dataclass(frozen=True)
class LessonChoice:
    """What is chosen; an empty tuple or text leaves nothing out.

    ``since`` and ``until`` are ISO dates, both included. Flagged days are left out everywhere unless
    ``flagged``; repaired ones are shown, but nothing is learned from them unless ``repaired``.
    """

    modes: tuple[Mode, ...] = LIVE
    kinds: tuple[str, ...] = ()
    subjects: tuple[str, ...] = ()
    shapes: tuple[str, ...] = ()
    titles: tuple[str, ...] = ()
    since: str = ""
    until: str = ""
    flagged: bool = False
    repaired: bool = False

    def days(self, days: Iterable[Day]) -> list[Day]:
        """The lessons to show, in the order in which they come."""
        return [day for day in days if self._takes(day) and (self.flagged or not day.flagged)]

    def learning(self, days: Iterable[Day]) -> list[Day]:
        """The lessons to learn from: those of ``days`` without the repaired ones."""
        return [day for day in self.days(days) if self.repaired or not day.repaired]

    def left_out(self, days: Iterable[Day]) -> tuple[int, int]:
        """How many lessons are left out as flagged, and from how many of the shown nothing is learned."""
        chosen = [day for day in days if self._takes(day)]
        flagged = 0 if self.flagged else sum(day.flagged for day in chosen)
        repaired = 0 if self.repaired else sum(day.repaired for day in self.days(chosen))
        return flagged, repaired

    def phases(self, day: Day) -> tuple[DayPhase, ...]:
        """The phases of a lesson's mini lesson that are of a chosen kind."""
        return tuple(phase for phase in day.mini if not self.kinds or phase.kind in self.kinds)

    def _takes(self, day: Day) -> bool:
        return (
            day.mode in self.modes
            and (not self.subjects or day.subject in self.subjects)
            and (not self.shapes or day.shape in self.shapes)
            and (not self.titles or day.title in self.titles)
            and (not self.since or day.date >= self.since)
            and (not self.until or day.date <= self.until)
        )


@dataclass(frozen=True)
class Choosable:
    """What there is to choose from, in order of the alphabet; kinds in the order in which they are met."""

    modes: tuple[Mode, ...]
    kinds: tuple[str, ...]
    subjects: tuple[str, ...]
    shapes: tuple[str, ...]
    titles: tuple[str, ...]
    first: str
    last: str


def choosable(days: Sequence[Day]) -> Choosable:
    """What occurs in lessons; an empty shape is the outline's own block."""
    kinds = dict.fromkeys(phase.kind for day in days for phase in day.mini)
    dates = [day.date for day in days]
    return Choosable(
        modes=tuple(sorted({day.mode for day in days})),
        kinds=tuple(kinds),
        subjects=tuple(sorted({day.subject for day in days})),
        shapes=tuple(sorted({day.shape for day in days})),
        titles=tuple(sorted({day.title for day in days})),
        first=min(dates, default=""),
        last=max(dates, default=""),
    )
