"""Which group goes first because it is owed most: in the outline that is taught, and in words."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.plan.durations import format_duration
from pacer.plan.outline import Outline
from pacer.run.event_words import Mode
from pacer.text import _

if TYPE_CHECKING:
    from pacer.review.day_book import KeptBook
    from pacer.review.days import Day


class FirstGroup:
    """Asks the past lessons; they are read when first asked, and again once a record has changed.

    ``records`` gives the day records, None where there are none. Lessons of ``modes`` count, as Look back
    shows them at first.
    """

    def __init__(self, records: Callable[[], DayRecords | None], modes: Sequence[Mode]) -> None:
        self._records, self._modes = records, tuple(modes)
        self._book: KeptBook | None = None

    def taught(self, outline: Outline) -> Outline:
        """The outline with the order of its visits, where it writes none and a group is owed most."""
        from pacer.review.questions.visit_order import with_visit_order

        return with_visit_order(self._shown(), outline) if outline.has_second_half else outline

    def words(self, outline: Outline) -> str:
        """Who goes first and what it is owed; empty where the outline's own order holds."""
        from pacer.review.questions.visit_order import owed_first

        first = owed_first(self._shown(), outline) if outline.has_second_half else None
        if first is None:
            return ""
        return _("{group} first: owed {time}", group=first.group, time=format_duration(first.owed_s))

    def owed(self, outline: Outline) -> dict[str, int]:
        """What each named group is owed now, in seconds, those too that do not come that day."""
        from pacer.review.questions.visit_order import owed_now

        count = max(outline.block.groups, len(outline.groups))
        block = outline.block.model_copy(update={"groups": count})
        return owed_now(self._shown(), outline.model_copy(update={"block": block}))

    def _shown(self) -> "Sequence[Day]":
        records = self._records()
        if records is None:
            return ()
        from pacer.review.choice import LessonChoice
        from pacer.review.day_book import KeptBook

        self._book = self._book or KeptBook()
        try:
            return LessonChoice(modes=self._modes).days(self._book.read(records).days)
        except LogError:
            return ()  # Look back says what is wrong with the records
