"""Odd time: clocks are set, summer time begins and ends, midnight passes, the laptop sleeps, keys storm.

A lesson runs on a clock moved by hand, with its day records on the disk; what both windows would show is made
at every look. Lesson time must be the time that passed, asleep or awake, whatever the wall clock said.
"""

import gc
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path
from zoneinfo import ZoneInfo

from pacer.frames.desk import desk_frame
from pacer.frames.record import record
from pacer.frames.wall import wall_frame
from pacer.frames.words.wording import local_time
from pacer.log.day_records import DayRecords
from pacer.review.day_book import read_days
from pacer.run.clock import ManualClock
from pacer.run.events import Cued, Gap
from pacer.run.fold import fold
from pacer.run.session import Session
from pacer.watch import execute, keep_up
from tests.faults.lesson_factories import PRESSES, short_outline
from tests.faults.slices import Work
from tests.faults.tally import Row

HOUR_MS = 3_600_000
ZONES = (
    "America/New_York",
    "Europe/Berlin",
    "Australia/Lord_Howe",
    "Pacific/Apia",
    "Asia/Kathmandu",
    "America/Santiago",
)
# When summer time ends and begins in those zones, about an hour before, and the turn of days and of a year.
MOMENTS = (
    "2026-03-08T06:30", "2026-11-01T05:30", "2026-03-29T00:30", "2026-10-25T00:30", "2026-04-04T14:30",
    "2026-10-03T15:00", "2026-04-05T03:10", "2026-09-06T03:30", "2026-12-31T23:30", "2026-02-28T23:40",
)  # fmt: skip


class Bench:
    """A lesson on disk whose time the campaign makes."""

    def __init__(self, folder: Path, utc_ms: int, offset_s: int = 0, minutes: int = 60) -> None:
        self.clock = ManualClock(utc_ms, "boot")
        self.records = DayRecords.open(folder)
        self.journal = self.records.journal()
        self.session = Session(self.clock, self.journal)
        outline = short_outline()
        block = outline.block.model_copy(update={"length_s": minutes * 60})
        self.session.start(outline.model_copy(update={"block": block}), utc_ms, offset_s, mode="live")
        self.passed_ms = 0
        self.looked_ms = 0

    def look(self) -> None:
        """What both windows show now; it must be possible at any time."""
        reading = keep_up(self.session)
        wall_frame(reading)
        desk_frame(reading, cues=self.session.state.cues)

    def pass_by(self, ms: int) -> None:
        """Time passes, on both clocks."""
        self.clock.advance(ms)
        self.passed_ms += ms
        self.look()
        assert self.session.now_ms() == self.passed_ms, f"{self.session.now_ms()} of {self.passed_ms} ms"

    def press(self, words: str) -> None:
        execute(self.session, *words.split())

    def again(self) -> None:
        """The program is closed and opened: the lesson goes on."""
        events = self.records.events(self.journal.run_id or 1)
        assert events == list(self.session.events), "on disk is another lesson"
        self.session = Session(self.clock, self.journal, events)

    def end(self) -> None:
        """End it and look back."""
        if self.session.state.is_running:
            self.press("end done")
        assert self.session.unsaved == 0, self.session.trouble
        events = self.records.events(self.journal.run_id or 1)
        assert fold(events) == self.session.state
        record(self.session.state, self.session.now_ms()).as_json()
        book = read_days(self.records)
        assert (len(book.days), book.damaged) == (1, 0), book
        self.records.close()


def _clock_set(chance: random.Random, folder: Path) -> int:
    """The wall clock is set, up to years; lesson time does not notice and the record says so."""
    bench = Bench(folder, 1_790_000_000_000)
    for _turn in range(30):
        bench.pass_by(chance.randrange(200, 2500))
        if chance.random() < 0.4:
            jump = chance.choice((1500, 2500, 61_000, HOUR_MS, 30 * 24 * HOUR_MS, 6 * 10**11))
            # No system sets its clock to before 1970.
            jump *= chance.choice((1, -1)) if bench.clock.now().utc_ms > jump else 1
            bench.clock.shift_utc(jump)
            before = len(bench.session.events)
            bench.look()
            set_events = [
                event.body for event in bench.session.events[before:] if isinstance(event.body, Gap)
            ]
            assert bool(set_events) == (abs(jump) > 2000), f"{jump} ms: {set_events}"
        if chance.random() < 0.3:
            bench.press(chance.choice(PRESSES))
        if chance.random() < 0.1:
            bench.again()
            bench.look()
    bench.end()
    return len(bench.session.events)


def _change_of_time(chance: random.Random, folder: Path) -> int:
    """A lesson across a change of summer time or across midnight, wherever the school is."""
    zone = ZoneInfo(chance.choice(ZONES))
    start = datetime.fromisoformat(chance.choice(MOMENTS)).replace(tzinfo=UTC) + timedelta(
        minutes=chance.randrange(50)
    )
    offset = zone.utcoffset(start.astimezone(zone).replace(tzinfo=None))
    assert offset is not None
    bench = Bench(folder, round(start.timestamp() * 1000), round(offset.total_seconds()))
    for _turn in range(25):
        bench.pass_by(chance.choice((1000, 1000, 61_000, 600_000)))
        if chance.random() < 0.4:
            bench.press(chance.choice(PRESSES))
    shown = local_time(bench.session.state.started_utc_ms, round(offset.total_seconds()))
    assert shown.replace(tzinfo=None) == (start + offset).replace(tzinfo=None), f"started {shown}"
    bench.end()
    return len(bench.session.events)


def _sleep(chance: random.Random, folder: Path) -> int:
    """The laptop sleeps a second to eight hours, in any phase; the time counts and is marked."""
    bench = Bench(folder, 1_790_000_000_000)
    for _turn in range(12):
        for _second in range(chance.randrange(1, 6)):
            bench.pass_by(1000)
        before = len(bench.session.events)
        asleep = chance.choice((1, 2, 3, 4, 5, 30, 61, 600, 3600, 8 * 3600)) * 1000 + chance.randrange(1000)
        was_running = bench.session.state.is_running
        bench.pass_by(asleep)
        gaps = [event.body.gap_ms for event in bench.session.events[before:] if isinstance(event.body, Gap)]
        assert gaps == ([asleep - 1000] if asleep > 3000 and was_running else []), (
            f"{asleep} ms asleep: {gaps}"
        )
        bench.press(chance.choice(PRESSES))
        if chance.random() < 0.3:
            bench.again()
    bench.end()
    return len(bench.session.events)


def _storm(chance: random.Random, folder: Path, presses: int = 10_000) -> int:
    """Ten thousand presses within a minute, each on disk before the next."""
    bench = Bench(folder, 1_790_000_000_000)
    for number in range(presses):
        bench.clock.advance(60_000 * (number + 1) // presses - 60_000 * number // presses)
        bench.press(chance.choice(PRESSES))
        assert bench.session.unsaved == 0, bench.session.trouble
    bench.look()
    assert bench.session.now_ms() == 60_000
    bench.end()
    return len(bench.session.events)


def _long_block(chance: random.Random, folder: Path, minutes: int = 180) -> int:
    """A block of three hours, looked at every second: few events, and no memory gathers."""
    bench = Bench(folder, 1_790_000_000_000, minutes=minutes)
    blocks = []
    for second in range(minutes * 60):
        bench.pass_by(1000)
        if second % 240 == 239:
            bench.press("next done")
        if second in (minutes * 20, minutes * 60 - 1):
            gc.collect()
            blocks.append(sys.getallocatedblocks())
    cues = sum(isinstance(event.body, Cued) for event in bench.session.events)
    presses = minutes * 60 // 240
    assert len(bench.session.events) <= 2 + presses + cues, "events that nobody pressed"
    assert blocks[1] - blocks[0] < 20_000, f"{blocks[1] - blocks[0]} blocks of memory gathered"
    bench.end()
    return len(bench.session.events)


def works(seed: int, tries: int, presses: int, minutes: int) -> Iterator[Work]:
    """Every kind of odd time, so often; a storm of so many presses; a block of so many minutes."""
    kinds: tuple[tuple[str, Callable[[random.Random, Path], int], int], ...] = (
        ("clock set", _clock_set, tries),
        ("summer time and midnight", _change_of_time, tries),
        ("asleep 1 s to 8 h", _sleep, tries),
        (f"{presses} presses in a minute", lambda chance, folder: _storm(chance, folder, presses), 1),
        (f"{minutes} min at speed", lambda chance, folder: _long_block(chance, folder, minutes), 1),
    )  # fmt: skip
    for kind, try_one, count in kinds:
        yield Work(f"clock: {kind}", partial(_row, f"clock: {kind}", try_one, seed), count, 10)


def _row(kind: str, run: Callable[[random.Random, Path], int], seed: int, numbers: range) -> Row:
    row = Row(kind)
    for number in numbers:
        row.add("tried")
        began = time.monotonic()
        with tempfile.TemporaryDirectory(prefix="pacer-faults-") as folder:
            try:
                row.add("acknowledged", run(random.Random(f"{seed}/{kind}/{number}"), Path(folder)))
            except AssertionError as error:
                row.miss("wrong", f"number {number}: {str(error)[:200]}")
            except Exception as error:
                row.miss("traceback", f"number {number}: {type(error).__name__} {str(error)[:200]!a}")
        row.cost(time.monotonic() - began)
    return row
