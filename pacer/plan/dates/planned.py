"""Which outlines stand on which date, in order: a frozen value and what can be done with it."""

import re
from collections.abc import Callable, Collection, Iterable
from datetime import date, timedelta
from typing import Annotated, NamedTuple, Self

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

MOST_DAYS, MOST_A_DAY, MOST_MOVES, MOST_TAUGHT = 2000, 8, 500, 4000
_LONGEST_NAME = 255
TEMPLATE = "template/"  # before the file name of an outline that is Pacer's own


# Signs that lead elsewhere, end a line, or are half a character, which no text can hold.
_UNUSABLE = re.compile(r"[/\\\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")


def can_stand(name: str) -> bool:
    """Whether an outline of this file name can be planned: nothing in it could lead out of its folder."""
    plain = name.removeprefix(TEMPLATE)
    return plain not in ("", ".", "..") and len(name) <= _LONGEST_NAME and not _UNUSABLE.search(plain)


def _file_name(name: str) -> str:
    """A file name that will do. Raises ValueError."""
    if not can_stand(name):
        raise ValueError("no file name")
    return name


def _iso_date(text: str) -> str:
    if date.fromisoformat(text).isoformat() != text:
        raise ValueError("no ISO date")
    return text


Name = Annotated[str, Field(max_length=_LONGEST_NAME), AfterValidator(_file_name)]
IsoDate = Annotated[str, AfterValidator(_iso_date)]
Outlines = Annotated[tuple[Name, ...], Field(max_length=MOST_A_DAY)]


class MovedOutline(BaseModel):
    """An outline put from one date to another, or with ``to`` empty taken away. Unknown keys are kept."""

    model_config = ConfigDict(frozen=True, extra="allow", defer_build=True)

    name: Name
    day: IsoDate
    to: IsoDate | Annotated[str, Field(max_length=0)] = ""


class DaySlot(NamedTuple):
    """Where an outline stands: a date, and its number among the outlines of that date."""

    day: date
    at: int


class PlannedDays(BaseModel):
    """The outlines of each date by the names of their files. Unknown keys are kept.

    ``days`` maps an ISO date to names in the order of the day; a name that begins with ``template/`` is one
    of Pacer's templates. ``moves`` are what was put elsewhere, the newest last. ``taught`` maps the start of
    a lesson, in UTC milliseconds, to the name that its outline has now: day records know only its title then.
    """

    model_config = ConfigDict(frozen=True, extra="allow")

    days: Annotated[dict[IsoDate, Outlines], Field(max_length=MOST_DAYS)] = Field(default_factory=dict)
    moves: Annotated[tuple[MovedOutline, ...], Field(max_length=MOST_MOVES)] = ()
    taught: Annotated[dict[int, Name], Field(max_length=MOST_TAUGHT)] = Field(default_factory=dict)

    def of(self, day: date) -> tuple[str, ...]:
        """The outlines of a date, in order."""
        return self.days.get(day.isoformat(), ())

    def is_full(self, day: date) -> bool:
        """Whether no more outlines fit on a date."""
        return len(self.of(day)) >= MOST_A_DAY

    def with_day(self, day: date, names: tuple[str, ...]) -> Self:
        """Other outlines on a date."""
        days = {key: kept for key, kept in self.days.items() if key != day.isoformat()}
        if names:
            days[day.isoformat()] = names[:MOST_A_DAY]
        return self._with(days)

    def assigned(self, day: date, name: str, at: int | None = None) -> Self:
        """One outline more on a date, last or at a place.

        As it is where the date is full, or the name won't do.
        """
        if self.is_full(day) or not can_stand(name):
            return self
        names = list(self.of(day))
        names.insert(len(names) if at is None else at, name)
        return self.with_day(day, tuple(names))

    def taken_away(self, place: DaySlot) -> Self:
        """Without one outline of a date; as it is where none stands there."""
        names = self.of(place.day)
        if not 0 <= place.at < len(names):
            return self
        left = self.with_day(place.day, (*names[: place.at], *names[place.at + 1 :]))
        return left._noted([MovedOutline(name=names[place.at], day=place.day.isoformat())])

    def moved(self, place: DaySlot, to: date, at: int | None = None) -> Self:
        """One outline on another date, last or at a place, or elsewhere in the order of its own."""
        names = self.of(place.day)
        if not 0 <= place.at < len(names) or (to != place.day and self.is_full(to)):
            return self
        name = names[place.at]
        put = self.with_day(place.day, (*names[: place.at], *names[place.at + 1 :])).assigned(to, name, at)
        if to == place.day:
            return put
        return put._noted([MovedOutline(name=name, day=place.day.isoformat(), to=to.isoformat())])

    def week_copied(self, monday: date, has_school: Callable[[date], bool]) -> Self:
        """The week before that of ``monday``, on the same weekdays.

        A date that has outlines already keeps them; one without school gets none.
        """
        copied = self
        for day in (monday + timedelta(days=number) for number in range(7)):
            if has_school(day) and not self.of(day):
                copied = copied.with_day(day, self.of(day - timedelta(days=7)))
        return copied

    def shifted(self, first: date, school_day_after: Callable[[date], date | None]) -> Self:
        """All that is planned from a date on, each on the next date with school.

        As it is where a date has none after it, or would get more than fit.
        """
        days = {key: names for key, names in self.days.items() if date.fromisoformat(key) < first}
        moves = []
        for key in sorted(self.days.keys() - days.keys()):
            to = school_day_after(date.fromisoformat(key))
            if to is None:
                return self
            names = (*days.get(to.isoformat(), ()), *self.days[key])
            if len(names) > MOST_A_DAY:
                return self
            days[to.isoformat()] = names
            moves += [MovedOutline(name=name, day=key, to=to.isoformat()) for name in self.days[key]]
        return self._with(days)._noted(moves)

    def renamed(self, old: str, new: str) -> Self:
        """An outline under another name, wherever it stands; on no date where that name won't do."""
        if not can_stand(new):
            return self.without(old)

        def named(name: str) -> str:
            return new if name == old else name

        moves = tuple(move.model_copy(update={"name": named(move.name)}) for move in self.moves)
        days = {key: tuple(map(named, names)) for key, names in self.days.items()}
        taught = {start: named(name) for start, name in self.taught.items()}
        return self._with(days).model_copy(update={"moves": moves, "taught": taught})

    def was_taught(self, starts: Iterable[int], name: str) -> Self:
        """Lessons that began at these times (UTC, ms) were of an outline, unless its name won't do."""
        if not can_stand(name):
            return self
        kept = sorted({**self.taught, **dict.fromkeys(starts, name)}.items())[-MOST_TAUGHT:]
        return self.model_copy(update={"taught": dict(kept)})

    def with_lessons(self, starts: Collection[int]) -> Self:
        """Without what is known of lessons that began at other times (UTC, ms): their records are deleted."""
        taught = {start: name for start, name in self.taught.items() if start in starts}
        return self.model_copy(update={"taught": taught})

    def places(self, name: str) -> tuple[DaySlot, ...]:
        """Where an outline stands, the earliest first."""
        return tuple(
            DaySlot(date.fromisoformat(key), at)
            for key in sorted(self.days)
            for at, each in enumerate(self.days[key])
            if each == name
        )

    def without(self, name: str) -> Self:
        """Without an outline, wherever it stands; lessons of it are known by their titles again."""
        days = {key: tuple(each for each in names if each != name) for key, names in self.days.items()}
        taught = {start: each for start, each in self.taught.items() if each != name}
        left = self._with({key: names for key, names in days.items() if names})
        return left.model_copy(update={"taught": taught})

    def put_back(self, name: str, places: tuple[DaySlot, ...]) -> Self:
        """An outline at places where it stood; a date that is full by now is left out."""
        back = self
        for place in places:
            back = back.assigned(place.day, name, place.at)
        return back

    def _with(self, days: dict[str, tuple[str, ...]]) -> Self:
        kept = sorted(days.items())[-MOST_DAYS:]
        return self.model_copy(update={"days": dict(kept)})

    def _noted(self, moves: list[MovedOutline]) -> Self:
        return self.model_copy(update={"moves": (*self.moves, *moves)[-MOST_MOVES:]})
