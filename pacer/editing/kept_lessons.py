"""The day records around a lesson: where its events go, which was cut off, what the past foretells."""

from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING

from pacer.frames.words.wording import ago_words, clock_words
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.run.clock import Clock, ManualClock
from pacer.settings.folders import Folders
from pacer.text import _

if TYPE_CHECKING:
    from pacer.pace.reading import Foresee
    from pacer.review.learning.budgets import SortedPast
    from pacer.run.events import Event, Mode
    from pacer.run.session import Journal, Session


class KeptLessons:
    """The day records of a running program, opened with it.

    ``records`` is None where they can't be opened, and once they are closed; lessons run without them.
    ``notice`` says what is to be told of the opening, empty where nothing is. ``modes`` are the lessons that
    may be learned from. ``tell`` takes what is found out later, in words.
    """

    def __init__(
        self, where: Folders, clock: Clock, modes: tuple["Mode", ...], tell: Callable[[str], None]
    ) -> None:
        self._clock, self._modes, self._tell = clock, modes, tell
        self.records, self.notice = _open(where, clock)

    def now(self) -> DayRecords | None:
        """The day records; None where there are none."""
        return self.records

    def close(self) -> None:
        """Let go of the file; nothing is kept from here on."""
        if self.records is not None:
            self.records.close()
            self.records = None

    def journal(self) -> "Journal":
        """Where the events of a new lesson go."""
        if self.records is None or not self.records.can_write:
            return UnkeptJournal(self.notice)
        return self.records.journal()

    def past(self) -> "SortedPast | None":
        """What past lessons say of budgets; None when they can't be read."""
        if self.records is None:
            return None
        from pacer.review.learning.accepted_past import AcceptedPast
        from pacer.review.learning.past_endings import history

        try:
            found = history(self.records, self._modes)
            return AcceptedPast(found.endings, found.accepted)
        except LogError:
            return None

    def foresee(self, without: Sequence[int] = ()) -> "Foresee | None":
        """The forecaster from past lessons; none when they can't be read, for the odds are only an extra."""
        if self.records is None:
            return None
        from pacer.forecaster import forecaster
        from pacer.review.learning.past_endings import history

        try:
            return forecaster(history(self.records, self._modes, without).endings)
        except LogError:
            return None

    def has_cut_off(self) -> bool:
        """Whether a lesson waits that was cut off."""
        return self._cut_off() is not None

    def cut_off_words(self) -> str:
        """What is offered of the lesson that was cut off; empty where none waits."""
        cut_off = self._cut_off()
        if cut_off is None:
            return ""
        from pacer.run.fold import fold
        from pacer.run.session import away_ms

        _run_id, events = cut_off
        state = fold(events)
        text = _("“{title}” began at {start} and was cut off {away} ago. The time since then counts. ")
        text += _("Go on with it or close it first.")
        return text.format(
            title=state.plan.title,
            start=clock_words(state.utc_ms(0), state.utc_offset_s),
            away=ago_words(away_ms(events, self._clock.now()) // 1000),
        )

    def go_on(self) -> "tuple[Session, Foresee | None] | None":
        """The lesson that was cut off, under way again, and the forecaster for it; the time away counts."""
        cut_off = self._cut_off()
        if cut_off is None or self.records is None:
            return None
        from pacer.run.session import Session

        run_id, events = cut_off
        return Session(self._clock, self.records.journal_of(run_id), events), self.foresee([run_id])

    def close_cut_off(self) -> None:
        """End the lesson that was cut off at the last thing that is known of it."""
        cut_off = self._cut_off()
        if cut_off is not None and self.records is not None:
            from pacer.run.session import Session

            run_id, events = cut_off
            # The clock stands at the last event, so nothing after it is claimed.
            clock = ManualClock(events[-1].utc_ms)
            Session(clock, self.records.journal_of(run_id), events).do("end", "interrupted")

    def _cut_off(self) -> tuple[int, list["Event"]] | None:
        """The lesson that was cut off: its run number and events."""
        if self.records is None or not self.records.can_write:
            return None
        try:
            runs = self.records.unfinished()
            return (runs[0].id, self.records.events(runs[0].id)) if runs else None
        except LogError as error:
            self._tell(str(error))
            return None


def _open(where: Folders, clock: Clock) -> tuple[DayRecords | None, str]:
    try:
        records = DayRecords.open(where.data)
    except LogError as error:
        return None, _("{reason} Lessons run, but are not recorded.").format(reason=error)
    notices, now_utc_ms = [records.notice], clock.now().utc_ms
    if records.can_write:
        with suppress(LogError):  # what can't be emptied now is emptied at the next start
            if records.trash().due(now_utc_ms):
                from pacer.log.erase import empty_trash

                notices += empty_trash(records, now_utc_ms)
    return records, " ".join(filter(None, notices))


class UnkeptJournal:
    """Stands in where day records can't be written: every event waits, and the Desk says why."""

    def __init__(self, reason: str) -> None:
        self._reason = reason

    def append(self, _events: Sequence["Event"]) -> None:
        """Refuse, so that the lesson goes on and is told to be unrecorded."""
        from pacer.run.session import JournalError

        raise JournalError(self._reason)
