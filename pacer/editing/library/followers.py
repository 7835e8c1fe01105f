"""What goes along when an outline's file is renamed or goes: the days it is planned for, accepted budgets."""

from collections.abc import Callable
from contextlib import suppress

from pacer.editing.library.steps import Restore
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.settings.planned_days import PlannedDaysStore


class PlannedFollower:
    """The days that an outline is planned for."""

    def __init__(self, days: PlannedDaysStore) -> None:
        self._days = days

    def renamed(self, old: str, new: str) -> None:
        """It is planned for the same days under its new name."""
        self._days.renamed(old, new)

    def removed(self, name: str) -> Restore:
        """It is planned for no day; what is returned plans it for the same ones again."""
        places = self._days.removed(name)

        def restore(name: str) -> None:
            self._days.put_back(name, places)

        return restore


class AcceptedFollower:
    """The budgets that were accepted into an outline; where there are no day records there are none."""

    def __init__(self, records: Callable[[], DayRecords | None]) -> None:
        self._records = records

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
