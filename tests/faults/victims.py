"""What is done while a fault strikes: a lesson here, her files and the day records in modules of their own.

Each tells ``ack WHAT`` once the program has said, by returning, that something is on disk; ``told WORDS``
where it said in plain words that it is not. ``check`` raises LostError for what was acknowledged and is gone.
"""

import random
from collections.abc import Iterable
from pathlib import Path

from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.run.clock import ManualClock
from pacer.run.events import Gap
from pacer.run.fold import fold
from pacer.run.session import Session
from tests.faults.children import Tell
from tests.faults.file_victims import FILE_VICTIMS
from tests.faults.lesson_factories import (
    LESSON_EVENTS,
    NINE_UTC_MS,
    PRESSES,
    event_print,
    short_outline,
    state_print,
)
from tests.faults.record_victims import RECORD_VICTIMS, opened_whole
from tests.faults.victim import LostError, Victim, nothing

AWAY_MS = 90_000


def _teach(folder: Path, seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    """Go on with an unfinished lesson or begin one, and press keys at random."""
    chance, clock = random.Random(seed), ManualClock(NINE_UTC_MS + seed * 5_000_000)
    tell("ready")
    try:
        records = DayRecords.open(folder)
        if records.notice:
            tell(f"told {records.notice}")
        records.make_room()  # as the program does
        waiting = records.unfinished()
        journal = records.journal_of(waiting[0].id) if waiting else records.journal()
        session = Session(clock, journal, records.events(waiting[0].id) if waiting else ())
    except LogError as error:
        tell(f"told {error}")
        return
    session.tick() if waiting else session.start(short_outline(), mode="rehearsal")
    for _round in rounds:
        _tell_newest(journal.run_id, session, tell)
        clock.advance(chance.randrange(50, 2000))
        if not session.state.is_running:
            session.tick()
            journal = records.journal()
            session = Session(clock, journal)
            session.start(short_outline(), mode="rehearsal")
            continue
        press = "end done" if len(session.events) >= LESSON_EVENTS else chance.choice(PRESSES)
        session.do(*press.split())
    session.tick()
    _tell_newest(journal.run_id, session, tell)
    records.close()


def _tell_newest(run_id: int | None, session: Session, tell: Tell) -> None:
    newest = session.events[-1]
    if session.unsaved:
        tell(f"told {session.trouble}")
    else:
        tell(f"ack {run_id} {newest.seq} {event_print(newest)} {state_print(session.state)}")


def _check_lessons(folder: Path, acks: list[str]) -> None:
    with opened_whole(folder) as records:
        for ack in acks:
            run, seq, of_event, of_state = ack.split()
            try:
                events = records.events(int(run))
            except LogError as error:
                raise LostError(f"run {run}: {error}") from error
            if len(events) <= int(seq):
                raise LostError(f"event {seq} of run {run}: {len(events)} are there")
            if event_print(events[int(seq)]) != of_event:
                raise LostError(f"event {seq} of run {run} is another one")
            assert state_print(fold(events[: int(seq) + 1])) == of_state
        for row in records.unfinished():
            _check_resume(records, row.id)


def _check_resume(records: DayRecords, run_id: int) -> None:
    """A session on the stored events has their state, and counts the time it was away."""
    events = records.events(run_id)
    before = fold(events)
    clock = ManualClock(events[-1].utc_ms + AWAY_MS)
    session = Session(clock, records.journal_of(run_id), events)
    assert (list(session.events), session.state) == (events, before), "reading changes nothing"
    session.tick()
    assert session.unsaved == 0, session.trouble
    gap = session.events[-1].body
    assert isinstance(gap, Gap), gap
    assert (gap.cause, gap.gap_ms) == ("closed", AWAY_MS), gap
    assert session.state.visits == before.visits
    assert session.state == fold(records.events(run_id))
    assert len(session.events) < 2 * LESSON_EVENTS


VICTIMS = (Victim("lesson", nothing, _teach, _check_lessons), *FILE_VICTIMS, *RECORD_VICTIMS)
