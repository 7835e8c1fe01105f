"""What goes along when an outline's file is renamed or goes: days, lessons taught, budgets."""

from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path

from pacer.editing.library.steps import Follower, Restore
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.plan.dates.taught import TaughtLesson
from pacer.settings.outline_shelf import own_outlines
from pacer.settings.planned_days import PlannedDaysStore


class PlannedFollower:
    """The days that an outline is planned for, and the lessons that were taught of it.

    ``lessons`` are those that day records hold.
    """

    def __init__(
        self, days: PlannedDaysStore, lessons: Callable[[], Iterable[TaughtLesson]] = lambda: ()
    ) -> None:
        self._days, self._lessons = days, lessons

    def retitling(self, name: str, title: str, *, is_only: bool) -> None:
        """Lessons known by the title alone are this outline's, where no other one bears that title."""
        starts = [lesson.started_utc_ms for lesson in self._lessons() if lesson.is_of("", title)]
        if is_only and starts:
            self._days.was_taught(starts, name)

    def renamed(self, old: str, new: str) -> None:
        """It is planned for the same days under its new name."""
        self._days.renamed(old, new)

    def removed(self, name: str) -> Restore:
        """It is planned for no day, its lessons go by their titles; what is returned puts both back."""
        starts = [start for start, each in self._days.now.taught.items() if each == name]
        places = self._days.removed(name)

        def restore(name: str) -> None:
            self._days.put_back(name, places)
            self._days.was_taught(starts, name)

        return restore


class AcceptedFollower:
    """The budgets that were accepted into an outline; where there are no day records there are none."""

    def __init__(self, records: Callable[[], DayRecords | None]) -> None:
        self._records = records

    def retitling(self, name: str, title: str, *, is_only: bool) -> None:
        """They go by the file."""

    def renamed(self, old: str, new: str) -> None:
        """They are known under its new name; where that can't be written they are known under the old one."""
        records = self._records()
        if records is not None:
            with suppress(LogError):
                records.accepted().renamed(old, new)

    def removed(self, _name: str) -> Restore:
        """What was accepted is history, and stays."""
        return _nothing


def _nothing(_name: str) -> None:
    """There is nothing to put back."""


def tell_retitling(path: Path, title: str, followers: Iterable[Follower]) -> None:
    """Tell that an outline of the teacher's folder loses its title, whether in Library or in Outline."""
    outlines = (entry.outline for entry in own_outlines(path.parent) if entry.path != path)
    is_only = all(outline is None or outline.title != title for outline in outlines)
    for follower in followers:
        follower.retitling(path.name, title, is_only=is_only)
