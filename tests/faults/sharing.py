"""Two copies of Pacer at once, and day records that another program holds: nothing is lost."""

import os
import shutil
import sqlite3
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing
from dataclasses import replace
from functools import partial
from pathlib import Path

from pacer.log import database
from pacer.log.database import LockedDatabase, LogError
from pacer.log.day_records import DayRecords
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from pacer.settings.draft_store import NEW, Conflict, DraftStore, Saved
from pacer.settings.store import SettingsStore, load_settings
from tests.faults.children import Child, Tell
from tests.faults.kills import judge
from tests.faults.lesson_factories import NINE_UTC_MS, event_print, short_outline, state_print
from tests.faults.slices import Work
from tests.faults.tally import Row
from tests.faults.victim import LostError, RefusedError, Victim
from tests.faults.victims import VICTIMS

# A press on a held file waits a fifth of a second (tests/log/test_day_records.py); a busy machine adds.
PRESS_S = 1.0  # of the processor
HUNG_S = 60.0
ROUNDS = 25
OPENINGS = 5
OWN_SETTINGS = ("back_row_mm", "talk_limit_s")


def two_copies(victim: Victim, row: Row, folder: Path, seed: int) -> None:
    """Two processes do the same in one folder at once; what each was told is there."""
    victim.prepare(folder)
    both = [
        Child(lambda tell, number=number: victim.live(folder, seed + number, tell, range(ROUNDS)), waits=True)
        for number in range(2)
    ]
    for child in both:
        child.go()
    told = [child.hear() for child in both]
    acks = [ack for one in told for ack in one.of("ack")]
    for number, one in enumerate(told):
        judge(row, victim, folder, one, acks, f"copy {number + 1}")
        if not one.of("ack"):
            row.miss("refused to open", f"copy {number + 1} was told {one.of('told')[:1]}")


def _own_lesson(folder: Path, seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    """A lesson of this copy's own: the window asks before it goes on with one that waits."""
    with _opened(folder) as records:
        journal = records.journal()
        clock = ManualClock(NINE_UTC_MS + seed)
        session = Session(clock, journal)
        session.start(short_outline(), mode="rehearsal")
        end = time.monotonic() + HUNG_S
        for number in rounds:
            clock.advance(300)
            session.do("add" if number % 2 else "take", "0:30")
            session.tick()
            if session.unsaved:
                tell(f"told {session.trouble}")
                continue
            newest = session.events[-1]
            tell(f"ack {journal.run_id} {newest.seq} {event_print(newest)} {state_print(session.state)}")
        # On a busy machine the other copy may have stood still in a write for as long as all rounds took.
        while session.unsaved and time.monotonic() < end:
            session.flush()
        if not session.unsaved:
            newest = session.events[-1]
            tell(f"ack {journal.run_id} {newest.seq} {event_print(newest)} {state_print(session.state)}")


def _own_setting(folder: Path, seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    """A setting of this copy's own: of one that both change the last change holds."""
    store, name = SettingsStore(folder / "settings.json", ManualClock(NINE_UTC_MS)), OWN_SETTINGS[seed % 2]
    for _number in rounds:
        value = getattr(store.now, name) + 1
        store.change(**{name: value})
        tell(f"told {store.trouble}" if store.trouble else f"ack {name} {value}")


def _check_own_settings(folder: Path, acks: list[str]) -> None:
    settings, notice = load_settings(folder / "settings.json", ManualClock(NINE_UTC_MS))
    if notice:
        raise RefusedError(notice)
    for name, value in (ack.split() for ack in acks):
        if getattr(settings, name) < int(value):
            raise LostError(f"{name} {value}; {getattr(settings, name)} is there")


def _opened(folder: Path) -> DayRecords:
    """The day records; whoever is told that another program has them tries again, as a teacher would."""
    for _try in range(OPENINGS - 1):
        try:
            return DayRecords.open(folder)
        except LockedDatabase:  # on a busy machine the other copy may take longer than an opening waits
            continue
    return DayRecords.open(folder)


def two_editors(row: Row, folder: Path, _seed: int) -> None:
    """Two copies save the same outline in turn: each text that was acknowledged is in a file."""
    stores = [DraftStore(folder / f"data-{n}", ManualClock(NINE_UTC_MS), folder / "e") for n in range(2)]
    paths, stamps = [folder / "outlines" / "a.toml"] * 2, [NEW, NEW]
    newest = ["", ""]
    for number in range(ROUNDS):
        which = number % 2 if number % 3 else (number + 1) % 2
        text = f'format = 1\ntitle = "{which} {number}"\n'
        saved = stores[which].save(paths[which], text, stamps[which])
        row.add("tried")
        if isinstance(saved, Saved | Conflict):
            paths[which], stamps[which], newest[which] = saved.path, saved.stamp, text
            row.add("acknowledged")
        there = {path.read_text() for path in (folder / "outlines").glob("*.toml")}
        for lost in {text for text in newest if text} - there:
            row.miss("lost", f"save {number}: {lost!r}")


def locked(row: Row, folder: Path, _seed: int) -> None:
    """Another program holds the file: presses wait, are told, and written once it lets go."""
    clock = ManualClock(NINE_UTC_MS)
    with DayRecords.open(folder) as records, closing(_other(folder)) as other:
        journal = records.journal()
        session = Session(clock, journal)
        session.start(short_outline(), mode="rehearsal")
        for hold in ("BEGIN IMMEDIATE", "BEGIN EXCLUSIVE"):
            other.execute(hold)
            took = []
            for _press in range(4):
                clock.advance(500)
                began, spent = time.monotonic(), time.process_time()
                session.do("add", "0:30")
                took.append(time.monotonic() - began)
                row.add("tried")
                row.cost(took[-1])
                if (spent_s := time.process_time() - spent) > PRESS_S:
                    row.miss("hang", f"a press took {spent_s:.1f} s of the processor")
            if max(took) > HUNG_S:
                row.miss("hang", f"presses took {min(took):.1f} to {max(took):.1f} s")
            if session.unsaved != 4 or not session.trouble:
                row.miss("wrong", f"{session.unsaved} of 4 presses wait, told {session.trouble!r}")
            other.execute("ROLLBACK")
            if not session.flush() or list(session.events) != records.events(journal.run_id or 1):
                row.miss("lost", session.trouble)
            row.add("acknowledged", 4)
    with closing(_other(folder)) as other:
        other.execute("PRAGMA locking_mode = EXCLUSIVE")
        other.execute("BEGIN EXCLUSIVE")
        row.add("tried")
        try:
            DayRecords.open(folder).close()
            row.miss("wrong", "it opens though another program holds it for itself")
        except LogError:
            pass
    with DayRecords.open(folder) as records:
        if len(records.runs()) != 1:
            row.miss("lost", "the lesson, after a start that was refused")


def _other(folder: Path) -> sqlite3.Connection:
    return sqlite3.connect(os.fspath(folder / database.FILE_NAME), isolation_level=None, timeout=5)


def works(folder: Path, seed: int, tries: int) -> Iterator[Work]:
    """All kinds of sharing, each so often."""
    at_once = [
        victim
        for victim in VICTIMS
        if victim.name in ("repair", "export", "backup", "planned days", "taken", "migration", "daily copy")
    ]
    shared = (
        _own("lessons", "lesson", _own_lesson),
        *at_once,
        replace(_own("settings", "settings", _own_setting), check=_check_own_settings),
    )
    for victim in shared:
        name = f"two copies: {victim.name}"
        yield Work(name, partial(_each, name, partial(two_copies, victim), folder, seed), tries)
    for name, one in (("two copies: one outline", two_editors), ("locked by another program", locked)):
        yield Work(name, partial(_each, name, one, folder, seed), tries)


def _own(name: str, like: str, live: Callable[[Path, int, Tell, Iterable[int]], None]) -> Victim:
    """What two copies do beside each other, in a folder and with a check that there are already."""
    return replace(next(victim for victim in VICTIMS if victim.name == like), name=name, live=live)


def _each(name: str, one: Callable[[Row, Path, int], None], folder: Path, seed: int, numbers: range) -> Row:
    row = Row(name)
    for number in numbers:
        shutil.rmtree(folder, ignore_errors=True)
        one(row, folder, seed + 2 * number)
    return row
