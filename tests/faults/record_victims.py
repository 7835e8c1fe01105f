"""Day records after school while a fault strikes: corrections, export, migration, copies, deletion."""

import contextlib
import io
import json
import sqlite3
from collections.abc import Iterable
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

from pacer.log import backups, database
from pacer.log.copying import back_up
from pacer.log.database import LockedDatabase, LogError
from pacer.log.date_span import DateSpan
from pacer.log.day_records import DayRecords
from pacer.log.erase import erase
from pacer.log.export.files import ExportError, json_bytes, write_folder, write_new
from pacer.log.export.tables import tables
from pacer.log.migrations import STEPS, upgrade
from pacer.run.clock import ManualClock
from pacer.run.corrections import TomorrowNoted, effective
from pacer.run.session import Session
from pacer.verbs.restore import restore_verb
from tests.faults.children import Tell
from tests.faults.lesson_factories import NINE_UTC_MS, short_outline
from tests.faults.victim import LostError, RefusedError, Victim

DAY_MS = 86_400_000
OPENINGS = 5
# Copies of two days, which are brought back in turn; neither is the day on which that is done.
COPIED = (date(2026, 9, 1), date(2026, 9, 2))


def opened_whole(folder: Path) -> DayRecords:
    try:
        records = DayRecords.open(folder)
    except LogError as error:
        raise RefusedError(str(error)) from error
    if records.notice:
        records.close()
        raise RefusedError(records.notice)
    return records


def _with_lessons(folder: Path) -> None:
    """Three short lessons that ended."""
    folder.mkdir(parents=True, exist_ok=True)
    with DayRecords.open(folder) as records:
        for number in range(3):
            clock = ManualClock(NINE_UTC_MS + number * 86_400_000)
            session = Session(clock, records.journal())
            session.start(short_outline(), mode="live")
            for press in ("next done", "add 1:00", "next", "undo", "next done", "end done"):
                clock.advance(50_000)
                session.do(*press.split())


def _opened(folder: Path, tell: Tell) -> DayRecords | None:
    """The day records, or None where why not is told."""
    tell("ready")
    for _try in range(OPENINGS):
        try:
            return DayRecords.open(folder)
        except LockedDatabase as error:  # another copy may stand still while it has it
            tell(f"told {error}")
        except LogError as error:
            tell(f"told {error}")
            break
    return None


def _correct(folder: Path, seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    if (records := _opened(folder, tell)) is None:
        return
    for number in rounds:
        words = f"halves {seed} {number}"
        try:
            said = records.after().say(1 + number % 3, TomorrowNoted(text=words), NINE_UTC_MS + number)
        except LogError as error:
            tell(f"told {error}")
        else:
            tell(f"ack {1 + number % 3} {said.number} {words}")
    records.close()


def _check_corrections(folder: Path, acks: list[str]) -> None:
    with opened_whole(folder) as records:
        there = records.after().all()
        for ack in acks:
            run, number, words = ack.split(" ", 2)
            said = {one.number: one for one in there.get(int(run), [])}.get(int(number))
            if said is None or getattr(said.body, "text", "") != words:
                raise LostError(f"correction {number} of run {run}")
        effective(there.get(1, []))
        if len(records.runs()) != 3:
            raise LostError("a lesson")


def _export(folder: Path, seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    if (records := _opened(folder, tell)) is None:
        return
    for number in rounds:
        target = folder / f"export-{seed}-{number}"
        try:
            if number % 3 == 1:
                target = target.with_suffix(".json")
                write_new(target, json_bytes(tables(records)))
            elif number % 3 == 2:
                target = folder / "export-over"
                write_folder(target, tables(records), over=True)
            else:
                write_folder(target, tables(records))
        except (ExportError, LogError) as error:
            tell(f"told {error}")
        else:
            tell(f"ack {target.name}")
    records.close()


def _check_export(folder: Path, acks: list[str]) -> None:
    """What is there is whole, folder or file; what is begun and not whole has another name."""
    with opened_whole(folder) as records:
        wanted = {f"{table.name}.csv" for table in tables(records)}
    for target in folder.glob("export-*"):
        if target.suffix == ".json":
            json.loads(target.read_bytes())
            continue
        found = {path.name: path.read_bytes() for path in target.iterdir() if path.suffix == ".csv"}
        names = {name for name, data in found.items() if data.endswith(b"\r\n")}
        if names != wanted:
            raise LostError(f"{target.name} lacks {sorted(wanted - names)[:3]}")
    if missing := [name for name in acks if not (folder / name).exists()]:
        raise LostError(missing[0])


def _older(folder: Path) -> None:
    """A file as the first Pacer left it, with three lessons."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / database.FILE_NAME
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
        upgrade(connection, path, STEPS[:1])
        with DayRecords(connection, path, True, "") as records:
            for number in range(3):
                session = Session(ManualClock(NINE_UTC_MS + number), records.journal())
                session.start(short_outline(), mode="live")
                session.do("next", "done")


def _migrate(folder: Path, _seed: int, tell: Tell, _rounds: Iterable[int]) -> None:
    if (records := _opened(folder, tell)) is None:
        return
    tell(f"ack {len(records.runs())}")
    records.close()


def _check_migration(folder: Path, _acks: list[str]) -> None:
    with opened_whole(folder) as records:
        lengths = [len(records.events(row.id)) for row in records.runs()]
        if lengths != [2, 2, 2]:
            raise LostError(f"events of the lessons: {lengths}")
        version = records.connection.execute("PRAGMA user_version").fetchone()[0]
        assert version == len(STEPS), f"version {version}"
    _check_copies(folder, [path.name for path in (folder / "backups").glob("*.sqlite3")])


def _copy(folder: Path, seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    if (records := _opened(folder, tell)) is None:
        return
    for number in rounds:
        try:
            records.after().say(1, TomorrowNoted(text=f"halves {seed} {number}"), NINE_UTC_MS)
            with database.in_plain_words(records.path):
                copy = back_up(records.connection, records.path, len(STEPS))
        except (LogError, OSError) as error:
            tell(f"told {error}")
        else:
            tell(f"ack {copy.name}")
    records.close()


def _check_copies(folder: Path, acks: list[str]) -> None:
    """Ten copies stay; each that has its name is whole."""
    for name in acks[-3:]:
        copy = folder / "backups" / name
        if not copy.is_file():
            raise LostError(f"copy {name}")
    for copy in (folder / "backups").glob("*.sqlite3"):
        with closing(sqlite3.connect(copy)) as connection:
            if connection.execute("PRAGMA quick_check(1)").fetchone() != ("ok",):
                raise LostError(f"copy {copy.name} is damaged")
            if connection.execute("SELECT count(*) FROM run").fetchone() != (3,):
                raise LostError(f"copy {copy.name} lacks lessons")
    opened_whole(folder).close()


def _copy_days(folder: Path, seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    """The copy of the day beside everything else, on one day after the other."""
    if (records := _opened(folder, tell)) is None:
        return
    begin = len(backups.copy_files(records.path))
    for number in rounds:
        day = date(2026, 3, 9) + timedelta(days=seed % 100 * 40 + begin + number)
        try:
            records.after().say(1, TomorrowNoted(text=f"halves {number}"), NINE_UTC_MS)
            made = backups.copy_today(records.path, day)
        except LogError as error:
            tell(f"told {error}")
        else:
            tell(f"ack day-records-{day}.sqlite3" if made else "told There is no copy of today yet.")
    records.close()


def _check_days(folder: Path, acks: list[str]) -> None:
    """The newest copies that were told are there, and at most the one under way too many."""
    _check_copies(folder, sorted(acks))
    if len(list((folder / "backups").glob("*.sqlite3"))) > backups.DAYS + backups.MONTHS + 1:
        raise LostError("too many copies are kept")


def _with_copies(folder: Path) -> None:
    """Three lessons, a copy of them, a fourth lesson, and a copy of all."""
    _with_lessons(folder)
    path = folder / database.FILE_NAME
    for number, day in enumerate(COPIED):
        if number:
            with DayRecords.open(folder) as records:
                session = Session(ManualClock(NINE_UTC_MS + 9 * DAY_MS), records.journal())
                session.start(short_outline(), mode="live")
                session.do("end", "done")
        assert backups.copy_today(path, day)


def _restore(folder: Path, seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    """Bring back one copy and the other, as the window does and as the verb does."""
    if (records := _opened(folder, tell)) is None:
        return
    for number in rounds:
        day, made = COPIED[(seed + number) % 2], ""
        if number % 2:
            copy = folder / "backups" / f"day-records-{day}.sqlite3"
            try:
                made = backups.restore(records, copy, date(2026, 9, 9)).name
            except LogError as error:
                tell(f"told {error}")
        else:
            records.close()
            said = io.StringIO()
            with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
                code = restore_verb(folder, str(day), only_list=False, clock=ManualClock(NINE_UTC_MS))
            made = "" if code else "-"
            tell(f"told {' '.join(said.getvalue().split()) or 'nothing'}")
            if not (folder / database.FILE_NAME).exists():  # its drive is gone: nothing new is begun
                return
            if (again := _opened(folder, tell)) is None:
                return
            records = again
        if made:
            tell(f"ack {3 + COPIED.index(day)} {made}")
    records.close()


def _check_restored(folder: Path, acks: list[str]) -> None:
    """The lessons of one copy or the other, both copies, and what was there before they were brought back."""
    with opened_whole(folder) as records:
        lessons = [len(records.events(row.id)) > 1 for row in records.runs()]
        if len(lessons) not in (3, 4) or not all(lessons):
            raise LostError(f"lessons with events: {lessons}")
    there = {copy.path.name: copy for copy in backups.copies(folder / database.FILE_NAME)}
    for day, count in zip(COPIED, (3, 4), strict=True):
        copy = there.get(f"day-records-{day}.sqlite3")
        if copy is None or len(copy.lessons) != count:
            raise LostError(f"the copy of {day}: {copy}")
    for ack in acks[-2:]:
        kept = ack.split()[1]
        if kept != "-" and (kept not in there or there[kept].trouble):
            raise LostError(f"what was there before, in {kept}")


def _with_secrets(folder: Path) -> None:
    """Three lessons on three days, each with a word of its own in it and after it, and a copy of them."""
    folder.mkdir(parents=True, exist_ok=True)
    with DayRecords.open(folder) as records:
        for number in range(3):
            session = Session(ManualClock(NINE_UTC_MS + number * DAY_MS), records.journal())
            outline = short_outline().model_copy(update={"title": f"canary-{number}"})
            session.start(outline, mode="live")
            session.do("end", "done")
            records.after().say(number + 1, TomorrowNoted(text=f"canary-{number}"), NINE_UTC_MS)
    assert backups.copy_today(folder / database.FILE_NAME, COPIED[0])


def _erase(folder: Path, _seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    """Delete one day after the other for good."""
    if (records := _opened(folder, tell)) is None:
        return
    for number in (number for number in rounds if number < 3):
        day = date(2026, 9, 21) + timedelta(days=number)
        try:
            erased = erase(records, DateSpan(day, day), NINE_UTC_MS + 9 * DAY_MS)
        except LogError as error:
            tell(f"told {error}")
            tell(f"ack {number} 0 0")  # asked and refused
            continue
        for words in erased.left:
            tell(f"told {words}")
        tell(f"ack {number} {erased.lessons} {len(erased.left)}")
        if number == 2:
            break
    records.close()


def _check_erased(folder: Path, acks: list[str]) -> None:
    """What was told to be gone is gone, and in no file unless that was told, too; what was never asked for is
    there. Where only the last flush failed, what was refused may turn out to be gone: no program can know.
    """
    with opened_whole(folder) as records:
        titles = {row.title for row in records.runs()}
        for title in titles:
            assert records.events(int(title[-1]) + 1), f"{title} has no events"
    answers = [tuple(map(int, ack.split())) for ack in acks]
    gone = {number: left for number, lessons, left in answers if lessons}
    for number, left in gone.items():
        if f"canary-{number}" in titles:
            raise LostError(f"the deletion of lesson {number}: it is there")
        for path in folder.rglob("*"):
            if not left and path.is_file() and f"canary-{number}".encode() in path.read_bytes():
                raise LostError(f"the deletion of lesson {number}: its title is in {path.name}")
    asked = max((number for number, *_rest in answers), default=-1)
    if later := {f"canary-{n}" for n in range(asked + 2, 3)} - titles:
        raise LostError(f"lessons that nobody deleted: {later}")


RECORD_VICTIMS = (
    Victim("repair", _with_lessons, _correct, _check_corrections),
    Victim("export", _with_lessons, _export, _check_export),
    Victim("migration", _older, _migrate, _check_migration, is_once=True),
    Victim("backup", _with_lessons, _copy, _check_copies),
    Victim("daily copy", _with_lessons, _copy_days, _check_days, longest_s=0.2),
    Victim("restore", _with_copies, _restore, _check_restored, longest_s=0.4),
    Victim("deletion", _with_secrets, _erase, _check_erased, is_once=True, longest_s=0.3),
)
