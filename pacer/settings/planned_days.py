"""Keeps which outlines stand on which date, in a file of its own: whole, for its owner only, never lost."""

import os
from collections.abc import Callable, Collection, Iterable
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import from_json

from pacer.owner_only import make_folder
from pacer.paths import template_folder
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.dates.planned import MOST_DAYS, MOST_MOVES, MOST_TAUGHT, TEMPLATE, DaySlot, PlannedDays
from pacer.run.clock import Clock, utc_now
from pacer.settings.unknown_keys import json_bytes, with_unknown
from pacer.settings.whole_file import (
    is_readable_now,
    plain_reason,
    real_path,
    set_aside,
    stamp_of_file,
    stamp_of_own,
    write_whole,
)
from pacer.text import _

MAX_BYTES = 1_000_000
MOST_TRIES = 20
DaysChange = Callable[[PlannedDays], PlannedDays]


def name_of(path: Path) -> str:
    """The name under which an outline's file is planned."""
    return TEMPLATE + path.name if path.parent == template_folder() else path.name


def own_name(path: Path, own_folder: Path) -> str:
    """The name of an outline that can be told again: of her own folder or a template, else empty."""
    return name_of(path) if path.parent in (own_folder, template_folder()) else ""


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
        self._waiting: tuple[DaysChange, ...] = ()  # steps that could not be written yet
        self._base = PlannedDays()  # what the file holds, as far as is known
        self.now, self.notice, self.trouble = self._base, "", ""
        self.refresh()

    def subscribe(self, listener: Callable[[], None]) -> None:
        """Call ``listener`` after each change, in the order in which that was asked."""
        self._listeners.append(listener)

    def of(self, day: date) -> tuple[str, ...]:
        """The names of a date's outlines, in order."""
        return self.now.of(day)

    def change(self, step: DaysChange) -> bool:
        """Take a step from the days as they are now; returns whether anything changed.

        What can't be written holds until the program ends; ``trouble`` then says so.
        """
        has_changed = self._change(step)
        for listener in self._listeners if has_changed else ():
            listener()
        return has_changed

    def _change(self, step: DaysChange) -> bool:
        """Read, take the step, write if the file is still as it was read; else all of it again."""
        steps = (*self._waiting, step)
        for _try in range(MOST_TRIES):
            self.refresh()
            before, seen = self._base, self._seen
            after = _taken(before, steps)
            has_changed = _taken(before, self._waiting) != after
            if not has_changed:
                return False
            if self._write(after, seen):
                self.now = self._base = after
                self._waiting = ()
                return True
            if self.trouble:
                break
        else:
            self.trouble = _(
                "The planned days can't be kept now: another Pacer writes them all the time. Close it, then "
                "change something here."
            )
        self.now, self._waiting = after, steps
        return True

    def renamed(self, old: str, new: str) -> None:
        """An outline's file has another name."""
        self.change(lambda days: days.renamed(old, new))

    def removed(self, name: str) -> tuple[DaySlot, ...]:
        """An outline's file is gone: take it off every date. Returns where it stood, for `put_back`."""
        self.refresh()
        places = self.now.places(name)
        self.change(lambda days: days.without(name))
        return places

    def put_back(self, name: str, places: tuple[DaySlot, ...]) -> None:
        """An outline's file is there again: put it where it stood."""
        self.change(lambda days: days.put_back(name, places))

    def was_taught(self, starts: Iterable[int], name: str) -> None:
        """Lessons that began at these times (UTC, ms) were of an outline. Who listens hears nothing of it."""
        self._change(lambda days: days.was_taught(starts, name))

    def keep_lessons(self, starts: Collection[int]) -> str:
        """Forget lessons that began at other times (UTC, ms). Returns what is wrong, or nothing."""
        self._change(lambda days: days.with_lessons(starts))
        return self.trouble

    def taught_name(self, start: int) -> str | None:
        """The name that the outline of a lesson has now; None where it was not noted."""
        return self.now.taught.get(start)

    def refresh(self) -> None:
        """Read the file anew where it was changed elsewhere.

        What could not be written is kept till it can; so are the days of a file that is gone with its drive.
        """
        stamp = stamp_of_file(self._path)
        if stamp in (None, self._seen) or not is_readable_now(self._path):
            return
        # The stamp from before: what is written while this is read is read the next time.
        self._base, self.notice = _load(self._path, self._clock, self.notice, self._base)
        self._seen = stamp
        self.now = _taken(self._base, self._waiting)

    def _write(self, days: PlannedDays, seen: object) -> bool:
        """Whether they were written; not where the file is no longer as it was seen, or with ``trouble``."""
        path = real_path(self._path)
        self.trouble = ""
        try:
            make_folder(path.parent)
            data = _fitting(days)
            written = write_whole(path, data, lambda: stamp_of_file(self._path) in (None, seen))
        except (OSError, ValueError) as error:
            reason, fix = plain_reason(error)
            words = _("The planned days can't be kept in {path}: {reason}. {fix}")
            self.trouble = words.format(path=path, reason=reason, fix=fix)
            return False
        if written:
            self._seen = stamp_of_own(self._path, data)
        return written


def _taken(days: PlannedDays, steps: Iterable[DaysChange]) -> PlannedDays:
    for step in steps:
        days = step(days)
    return days


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
    taught = table.get("taught")
    for start, name in list(taught.items())[-MOST_TAUGHT:] if isinstance(taught, dict) else ():
        if (one := _valid(taught={start: name})) is not None:
            sound = sound.model_copy(update={"taught": {**sound.taught, **one.taught}})
    for move in moves[-MOST_MOVES:] if isinstance(moves, list) else ():
        if (one := _valid(moves=[move])) is not None:
            sound = sound.model_copy(update={"moves": (*sound.moves, *one.moves)})
    return sound


def _valid(**values: Any) -> PlannedDays | None:
    try:
        return PlannedDays.model_validate(values)
    except ValidationError:
        return None
