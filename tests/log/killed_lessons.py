"""Kills lessons at random moments (signal 9) and checks what is left of them on disk."""

import os
import random
import signal
import subprocess
import sys
import time
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from pacer.log.day_records import DayRecords
from pacer.run.clock import ManualClock
from pacer.run.events import Gap
from pacer.run.fold import fold
from pacer.run.session import Session
from tests.faults.lesson_factories import LESSON_EVENTS, event_print, state_print

LONGEST_LIFE_S = 0.05
EARLY_SHARE = 0.25
AWAY_MS = 90_000


@dataclass
class Tally:
    """What happened over all kills."""

    kills: int = 0
    acknowledged: int = 0
    resumed: int = 0
    unacknowledged_but_kept: int = 0


def kill_lessons(folder: Path, kills: int, seed: int) -> Tally:
    """Kill that many lessons, each one going on where the last was killed, checking after every one."""
    chance, tally = random.Random(seed), Tally()
    factory = subprocess.Popen(
        [sys.executable, str(Path(__file__).parents[1] / "faults" / "lesson_factories.py")],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        bufsize=1,
    )
    with factory:
        assert factory.stdin is not None
        assert factory.stdout is not None
        for number in range(kills):
            factory.stdin.write(f"{number} {folder}\n")
            acks: list[str] = []
            pid, is_killed = 0, False
            # Some die while they open the day records; most when they have something to lose, however
            # slow the machine is.
            is_early = chance.random() < EARLY_SHARE
            for line in iter(factory.stdout.readline, ""):
                word, _, rest = line.strip().partition(" ")
                if word == "pid":
                    pid = int(rest)
                elif word == "ack":
                    acks.append(rest)
                else:
                    assert (word, rest) == ("over", "1"), f"kill {number}: {line}"
                    break
                if pid and not is_killed and (is_early or acks):
                    is_killed = True
                    time.sleep(chance.uniform(0, LONGEST_LIFE_S))
                    # One that failed by itself is told by the next line.
                    with suppress(ProcessLookupError):
                        os.kill(pid, signal.SIGKILL)
            tally.kills += 1
            _check(folder, acks, tally)
        factory.stdin.close()
    return tally


def _check(folder: Path, acks: list[str], tally: Tally) -> None:
    with DayRecords.open(folder) as records:
        assert records.notice == ""
        newest_of: dict[int, int] = {}
        for ack in acks:
            run, seq, of_event, of_state = ack.split()
            events = records.events(int(run))
            assert len(events) > int(seq), f"acknowledged event {seq} of run {run} is lost"
            assert event_print(events[int(seq)]) == of_event
            assert state_print(fold(events[: int(seq) + 1])) == of_state
            newest_of[int(run)] = int(seq)
            tally.acknowledged += 1
        for run_id, newest in newest_of.items():
            # The kill may fall between the disk and the telling, so one event more may be there.
            extra = len(records.events(run_id)) - 1 - newest
            assert 0 <= extra <= 1
            tally.unacknowledged_but_kept += extra
        for row in records.unfinished():
            _check_resume(records, row.id, tally)


def _check_resume(records: DayRecords, run_id: int, tally: Tally) -> None:
    """A session on the stored events has their state, and counts the time it was away."""
    events = records.events(run_id)
    before = fold(events)
    clock = ManualClock(events[-1].utc_ms + AWAY_MS)
    session = Session(clock, records.journal_of(run_id), events)
    assert (list(session.events), session.state) == (events, before), "reading changes nothing"
    session.tick()
    assert session.unsaved == 0
    assert session.now_ms() == events[-1].t_ms + AWAY_MS
    gap = session.events[-1].body
    assert isinstance(gap, Gap)
    assert (gap.cause, gap.gap_ms) == ("closed", AWAY_MS)
    assert session.state.index == before.index
    assert session.state.marks == before.marks
    assert session.state.visits == before.visits
    assert session.state == fold(records.events(run_id))
    assert len(session.events) < 2 * LESSON_EVENTS
    tally.resumed += 1
