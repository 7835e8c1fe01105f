"""All that Week shows of its days, gathered; and the card of any of them."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import TYPE_CHECKING

from pacer.editing.carried_over import CarriedOver
from pacer.editing.dates.lesson_day import LessonDay
from pacer.editing.dates.planned_outlines import PlannedOutlines
from pacer.editing.dates.taught import Taught
from pacer.editing.dates.unit_left import UnitLeft
from pacer.editing.tomorrow_note import TomorrowNote
from pacer.frames.week.days import Facts
from pacer.plan.dates.school_days import next_school_day
from pacer.plan.day_shapes import on_a_day, too_long_s
from pacer.plan.outline import Outline
from pacer.settings.planned_days import PlannedDaysStore
from pacer.settings.store import SettingsStore

if TYPE_CHECKING:
    from pacer.frames.paper_card import PaperCard
    from pacer.frames.week.unit import UnitRow


@dataclass(frozen=True)
class WeekFacts:
    """Where each fact is asked for.

    ``as_taught`` makes an outline the one that is taught next, with what earlier lessons leave to it.
    """

    settings: SettingsStore
    planned: PlannedDaysStore
    outlines: PlannedOutlines
    taught: Taught
    lesson_day: LessonDay
    carried: CarriedOver
    note: TomorrowNote
    as_taught: Callable[[Outline], Outline]
    left: UnitLeft

    def at(self, now: datetime) -> Facts:
        """The facts at a naive classroom time, with what was left over read anew."""
        self.planned.refresh()
        self.carried.forget()
        day = self.lesson_day.at(now)
        return Facts(
            settings=self.settings.now,
            planned=self.planned.now,
            outline=self.outlines.outline,
            taught=self.taught.on,
            carried=self._carried(day),
            today=now.date(),
            lesson_day=day,
        )

    def card(self, name: str, day: date, now: datetime) -> "PaperCard | None":
        """The card of an outline on a date; None for one that can't be used.

        A day that is too short for it shortens the mini lesson, as Today offers it.
        """
        from pacer.frames.paper_card import paper_card

        outline = self.outlines.outline(name)
        if outline is None:
            return None
        shape = self.settings.now.shape_on(day)
        if shape is not None:
            outline = on_a_day(outline, shape, recut=too_long_s(outline, shape) > 0)
        if day == self._goes_to(self.lesson_day.at(now)):
            outline = self.as_taught(outline)
        hour, minute = (shape.start if shape is not None else self.settings.now.block_start).split(":")
        start = datetime.combine(day, time(int(hour), int(minute)))
        return paper_card(outline, start, "" if shape is None else shape.name)

    def unit(self, facts: Facts) -> "tuple[UnitRow, ...]":
        """All outlines at a glance, with what of their lessons was left over."""
        from pacer.frames.week.unit import unit_rows

        lessons = self.taught.lessons()
        left = self.left.of(lessons)
        return unit_rows(facts.planned, lessons, facts.outline, facts.lesson_day, left)

    def _carried(self, lesson_day: date) -> dict[date, tuple[str, ...]]:
        """What the last lessons left, and the thing for tomorrow, on the day they go to."""
        lines = (self.note.text(), *self.carried.words().splitlines())
        told = tuple(line for line in lines if line)
        return {self._goes_to(lesson_day): told} if told else {}

    def _goes_to(self, lesson_day: date) -> date:
        """The next day with school after the last lesson; never one that is over."""
        last = max((lesson.day for lesson in self.taught.lessons()), default=None)
        after = None if last is None else next_school_day(self.settings.now.day_shapes, last)
        return lesson_day if after is None else max(after, lesson_day)
