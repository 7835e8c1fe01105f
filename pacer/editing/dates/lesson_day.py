"""The date of the lesson about to run: today until its last bell, then the next day with school."""

from collections.abc import Callable, Sequence
from datetime import date, datetime, time

from pacer.plan.dates.school_days import has_school, is_over, next_school_day
from pacer.plan.dates.taught import TaughtLesson, paired
from pacer.plan.day_shapes import ends_at
from pacer.settings.planned_days import PlannedDaysStore
from pacer.settings.store import SettingsStore


class LessonDay:
    """Says the date, and which of its planned outlines comes next.

    ``taught`` gives the lessons taught on a date, ``title_of`` the title of a planned outline by its name,
    empty for one whose file can't be used.
    """

    def __init__(
        self,
        settings: SettingsStore,
        planned: PlannedDaysStore,
        taught: Callable[[date], Sequence[TaughtLesson]],
        title_of: Callable[[str], str],
    ) -> None:
        self._settings, self._planned, self._taught, self._title_of = settings, planned, taught, title_of

    def at(self, now: datetime, own_bell: datetime | None = None) -> date:
        """The date at a naive classroom time.

        ``own_bell`` ends the outline's own block today, which holds where no day shape does. Where a year has
        no school the date stays today's.
        """
        today, settings = now.date(), self._settings.now
        shapes, left = settings.day_shapes, self._left(today)
        after = next_school_day(shapes, today) or today
        chosen = settings.day_choice[0] == today.isoformat()
        if not (has_school(shapes, today) or chosen or left):
            return after
        shape = settings.shape_on(today)
        bell = own_bell if shape is None else ends_at(shape, today)
        # A day shape's bell ends the first lesson, and the day unless another one is still to come.
        is_last = shape is not None and not any(left)
        hour, minute = settings.last_bell.split(":")
        last_bell = time(int(hour), int(minute))
        return after if is_over(today, now, bell, last_bell, is_last=is_last) else today

    def next_name(self, day: date) -> str | None:
        """The first outline planned for a date that was not taught on it; None where there is none."""
        left = self._left(day)
        return self._planned.of(day)[left[0]] if left else None

    def place(self, day: date) -> tuple[int, int]:
        """Which of a date's outlines comes next, from 1, and how many there are; zeros where none comes."""
        left = self._left(day)
        return (left[0] + 1, len(self._planned.of(day))) if left else (0, 0)

    def _left(self, day: date) -> tuple[int, ...]:
        """Which outlines of a date were not taught on it."""
        names = self._planned.of(day)
        outlines = [(name, self._title_of(name)) for name in names]
        lessons = paired(outlines, self._taught(day) if names else ())
        return tuple(at for at, lesson in enumerate(lessons) if lesson is None)
