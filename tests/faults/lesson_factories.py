"""Begins lessons that are there to be killed: forks one per line read, in the folder the line names.

Every event that the journal acknowledged is told on standard output, with what it and the live state are.
"""

import os
import random
import signal
import sys
from hashlib import sha256
from pathlib import Path

from pacer.log.day_records import DayRecords
from pacer.plan.outline import Block, Burst, Outline, Phase
from pacer.run.clock import ManualClock
from pacer.run.events import Event
from pacer.run.machine import Refusal
from pacer.run.session import Done, Session
from pacer.run.state import LessonState

NINE_UTC_MS = 1_790_000_000_000
PRESSES = (
    "next", "next done", "back", "undo", "undo", "pause", "go-on", "add 1:00", "take 0:30", "jump 2",
    "jump 5", "burst", "eyes-back", "voice", "example", "tally 3", "table-mark", "happened", "hide", "show",
    "wall",
)  # fmt: skip
LESSON_EVENTS = 150


def short_outline() -> Outline:
    """An invented lesson of six phases."""
    phases = tuple(
        Phase(id=f"part-{n}", title=f"Part {n}", kind="other", budget_s=240, floor_s=120, cut_tier=2,
              bursts=(Burst(length_s=30, prompt="Half of 1/2 is ____ ."),) if n == 3 else ())
        for n in range(1, 7)
    )  # fmt: skip
    block = Block(length_s=3600, move_s=120, groups=3, swap_s=60, clean_up_s=60, share_s=300)
    return Outline(
        title="Halves of halves", subject="mathematics", block=block, mini_lesson_s=1440, phases=phases
    )


def event_print(event: Event) -> str:
    """A fingerprint of everything in an event."""
    return sha256(event.model_dump_json().encode()).hexdigest()[:16]


def state_print(state: LessonState) -> str:
    """A fingerprint of everything in a state."""
    return sha256(repr(state).encode()).hexdigest()[:16]


def tell(words: str) -> None:
    """Write past every buffer, so that a kill can't take it back."""
    os.write(sys.stdout.fileno(), f"{words}\n".encode())


def teach(folder: Path, seed: int) -> None:
    """Go on with an unfinished lesson or begin one, and press keys at random until killed."""
    chance = random.Random(seed)
    clock = ManualClock(NINE_UTC_MS + seed * 5_000_000)
    records = DayRecords.open(folder)
    while True:
        waiting = records.unfinished()
        if waiting:
            run_id = waiting[0].id
            journal = records.journal_of(run_id)
            session = Session(clock, journal, records.events(run_id))
            session.tick()
        else:
            journal = records.journal()
            session = Session(clock, journal)
            session.start(short_outline(), mode="rehearsal")
        assert session.unsaved == 0, session.trouble
        told(journal.run_id, session)
        while session.state.is_running:
            clock.advance(chance.randrange(50, 2000))
            press = "end done" if len(session.events) >= LESSON_EVENTS else chance.choice(PRESSES)
            answer: Done | Refusal = session.do(*press.split())
            if isinstance(answer, Done):
                assert answer.saved, session.trouble
                told(journal.run_id, session)


def told(run_id: int | None, session: Session) -> None:
    """Tell the newest event and the live state after it."""
    newest = session.events[-1]
    tell(f"ack {run_id} {newest.seq} {event_print(newest)} {state_print(session.state)}")


def main() -> None:
    """One lesson a line: ``SEED FOLDER``; tells its process number first and its end last."""
    for line in iter(sys.stdin.readline, ""):
        seed, folder = line.rstrip("\n").split(" ", 1)
        child = os.fork()
        if child == 0:
            try:
                teach(Path(folder), int(seed))
            except BaseException as error:
                tell(f"failed {error!r}")
                os._exit(1)
        tell(f"pid {child}")
        _pid, status = os.waitpid(child, 0)
        tell(f"over {int(os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL)}")


if __name__ == "__main__":
    main()
