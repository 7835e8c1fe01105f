"""Keeps which outlines stand on which date, in a file of its own: whole, for its owner only, never lost."""

import os
from collections.abc import Callable
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import from_json

from pacer.owner_only import make_folder
from pacer.paths import template_folder
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.dates.planned import MOST_DAYS, MOST_MOVES, TEMPLATE, Place, PlannedDays
from pacer.run.clock import Clock, utc_now
from pacer.settings.unknown_keys import json_bytes, with_unknown
from pacer.settings.whole_file import plain_reason, real_path, set_aside, write_whole
from pacer.text import _

MAX_BYTES = 1_000_000
Step = Callable[[PlannedDays], PlannedDays]


def name_of(path: Path) -> str:
    """The name under which an outline's file is planned."""
    return TEMPLATE + path.name if path.parent == template_folder() else path.name


def path_of(name: str, own_folder: Path) -> Path:
    """The file of a planned name, whether it is there or not."""
    if name.startswith(TEMPLATE):
        return template_folder() / name.removeprefix(TEMPLATE)
    return own_folder / name


class PlannedDaysStore:
    """The planned days in force, and the one way to change them.

    ``notice`` says what was wrong with the file, ``trouble`` why the last change is not in it; both are empty
    when all is well. What another program wrote meanwhile is read before each change.
    """

    def __init__(self, path: Path, clock: Clock) -> None:
        self._path, self._clock = path, clock
        self._listeners: list[Callable[[], None]] = []
        self._seen: object = None
        self.now, self.notice, self.trouble = PlannedDays(), "", ""
        self.refresh()

    def subscribe(self, listener: Callable[[], None]) -> None:
        """Call ``listener`` after each change, in the order in which that was asked."""
        self._listeners.append(listener)

    def of(self, day: date) -> tuple[str, ...]:
        """The names of a date's outlines, in order."""
        return self.now.of(day)

    def change(self, step: Step) -> bool:
        """Take a step from the days as they are now; returns whether anything changed.

        What can't be written holds until the program ends; ``trouble`` then says so.
        """
        self.refresh()
        after = step(self.now)
        if after == self.now:
            return False
        self.now = after
        self._write()
        for listener in self._listeners:
            listener()
        return True

    def renamed(self, old: str, new: str) -> None:
        """An outline's file has another name."""
        self.change(lambda days: days.renamed(old, new))

    def removed(self, name: str) -> tuple[Place, ...]:
        """An outline's file is gone: take it off every date. Returns where it stood, for `put_back`."""
        self.refresh()
        places = self.now.places(name)
        self.change(lambda days: days.without(name))
        return places

    def put_back(self, name: str, places: tuple[Place, ...]) -> None:
        """An outline's file is there again: put it where it stood."""
        self.change(lambda days: days.put_back(name, places))

    def refresh(self) -> None:
        """Read the file anew where it was changed elsewhere.

        What could not be written is kept till it can; so are the days of a file that is gone with its drive.
        """
        stamp = _stamp(self._path)
        if self.trouble or stamp in (None, self._seen):
            return
        self.now, self.notice = _load(self._path, self._clock, self.notice, self.now)
        self._seen = _stamp(self._path)

    def _write(self) -> None:
        path = real_path(self._path)
        try:
            make_folder(path.parent)
            write_whole(path, _fitting(self.now))
            self.trouble, self._seen = "", _stamp(self._path)
        except (OSError, ValueError) as error:
            reason, fix = plain_reason(error)
            words = _("The planned days can't be kept in {path}: {reason}. {fix}")
            self.trouble = words.format(path=path, reason=reason, fix=fix)


def _fitting(days: PlannedDays) -> bytes:
    """The days as they are written; where they would be too much to be read again the earliest go."""
    while len(data := json_bytes(days, 1)) > MAX_BYTES and days.days:
        kept = sorted(days.days.items())
        days = days.model_copy(update={"days": dict(kept[len(kept) // 10 + 1 :])})
    return data


def _load(path: Path, clock: Clock, notice: str, known: PlannedDays) -> tuple[PlannedDays, str]:
    """The days of a file and a notice. A damaged file is put aside; what of it can be read still holds.

    Where that is nothing at all, what was ``known`` before holds.
    """
    try:
        text = read_bounded(path, MAX_BYTES).decode("utf-8")
        return with_unknown(PlannedDays.model_validate_json(text), text), notice
    except UnreadableFileError as error:
        if not os.path.lexists(path):
            return PlannedDays(), notice
        kept, why = known, f" {error.what}"
    except ValidationError:
        kept, why = _sound(text) or known, ""
    except ValueError:
        kept, why = known, ""  # not UTF-8
    aside = None
    with suppress(OSError):
        aside = set_aside(path, utc_now(clock))
    if aside is None:
        return kept, _(
            "The planned days in {path} can't be read.{why} Look at that file.", path=path, why=why
        )
    words = _("The planned days were damaged; the file is kept in {path}.")
    rest = _("What can be read of them is shown on Week.") if kept.days else _("Plan them anew on Week.")
    return kept, f"{words.format(path=aside)} {rest}"


def _sound(text: str) -> PlannedDays | None:
    """The dates and moves of a damaged file that will do, each judged alone; None where it holds no table."""
    try:
        table = from_json(text)
    except ValueError:
        return None
    if not isinstance(table, dict):
        return None
    days, moves = table.get("days"), table.get("moves")
    sound = PlannedDays()
    for key, names in list(days.items())[:MOST_DAYS] if isinstance(days, dict) else ():
        if (one := _valid(days={key: names})) is not None:
            sound = sound.model_copy(update={"days": {**sound.days, **one.days}})
    for move in moves[-MOST_MOVES:] if isinstance(moves, list) else ():
        if (one := _valid(moves=[move])) is not None:
            sound = sound.model_copy(update={"moves": (*sound.moves, *one.moves)})
    return sound


def _valid(**values: Any) -> PlannedDays | None:
    try:
        return PlannedDays.model_validate(values)
    except ValidationError:
        return None


def _stamp(path: Path) -> object:
    try:
        status = os.stat(path)  # noqa: PTH116 - Path.stat hides why some names can't be looked up
    except (OSError, ValueError):
        return None
    return status.st_ino, status.st_size, status.st_mtime_ns
