"""Each byte of small day records is another one: it opens, and every lesson is there or said not to be."""

import random
import shutil
import tempfile
from collections.abc import Sequence
from pathlib import Path

from pacer.log import database
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.review.day_book import read_days
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from tests.faults.lesson_factories import NINE_UTC_MS, short_outline
from tests.faults.tally import Row
from tests.inputs.reader import must_be_plain
from tests.inputs.watched import Outcome, watched

LESSONS = 3


def small_records(folder: Path) -> bytes:
    """A file with a few short lessons, days worked out, and what was said after school; whole by itself."""
    with DayRecords.open(folder) as records:
        for number in range(LESSONS):
            session = Session(ManualClock(NINE_UTC_MS + number * 86_400_000), records.journal())
            session.start(short_outline(), mode="live")
            session.do("next", "done")
            session.do("end", "done")
        read_days(records)
        records.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return (folder / database.FILE_NAME).read_bytes()


def row(seed: int, tries: int | None) -> Row:
    """Flip every byte, or so many drawn by chance: all bits of it, or one."""
    row = Row("flipped byte in day records")
    with tempfile.TemporaryDirectory(prefix="pacer-faults-", dir=_memory()) as place:
        folder = Path(place)
        whole = small_records(folder / "whole")
        chance = random.Random(seed)
        places: Sequence[int] = range(len(whole))
        if tries is not None:  # half of them where the file's own head and the list of its tables lie
            places = [
                *chance.sample(range(4096), tries // 2),
                *chance.sample(range(4096, len(whole)), tries // 2),
            ]

        def one(number: int) -> str:
            at = places[number]
            flip = random.Random(f"{seed}/{at}").choice((0xFF, *(1 << bit for bit in range(8))))
            return _open(folder / "flipped", whole[:at] + bytes([whole[at] ^ flip]) + whole[at + 1 :])

        for number, outcome in watched(one, range(len(places))):
            _count(row, outcome, places[number], len(whole))
    row.note = (
        f"of {len(whole)} bytes; {row.counts['salvaged']} starts with words, {row.counts['open']} without"
    )
    return row


def _memory() -> str | None:
    return "/dev/shm" if Path("/dev/shm").is_dir() else None


def _open(folder: Path, data: bytes) -> str:
    """ "open", "salvaged" where words said what is not there, "refused", or "lost" without a word."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    (folder / database.FILE_NAME).write_bytes(data)
    try:
        records = DayRecords.open(folder)
    except LogError as error:
        must_be_plain(str(error))
        return "refused"
    with records:
        if records.notice:
            must_be_plain(records.notice)
        damaged = 0
        try:
            book = read_days(records)
            damaged = book.damaged
            there = len(book.days)
            for lesson in records.runs():
                try:
                    records.events(lesson.id)
                except LogError as error:
                    must_be_plain(str(error))
                    damaged += 1
        except LogError as error:
            must_be_plain(str(error))
            return "salvaged"
        if not records.notice and there + damaged < LESSONS:
            return "lost"
        return "salvaged" if records.notice or damaged else "open"


def _count(row: Row, outcome: Outcome, at: int, size: int) -> None:
    row.add("tried")
    row.cost(outcome.cpu_s, outcome.mib)
    where = f"byte {at} of {size}: {outcome.why}"
    match outcome.what:
        case "open" | "salvaged":
            row.add(outcome.what)
            row.add("acknowledged", LESSONS)
        case "refused":
            row.miss("refused to open", where)
        case "lost" | "hang" | "not plain":
            row.miss(outcome.what, where)
        case _:
            row.miss("traceback", where)
