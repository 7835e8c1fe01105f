"""How long a review problem takes in this class: by the day records, or as the teacher typed it."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from pacer.log.database import LogError
from pacer.plan.rules import ProblemPace

if TYPE_CHECKING:
    from pacer.log.day_records import DayRecords
    from pacer.review.day_book import KeptBook
    from pacer.run.events import Mode


class ReviewPace:
    """Asks the past, which is read when it is first wanted and again where a record changed."""

    def __init__(self, records: "Callable[[], DayRecords | None]", modes: "tuple[Mode, ...]") -> None:
        self._records, self._modes = records, modes
        self._book: KeptBook | None = None

    def learned(self) -> ProblemPace | None:
        """By the day records; None where they say nothing or can't be read."""
        from pacer.review.day_book import KeptBook
        from pacer.review.learning.problem_pace import problem_pace

        records = self._records()
        self._book = self._book or KeptBook()
        try:
            return None if records is None else problem_pace(self._book.read(records).days, self._modes)
        except LogError:
            return None

    def now(self, typed_s: int | None) -> ProblemPace | None:
        """As it was typed, in seconds, or else by the day records."""
        return self.learned() if typed_s is None else ProblemPace(typed_s)
