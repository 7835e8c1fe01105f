"""The date that Today stands on: its lesson as planned, followed once each time another one comes next."""

from datetime import date, datetime
from pathlib import Path

from pacer.editing.dates.lesson_day import LessonDay
from pacer.plan.day import BlockToday, block_today
from pacer.plan.day_shapes import DayShape
from pacer.plan.outline import Outline
from pacer.settings.planned_days import path_of
from pacer.settings.store import SettingsStore


class FollowedPlan:
    """``day`` is today until its last bell, then the next day with school; times are naive local ones."""

    def __init__(
        self, settings: SettingsStore, lesson_day: LessonDay, own_folder: Path, now: datetime
    ) -> None:
        self._settings, self._lesson_day, self._own_folder = settings, lesson_day, own_folder
        self._followed: object = None
        self.day: date = lesson_day.at(now)

    def follow(self, now: datetime, outline: Outline | None) -> Path | None:
        """Stand on the date of the lesson about to run; ``outline`` is the one that is chosen.

        Returns the file of what is planned for it, there or not; None where it is the same as before, and
        where nothing is planned.
        """
        bell = None if outline is None else self._block(outline, now).bell
        self.day = self._lesson_day.at(now, bell)
        name = self._lesson_day.next_name(self.day)
        if self._followed == (self.day, name):
            return None
        self._followed = self.day, name
        return None if name is None else path_of(name, self._own_folder)

    @property
    def is_planned(self) -> bool:
        """Whether something is planned for the date that was not taught on it."""
        return self._lesson_day.next_name(self.day) is not None

    @property
    def place(self) -> tuple[int, int]:
        """Which of the date's outlines comes next, from 1, and how many there are; zeros where none comes."""
        return self._lesson_day.place(self.day)

    def block(self, outline: Outline, shape: DayShape | None, now: datetime) -> BlockToday:
        """The block of an outline on the date, from the start of the day's shape if there is one."""
        return self._block(outline, now, None if shape is None else shape.start, self.day)

    def start(self, outline: Outline, shape: DayShape | None, now: datetime) -> datetime:
        """When the lesson should start: the block's start, or now."""
        block = self.block(outline, shape, now)
        return block.start if block.now_belongs and not self._settings.now.start_when_pressed else now

    def _block(
        self, outline: Outline, now: datetime, start: str | None = None, day: date | None = None
    ) -> BlockToday:
        return block_today(now, start or self._settings.now.block_start, outline.block.length_s, day)
