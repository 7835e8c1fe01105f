"""Which of the planned outlines a taught lesson was: by the name of its file, else by its title."""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from pacer.plan.dates.planned import TEMPLATE


class TaughtLesson(NamedTuple):
    """A lesson that was begun before a class, under the title it had.

    ``name`` is the planned name of its outline's file as it is now, empty where that is not known.
    """

    day: date
    title: str
    name: str = ""
    run_id: int = 0
    started_utc_ms: int = 0

    def is_of(self, name: str, title: str) -> bool:
        """Whether it was a lesson of an outline of this name and title."""
        return self.name == name if self.name else self.title == title


def paired(
    outlines: Sequence[tuple[str, str]], lessons: Sequence[TaughtLesson]
) -> tuple[TaughtLesson | None, ...]:
    """The lesson of each outline (name and title), each lesson once; one planned twice is two lessons.

    A template that is planned was taught by her copy of it, too, if that has its title still.
    """
    left, found = list(lessons), dict[int, TaughtLesson]()
    for is_loose in (False, True):
        for at, (name, title) in enumerate(outlines):
            for lesson in left if at not in found else ():
                is_copy = is_loose and name.startswith(TEMPLATE) and lesson.title == title
                if lesson.is_of(name, title) or is_copy:
                    found[at] = lesson
                    left.remove(lesson)
                    break
    return tuple(found.get(at) for at in range(len(outlines)))
