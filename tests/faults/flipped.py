"""Each byte of small day records is another one: it opens, and every lesson is there or said not to be."""

import random
import shutil
import tempfile
from functools import cache
from pathlib import Path

from pacer.log import database
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.review.day_book import read_days
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from tests.faults.lesson_factories import NINE_UTC_MS, short_outline
from tests.faults.slices import Work
from tests.faults.tally import Row
from tests.inputs.reader import must_be_plain
from tests.inputs.watched import Outcome, watched

LESSONS = 3
NAME = "flipped byte in day records"


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


@cache
def _whole() -> bytes:
    with tempfile.TemporaryDirectory(prefix="pacer-faults-") as folder:
        return small_records(Path(folder))


def work(seed: int, tries: int | None) -> Work:
    """Flip every byte, or so many drawn by chance: all bits of it, or one."""

    @cache
    def places() -> list[int]:
        """In an order of chance, so that a part of every byte is a sample."""
        size, chance = len(_whole()), random.Random(seed)
        if tries is None:
            return chance.sample(range(size), size)
        # Half of them where the file's own head and the list of its tables lie.
        return [*chance.sample(range(4096), tries // 2), *chance.sample(range(4096, size), tries // 2)]

    def tried(numbers: range) -> Row:
        row, whole = Row(NAME), _whole()

        def flipped(number: int) -> bytes:
            at = places()[number]
            flip = random.Random(f"{seed}/{at}").choice((0xFF, *(1 << bit for bit in range(8))))
            return whole[:at] + bytes([whole[at] ^ flip]) + whole[at + 1 :]

        with tempfile.TemporaryDirectory(prefix="pacer-faults-", dir=_memory()) as place:
            for number, outcome in watched(
                lambda number: _open(Path(place) / "flipped", flipped(number)), numbers
            ):
                where = f"number {number}, byte {places()[number]} of {len(whole)}"
                _count(row, outcome, where, flipped(number))
        row.note = f"of {len(whole)} bytes; those that say nothing have all there is"
        return row

    return Work(NAME, tried, tries or (lambda: len(places())), 500)


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


def _count(row: Row, outcome: Outcome, where: str, data: bytes) -> None:
    row.add("tried")
    row.cost(outcome.cpu_s, outcome.mib)
    match outcome.what:
        case "open" | "salvaged":
            row.add(outcome.what)
            row.add("acknowledged", LESSONS)
            return
        case "refused":
            column = "refused to open"
        case "lost" | "hang" | "not plain":
            column = outcome.what
        case _:
            column = "traceback"
    row.miss(column, f"{where}: {outcome.why}", data)
