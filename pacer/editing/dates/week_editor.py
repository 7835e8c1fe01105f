"""The planned days under edit: every step with its undo, and in words what it did."""

from dataclasses import dataclass
from datetime import date, timedelta

from pacer.frames.words.dates import day_words, usual_words
from pacer.plan.dates.planned import MOST_A_DAY, DaySlot, PlannedDays, can_stand
from pacer.plan.dates.school_days import has_school, next_school_day, school_day_before
from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes
from pacer.settings.planned_days import DaysChange, PlannedDaysStore
from pacer.settings.store import SettingsStore
from pacer.text import _, counted

MOST_UNDONE = 100


@dataclass(frozen=True)
class _Change:
    """What one step changed, and in words what undoing it gives back."""

    words: str
    before: tuple[PlannedDays, DayShapes]
    after: tuple[PlannedDays, DayShapes]


class WeekEditor:
    """Each step returns what to tell. ``undo`` and ``redo`` take back whole steps, a snow day's too."""

    def __init__(self, planned: PlannedDaysStore, settings: SettingsStore) -> None:
        self._planned, self._settings = planned, settings
        self._done: list[_Change] = []
        self._undone: list[_Change] = []

    def has_school(self, day: date) -> bool:
        """Whether a date has lessons."""
        return has_school(self._shapes, day)

    def next_day(self, day: date, steps: int) -> date:
        """The school day after (1) or before (-1) a date; the date itself where a year has none."""
        step = next_school_day if steps > 0 else school_day_before
        return step(self._shapes, day) or day

    def assign(self, day: date, name: str, title: str, at: int | None = None) -> str:
        """Put an outline on a date."""
        if self._planned.now.is_full(day):
            return _full_words(day)
        if not can_stand(name):
            words = _("The name of its file, {file}, has signs that can't be planned: rename it in Library.")
            return words.format(file=ascii(name))
        return self._take(
            lambda days: days.assigned(day, name, at),
            _("{title} is on {day}.", title=title, day=day_words(day)),
        )

    def take_away(self, place: DaySlot, title: str) -> str:
        """Take an outline off a date; its file stays."""
        words = _("{title} is off {day}; its file stays.", title=title, day=day_words(place.day))
        return self._take_there(place, lambda days: days.taken_away(place), words)

    def move(self, place: DaySlot, to: date, title: str, at: int | None = None) -> str:
        """Put an outline on another date, or elsewhere in the order of its own."""
        if to != place.day and self._planned.now.is_full(to):
            return _full_words(to)
        words = _("{title} is on {day}.", title=title, day=day_words(to))
        return self._take_there(place, lambda days: days.moved(place, to, at), words)

    def _take_there(self, place: DaySlot, step: DaysChange, words: str) -> str:
        """Take a step with what is shown at a place; not where another window put something else there."""
        shown = self._planned.of(place.day)
        self._planned.refresh()
        if self._planned.of(place.day) != shown:
            return _("{day} was changed in another window meanwhile: look, then do it again.").format(
                day=day_words(place.day)
            )
        return self._take(lambda days: step(days) if days.of(place.day) == shown else days, words)

    def copy_last_week(self, monday: date) -> str:
        """Plan a week as the one before; what is planned stays, and a date without school gets nothing."""
        before = self._planned.now
        told = self._take(lambda days: days.week_copied(monday, self.has_school), _("Last week is copied."))
        if not told:
            return _("There is nothing to copy from last week, or every day of this one has lessons.")
        days = [monday + timedelta(days=number) for number in range(7)]
        left = [
            day
            for day in days
            if before.of(day - timedelta(days=7)) and before.of(day) == self._planned.of(day)
        ]
        if not left:
            return told
        return " ".join(
            (told, _("Left as they are: {days}.", days=", ".join(day_words(day) for day in left)))
        )

    def snow_day(self, day: date) -> str:
        """No school on a date: what is planned from it on moves on by a day with school."""
        self._settings.refresh()
        shapes = self._shapes.model_copy(update={"days": {**self._shapes.days, day.isoformat(): ""}})
        before = self._planned.now

        def after(each: date) -> date | None:
            return next_school_day(shapes, each)

        count = sum(len(names) for key, names in before.days.items() if key >= day.isoformat())
        if count and before.shifted(day, after) == before:
            return _("Nothing was moved: a day would have too many lessons.")
        words = counted(
            "No school on {day}: {n} lesson moved on by a school day.",
            "No school on {day}: {n} lessons moved on by a school day each.",
            count,
            day=day_words(day),
        )
        if not count:
            words = _("No school on {day}. No lesson had to move.", day=day_words(day))
        return self._take(lambda days: days.shifted(day, after), words, shapes)

    def shape(self, day: date, name: str | None) -> str:
        """Another shape for a date: a name, empty for no school, None for the weekly pattern's.

        Where none are set up, the starting shapes are.
        """
        self._settings.refresh()
        days = {key: kept for key, kept in self._shapes.days.items() if key != day.isoformat()}
        if name is not None:
            days[day.isoformat()] = name
        shapes = self._shapes.model_copy(
            update={"days": days, "shapes": self._shapes.shapes or STARTING_SHAPES}
        )
        shown = name or (_("no school") if name == "" else usual_words(day))
        words = f"{day_words(day)}: {shown}."
        if not self._shapes.shapes:
            first = STARTING_SHAPES[0]
            more = _("Other days are {name}, {minutes} min: see Day shapes on Today.")
            words += " " + more.format(name=first.name, minutes=first.length_s // 60)
        return self._take(lambda planned: planned, words, shapes)

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to take back."""
        return bool(self._done)

    @property
    def can_redo(self) -> bool:
        """Whether there is a step to do again."""
        return bool(self._undone)

    def undo(self) -> str:
        """Take the last step back."""
        return self._back(self._done, self._undone, is_undo=True)

    def redo(self) -> str:
        """Take the step that was undone last again."""
        return self._back(self._undone, self._done, is_undo=False)

    @property
    def _shapes(self) -> DayShapes:
        return self._settings.now.day_shapes

    def _steps_of(self) -> PlannedDays:
        """What steps change: which lessons were taught goes on beside them."""
        return _without_taught(self._planned.now)

    def _take(self, step: DaysChange, words: str, shapes: DayShapes | None = None) -> str:
        """Take a step; nothing is told of one that changes nothing."""
        self._planned.refresh()  # what another window planned is no part of this step
        before = self._steps_of(), self._shapes
        self._planned.change(step)
        if shapes is not None and shapes != self._shapes:
            self._settings.change(day_shapes=shapes)
        after = self._steps_of(), self._shapes
        if after == before:
            return ""
        self._done = [*self._done, _Change(words, before, after)][-MOST_UNDONE:]
        self._undone = []
        return self._planned.trouble or self._settings.trouble or words

    def _back(self, stack: list[_Change], other: list[_Change], *, is_undo: bool) -> str:
        if not stack:
            return _("There is nothing to undo.") if is_undo else _("There is nothing to redo.")
        change = stack.pop()
        left, to = (change.after, change.before) if is_undo else (change.before, change.after)
        self._planned.refresh()
        self._settings.refresh()
        if (self._steps_of(), self._shapes) != left:
            # An outline was renamed, another window planned: to go back would undo that, too.
            stack.clear()
            return _("The days were changed elsewhere since; nothing is undone.")
        self._planned.change(
            # Only over what is to be left: another window may have planned at this very moment.
            lambda days: (
                to[0].model_copy(update={"taught": days.taught}) if _without_taught(days) == left[0] else days
            )
        )
        if to[1] != self._shapes:
            self._settings.change(day_shapes=to[1])
        other.append(change)
        if trouble := self._planned.trouble or self._settings.trouble:
            return trouble
        # In quotes: "Thirds is on Wednesday" is just what no longer holds.
        words = _("Taken back: “{what}”") if is_undo else _("Done again: {what}")
        return words.format(what=change.words)


def _without_taught(days: PlannedDays) -> PlannedDays:
    return days.model_copy(update={"taught": {}})


def _full_words(day: date) -> str:
    return _("{day} has {n} lessons already; no more fit.", day=day_words(day), n=MOST_A_DAY)
