"""Files of hers while a fault strikes: typing, what was taken, settings, planned days, the library."""

import errno
import random
from collections.abc import Iterable
from datetime import date, timedelta
from functools import cache
from pathlib import Path

from pacer.editing.dates.week_editor import WeekEditor
from pacer.editing.host import Host
from pacer.editing.library.shelf import Library
from pacer.editing.outline_editor import OutlineEditor
from pacer.editing.taken_lesson import TakenLesson
from pacer.owner_only import keep_names
from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes
from pacer.plan.draft.mend import mended
from pacer.plan.draft.with_text import TypedDraft, typed
from pacer.plan.file.reader import read_outline
from pacer.plan.outline import Outline
from pacer.run.clock import ManualClock
from pacer.settings.draft_store import DraftStore, OpenedDraft
from pacer.settings.outline_shelf import own_outlines, put_away
from pacer.settings.planned_days import PlannedDaysStore
from pacer.settings.store import SettingsStore, load_settings
from pacer.settings.taken_store import TakenStore
from tests.faults.children import Tell
from tests.faults.lesson_factories import NINE_UTC_MS
from tests.faults.victim import LostError, RefusedError, Victim, nothing

TITLE = "Halves of halves"


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


# --- settings and planned days


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


# --- a week under edit


def _week(folder: Path) -> tuple[WeekEditor, PlannedDaysStore, SettingsStore]:
    clock = ManualClock(NINE_UTC_MS)
    planned = PlannedDaysStore(folder / "planned-days.json", clock)
    settings = SettingsStore(folder / "settings.json", clock)
    return WeekEditor(planned, settings), planned, settings


def _with_shapes(folder: Path) -> None:
    """A teacher who has set up her kinds of days."""
    folder.mkdir(parents=True, exist_ok=True)
    _editor, _planned, settings = _week(folder)
    settings.change(day_shapes=DayShapes(shapes=STARTING_SHAPES))


def _week_step(folder: Path, _seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    """Plan a lesson a day and take the day off; of some that is taken back, and of some done again."""
    editor, planned, settings = _week(folder)
    tell("ready")
    for notice in (planned.notice, settings.notice):
        if notice:
            tell(f"told {notice}")

    def said(words: str, what: str) -> None:
        wrong = words in ("", planned.trouble, settings.trouble)
        tell(f"told {words or 'nothing changed'}" if wrong else f"ack {what}")

    begin = len(planned.now.days)
    for number in (begin + number for number in rounds):
        day = FIRST_DAY + timedelta(days=number)
        said(editor.assign(day, f"lesson-{number}.toml", "Halves"), f"{number} planned")
        said(editor.shape(day, ""), f"{number} off")
        if number % 3:
            said(editor.undo(), f"{number} undone")
        if number % 3 == 2:
            said(editor.redo(), f"{number} redone")


def _check_week(folder: Path, acks: list[str]) -> None:
    """What was told of each day; between two steps it may be as after either."""
    _editor, planned, settings = _week(folder)
    if notice := planned.notice or settings.notice:
        raise RefusedError(notice)
    must_be = (("off", True), ("undone", False), ("redone", True))
    for ack in acks:
        number, what = ack.split()
        day = FIRST_DAY + timedelta(days=int(number))
        if f"lesson-{number}.toml" not in planned.of(day):
            raise LostError(f"lesson {number} of a week")
        is_off = settings.now.day_shapes.days.get(day.isoformat()) == ""
        last, wanted = must_be[int(number) % 3]
        if what == last and is_off != wanted:
            raise LostError(f"day {number} was told to be {what}")


# --- broken outlines

_BROKEN = 'format = 1\ntitle = "Halves {n}\n[[phase]]\ntitle = "Go"\nbudget = "3"\n# marked {n}\n'
_BY_HAND = 'format = 1\ntitle = "By hand {n}"\n[[phase]]\ntitle = "Go"\nbudget = "3"\n'
_BROKEN_FILES = 12


def _with_broken(folder: Path) -> None:
    """Outlines that another program broke, each in its own words."""
    own = folder / "outlines"
    own.mkdir(parents=True, exist_ok=True)
    for number in range(_BROKEN_FILES):
        (own / f"halves-{number}.toml").write_text(_BROKEN.format(n=number))
    keep_names(own)


def _mend(folder: Path, seed: int, tell: Tell, rounds: Iterable[int]) -> None:
    """Mend one after the other; take it back and mend it again; write one's text by hand."""
    chance = random.Random(seed)
    store = DraftStore(folder, ManualClock(NINE_UTC_MS), folder / "elsewhere")
    library = Library(folder / "outlines", store, lambda path: path)
    tell("ready")
    paths = (folder / "outlines" / f"halves-{number}.toml" for number in range(_BROKEN_FILES))
    left = [path for path in paths if library.broken(path)]
    for _number, path in zip(rounds, left, strict=False):
        steps = [library.mend]
        if chance.random() < 0.5:
            steps += [lambda _path: library.undo(), library.mend]
        if chance.random() < 0.3:
            steps.append(lambda path: library.write_text(path, _by_hand(path), _mended(path).encode()))
        is_done = True
        for step in steps:
            told = step(path)
            is_done = is_done and told.done
            if "version couldn't be kept" in told.words:
                tell(f"ack {path.name}, and that what it said is not kept")
            if not told.done or "couldn't" in told.words:
                tell(f"told {told.words}")
        if is_done:
            tell(f"ack {path.name}")


def _broken_text(path: Path) -> str:
    return _BROKEN.format(n=path.stem.rpartition("-")[2])


def _by_hand(path: Path) -> str:
    return _BY_HAND.format(n=path.stem.rpartition("-")[2])


@cache
def _mended(path: Path) -> str:
    result = mended(_broken_text(path))
    assert result is not None
    return result.text


def _check_mended(folder: Path, acks: list[str]) -> None:
    """Each file says one of the things that were wanted of it; what was mended is kept as it was."""
    kept = {path.read_text() for path in (folder / "history").rglob("*.toml")}
    for number in range(_BROKEN_FILES):
        path = folder / "outlines" / f"halves-{number}.toml"
        broken, text = _broken_text(path), path.read_text() if path.exists() else ""
        if text not in (broken, _mended(path), _by_hand(path)):
            raise LostError(f"{path.name} says {text[:80]!r}")
        if path.name in acks and text == broken:
            raise LostError(f"the mending of {path.name}")
        is_told = f"{path.name}, and that what it said is not kept" in acks
        if text != broken and broken not in kept and not is_told:
            raise LostError(f"what {path.name} said before")


FILE_VICTIMS = (
    Victim("typing", nothing, _type, _check_typing),
    Victim("taken", nothing, _take, _check_taken),
    Victim("settings", nothing, _set, _check_settings),
    Victim("planned days", nothing, _plan, _check_plan),
    Victim("week", _with_shapes, _week_step, _check_week),
    Victim("library", _with_outlines, _shelve, _check_shelf),
    Victim("mending", _with_broken, _mend, _check_mended, longest_s=0.3),
)
