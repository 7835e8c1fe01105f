"""How much of the mini lesson was teacher talk, as a range, and when it went on longest.

From talk modes and presses alone; nobody listens. Pauses leave both sides of a share. Unmarked time may have
been talk or not, so each share has a low end (none of it was) and a high one (all of it was).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

from pacer.plan.kinds import TalkMode
from pacer.review.days import Day, DayTalk


@dataclass(frozen=True)
class TalkDay:
    """One lesson: exact shares of its mini lesson, its talk in milliseconds, its pieces in seconds."""

    run: int
    date: str
    title: str
    talk: DayTalk
    pieces: tuple[tuple[int, int, TalkMode], ...]

    @property
    def low(self) -> Fraction:
        """The share if no unmarked time was talk, 0 to 1."""
        return Fraction(self.talk.teacher_ms, self.talk.total_ms)

    @property
    def high(self) -> Fraction:
        """The share if all unmarked time was talk, 0 to 1."""
        return Fraction(self.talk.teacher_ms + self.talk.unmarked_ms, self.talk.total_ms)


@dataclass(frozen=True)
class TalkShareDays:
    """The chosen lessons in order of time; ``without`` had no time in their mini lesson and are left out."""

    days: tuple[TalkDay, ...]
    without: int

    @property
    def low(self) -> Fraction:
        """The median of the low ends. Raises StatisticsError (a ValueError) without a lesson."""
        return median(day.low for day in self.days)

    @property
    def high(self) -> Fraction:
        """The median of the high ends. Raises StatisticsError (a ValueError) without a lesson."""
        return median(day.high for day in self.days)

    @property
    def longest(self) -> TalkDay | None:
        """The lesson with the longest unbroken stretch, the first of several; None where nobody talked."""
        longest = max(self.days, key=lambda day: day.talk.longest_ms, default=None)
        return longest if longest is not None and longest.talk.longest_ms else None


def talk_shares(days: Iterable[Day]) -> TalkShareDays:
    """The shares of some lessons."""
    every = list(days)
    talked = tuple(
        TalkDay(day.run, day.date, day.title, day.talk, day.ribbon) for day in every if day.talk.total_ms > 0
    )
    return TalkShareDays(talked, len(every) - len(talked))
