"""A whole block with a table list, of which some is ticked and some is not. No Qt here."""

from pacer.log.day_records import DayRecords
from pacer.plan.outline import Outline
from pacer.run.clock import ManualClock
from pacer.run.session import MemoryJournal, Session

DAY_MS = 86_400_000
NINE_MS = 1_773_046_800_000  # 9:00 in UTC, 9 March 2026
LINES = ("Sort the cards", "Finish page 12")
# A mark and a problem in the first phase, from which the review leaves for the table; then the groups, where
# the first line is ticked. The last two phases are passed over.
PRESSES = (
    "table-mark", "tally 3", "keep review", "next done", "next done", "groups", "tick 1", "next", "next",
    "next", "bell-now",
)  # fmt: skip


def with_list(outline: Outline, *lines: str) -> Outline:
    """The outline with another table list, its own of two lines unless told."""
    return outline.model_copy(update={"table_list": "\n".join(lines or LINES)})


def press_all(session: Session, clock: ManualClock, presses=PRESSES) -> None:
    """A press a minute, each of them allowed."""
    for press in presses:
        clock.advance(60_000)
        command, _space, argument = press.partition(" ")
        assert not hasattr(session.do(command, argument), "reason"), press


def ended(outline: Outline, presses=PRESSES, mode: str = "live") -> Session:
    """A lesson that was kept nowhere."""
    clock = ManualClock(NINE_MS)
    session = Session(clock, MemoryJournal())
    session.start(outline, mode=mode)
    press_all(session, clock, presses)
    return session


def teach(
    records: DayRecords, outline: Outline, day: int = 0, *, presses=PRESSES, mode: str = "live",
    nine_ms: int = NINE_MS,
) -> int:  # fmt: skip
    """A lesson that is kept; returns its run number."""
    clock, journal = ManualClock(nine_ms + day * DAY_MS), records.journal()
    session = Session(clock, journal)
    session.start(outline, mode=mode)
    press_all(session, clock, presses)
    assert journal.run_id is not None
    return journal.run_id
