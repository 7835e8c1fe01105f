"""What is done while a fault strikes: lesson, typing, corrections, export, migration, copy, settings, files.

Each tells ``ack WHAT`` once the program has said, by returning, that something is on disk; ``told WORDS``
where it said in plain words that it is not. ``check`` raises LostError for what was acknowledged and is gone.
"""

import errno
import random
import sqlite3
from collections.abc import Callable, Iterable
from contextlib import closing
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import count
from pathlib import Path

from pacer.editing.host import Host
from pacer.editing.library.shelf import Library
from pacer.editing.outline_editor import OutlineEditor
from pacer.editing.taken_lesson import TakenLesson
from pacer.log import database
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.log.export_tables import ExportError, tables, write_folder
from pacer.log.migrations import STEPS, back_up, upgrade
from pacer.plan.draft.with_text import TypedDraft, typed
from pacer.plan.file.reader import read_outline
from pacer.plan.outline import Outline
from pacer.run.clock import ManualClock
from pacer.run.corrections import TomorrowNoted, effective
from pacer.run.events import Gap
from pacer.run.fold import fold
from pacer.run.session import Session
from pacer.settings.draft_store import DraftStore, OpenedDraft
from pacer.settings.outline_shelf import own_outlines, put_away
from pacer.settings.planned_days import PlannedDaysStore
from pacer.settings.store import SettingsStore, load_settings
from pacer.settings.taken_store import TakenStore
from tests.faults.children import Tell
from tests.faults.lesson_factories import (
    LESSON_EVENTS,
    NINE_UTC_MS,
    PRESSES,
    event_print,
    short_outline,
    state_print,
)

AWAY_MS = 90_000
TITLE = "Halves of halves"


class LostError(AssertionError):
    """Something acknowledged is not there."""


class RefusedError(AssertionError):
    """What is there can't be opened."""


@dataclass(frozen=True)
class Victim:
    """``prepare`` a folder, ``live`` in it for so many rounds, ``check`` what is left."""

    name: str
    prepare: Callable[[Path], None]
    live: Callable[[Path, int, Tell, Iterable[int]], None]
    check: Callable[[Path, list[str]], None]


def forever() -> Iterable[int]:
    """Rounds without an end."""
    return count()


def _open(folder: Path) -> DayRecords:
    try:
        records = DayRecords.open(folder)
    except LogError as error:
        raise RefusedError(str(error)) from error
    if records.notice:
        records.close()
        raise RefusedError(records.notice)
    return records


def _nothing(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)


# --- a lesson


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
    with _open(folder) as records:
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


# --- typing in Outline


def _editor(folder: Path, tell: Tell) -> OutlineEditor:
    class Never:
        def start(self) -> None: ...

        def stop(self) -> None: ...

    def told(words: str, _which: str) -> None:
        if words:
            tell(f"told {words}")

    clock = ManualClock(NINE_UTC_MS)
    store = DraftStore(folder / "data", clock, folder / "elsewhere")
    host = Host(lambda _ms, _then: Never(), lambda then: then(), lambda: None, told, lambda _path: None)
    return OutlineEditor(store, folder / "outlines", clock, host)


def _text(number: int) -> str:
    return f"{TITLE}\nWarm-up 2\nReview {number:06d} 3\nModeling 7\n"


def _number_in(text: str) -> int:
    at = text.find("Review ")
    return int(text[at + 7 : at + 13]) if at >= 0 and text[at + 7 : at + 13].isdigit() else -1


def _type(folder: Path, seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    """Open what is there, take in what was not saved, and type; each text is journaled, some are saved."""
    chance, editor = random.Random(seed), _editor(folder, tell)
    tell("ready")
    path = folder / "outlines" / "halves-of-halves.toml"
    for unsaved in editor.store.recoverable():
        wrong = editor.recover(unsaved)
        if wrong:
            tell(f"told {wrong}")
        break
    else:
        wrong = editor.open(path) if path.exists() else editor.new(typed(TypedDraft(), _text(0)))
        if wrong:
            tell(f"told {wrong}")
    begin = max(0, _number_in(editor.sheet.text)) + 1
    for number in rounds:
        editor.type(_text(begin + number))
        heard: list[str] = []
        notice = editor.store.journal(editor.file.path or path, editor.file.toml()[1], editor.file.stamp)
        if notice:
            tell(f"told {notice}")
        if not notice or "is kept in" in notice:
            tell(f"ack {begin + number}")
        if chance.random() < 0.4:
            editor.file.flush()
            if not editor.file.failed:
                tell(f"ack {begin + number}")
        heard.clear()
    editor.file.shut()
    if not editor.file.failed:
        tell(f"ack {begin + number}")


def _check_typing(folder: Path, acks: list[str]) -> None:
    """Each outline file is whole, and the newest text acknowledged is in one, or offered."""
    store = _editor(folder, lambda _words: None).store
    texts = [unsaved.text for unsaved in store.recoverable()]
    for path in (folder / "outlines").glob("*.toml"):
        if not isinstance(read_outline(path), Outline):
            raise LostError(f"{path.name} is not whole: {path.read_bytes()[:80]!r}")
        texts.append(path.read_text())
    wanted, there = max(map(int, acks), default=0), max(map(_number_in, texts), default=-1)
    if wanted and there < wanted:
        raise LostError(f"text {wanted}; {there} is there")


class _NoTimer:
    """Waits for nothing: what it would start is done by hand."""

    def start(self) -> None:
        """Nothing."""

    def stop(self) -> None:
        """Nothing."""


def _taken(folder: Path) -> TakenLesson:
    store = TakenStore(folder, ManualClock(NINE_UTC_MS), folder / "elsewhere")
    return TakenLesson(store, lambda _ms, _then: _NoTimer(), lambda: None)


def _take(folder: Path, _seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    """Type over what was taken, and say something of a line; each is kept at once."""
    lesson = _taken(folder)
    tell("ready")
    lesson.find_kept()
    begin = max(0, _number_in(lesson.text)) + 1
    for number in rounds:
        lesson.type(_text(begin + number))
        lesson.say([1], "title")
        lesson.keep()
        if lesson.notice:
            tell(f"told {lesson.notice}")
        if not lesson.notice or "is kept in" in lesson.notice:
            tell(f"ack {begin + number}")


def _check_taken(folder: Path, acks: list[str]) -> None:
    """The newest text acknowledged is there again, with what was said of it."""
    lesson = _taken(folder)
    lesson.find_kept()
    wanted, there = max(map(int, acks), default=0), _number_in(lesson.text)
    if wanted and (there < wanted or not lesson.rulings):
        raise LostError(f"taken {wanted}; {there} is there")


# --- after school: corrections, export, migration, a copy, settings


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
    try:
        return DayRecords.open(folder)
    except LogError as error:
        tell(f"told {error}")
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
    with _open(folder) as records:
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
            write_folder(target, tables(records))
        except (ExportError, LogError) as error:
            tell(f"told {error}")
        else:
            tell(f"ack {target.name}")
    records.close()


def _check_export(folder: Path, acks: list[str]) -> None:
    """A folder that is there is whole; what is begun and not whole has another name."""
    with _open(folder) as records:
        wanted = {f"{table.name}.csv" for table in tables(records)}
    for target in folder.glob("export-*"):
        names = {path.name for path in target.iterdir() if path.stat().st_size}
        if names != wanted:
            raise LostError(f"{target.name} lacks {sorted(wanted - names)[:3]}")
    if missing := [name for name in acks if not (folder / name).is_dir()]:
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
    with _open(folder) as records:
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
    _open(folder).close()


def _set(folder: Path, _seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    tell("ready")
    store = SettingsStore(folder / "settings.json", ManualClock(NINE_UTC_MS))
    if store.notice:
        tell(f"told {store.notice}")
    begin = store.now.back_row_mm - 1000
    for number in rounds:
        store.change(back_row_mm=1000 + begin + number + 1)
        tell(f"told {store.trouble}" if store.trouble else f"ack {begin + number + 1}")


def _check_settings(folder: Path, acks: list[str]) -> None:
    settings, notice = load_settings(folder / "settings.json", ManualClock(NINE_UTC_MS))
    if notice:
        raise RefusedError(notice)
    wanted, there = max(map(int, acks), default=0), settings.back_row_mm - 1000
    if acks and there < wanted:
        raise LostError(f"setting {wanted}; {there} is there")


FIRST_DAY = date(2026, 3, 9)


def _plan(folder: Path, _seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    """Put an outline on a date more each time, named by its number."""
    tell("ready")
    store = PlannedDaysStore(folder / "planned-days.json", ManualClock(NINE_UTC_MS))
    if store.notice:
        tell(f"told {store.notice}")
    begin = len(store.now.days)
    for number in rounds:
        day = FIRST_DAY + timedelta(days=begin + number)
        store.change(lambda days, day=day: days.assigned(day, "a.toml"))
        tell(f"told {store.trouble}" if store.trouble else f"ack {begin + number + 1}")


def _check_plan(folder: Path, acks: list[str]) -> None:
    store = PlannedDaysStore(folder / "planned-days.json", ManualClock(NINE_UTC_MS))
    if store.notice:
        raise RefusedError(store.notice)
    wanted, there = max(map(int, acks), default=0), len(store.now.days)
    if acks and there < wanted:
        raise LostError(f"{wanted} planned days; {there} are there")


# --- outlines as files


def _with_outlines(folder: Path) -> None:
    """Three outlines, one with a picture of its own, one with an earlier version."""
    own = folder / "outlines"
    own.mkdir(parents=True, exist_ok=True)
    text = 'format = 1\ntitle = "{title}"\n[[phase]]\ntitle = "Go"\nbudget = "3"\n'
    for title in ("Halves", "Thirds", "Fourths"):
        (own / f"{title.lower()}.toml").write_text(text.format(title=title) + f"# marked {title}\n")
    with (own / "thirds.toml").open("a") as file:
        file.write('attach = "line.png"\n')
    (own / "line.png").write_bytes(b"an invented picture")
    store = DraftStore(folder, ManualClock(NINE_UTC_MS), folder / "elsewhere")
    opened = store.open(own / "halves.toml")
    assert isinstance(opened, OpenedDraft)
    store.save(own / "halves.toml", opened.text + "# a version later\n", opened.stamp)


def _shelve(folder: Path, seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    """Rename, put away, bring back, delete into Pacer's own folder, duplicate, and undo, at random."""
    chance = random.Random(seed)

    def no_trash(_path: Path) -> Path:
        raise OSError(errno.ENOTSUP, "there is none")

    store = DraftStore(folder, ManualClock(NINE_UTC_MS), folder / "elsewhere")
    library = Library(folder / "outlines", store, no_trash)
    tell("ready")
    for number in rounds:
        own, away = own_outlines(folder / "outlines"), put_away(folder / "outlines")
        entry = chance.choice([*own, *away]) if own or away else None
        if entry is None:
            tell("told no outline is listed")
            continue
        if entry in away:
            told = library.bring_back(entry.path)
        else:
            act = chance.choice(("rename", "duplicate", "put_away", "delete", "undo"))
            if act == "rename":
                told = library.rename(entry.path, f"Lesson {number}")
            elif act == "undo":
                told = library.undo()
            elif act == "duplicate" and len(own) > 5:
                told = library.put_away(entry.path)
            else:
                told = getattr(library, act)(entry.path)
        tell(f"told {told.words}" if not told.done else f"ack {number}")


def _check_shelf(folder: Path, _acks: list[str]) -> None:
    """Whatever was done, each outline is there, whole, with its picture; nothing is half a file."""
    texts = []
    for path in folder.rglob("*.toml"):
        if "history" not in path.parts:
            if not isinstance(read_outline(path), Outline):
                raise LostError(f"{path.name} is not whole: {path.read_bytes()[:80]!r}")
            texts.append(path.read_text())
    for title in ("Halves", "Thirds", "Fourths"):
        if not any(f"# marked {title}\n" in text for text in texts):
            raise LostError(f"the outline {title}")
    if not any(path.read_bytes() == b"an invented picture" for path in folder.rglob("line.png")):
        raise LostError("the picture")
    versions = [path.read_text() for path in (folder / "history").rglob("*.toml")]
    if not any("# marked Halves" in text and "later" not in text for text in versions):
        raise LostError("the earlier version")


VICTIMS = (
    Victim("lesson", _nothing, _teach, _check_lessons),
    Victim("typing", _nothing, _type, _check_typing),
    Victim("taken", _nothing, _take, _check_taken),
    Victim("repair", _with_lessons, _correct, _check_corrections),
    Victim("export", _with_lessons, _export, _check_export),
    Victim("migration", _older, _migrate, _check_migration),
    Victim("backup", _with_lessons, _copy, _check_copies),
    Victim("settings", _nothing, _set, _check_settings),
    Victim("planned days", _nothing, _plan, _check_plan),
    Victim("library", _with_outlines, _shelve, _check_shelf),
)
