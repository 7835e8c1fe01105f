"""Makes the page Library: what it may change, what follows a change, and when each outline was taught."""

from collections.abc import Callable

from pacer.editing.dates.taught import Taught
from pacer.editing.library.followers import AcceptedFollower, PlannedFollower
from pacer.editing.library.shelf import Library
from pacer.frames.library import last_taught
from pacer.log.day_records import DayRecords
from pacer.qt.library.page import LibraryPage
from pacer.qt.library.trash import to_trash
from pacer.run.clock import Clock
from pacer.settings.draft_store import DraftStore
from pacer.settings.folders import Folders
from pacer.settings.planned_days import PlannedDaysStore


def make_page(
    where: Folders,
    clock: Clock,
    planned: PlannedDaysStore,
    records: Callable[[], DayRecords | None],
    lessons: Taught,
) -> LibraryPage:
    """The page, on the outlines of a data folder."""
    followers = PlannedFollower(planned, lessons.lessons), AcceptedFollower(records)
    library = Library(where.outlines, DraftStore(where.data, clock), to_trash, followers)
    return LibraryPage(where.outlines, library, clock, lambda: last_taught(lessons.lessons()))
