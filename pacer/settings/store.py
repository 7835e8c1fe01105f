"""The settings in force and their file, which is written whole; a damaged one is kept aside, never lost."""

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import from_json

from pacer.owner_only import make_folder
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.run.clock import Clock, SystemClock, utc_now
from pacer.settings.model import Settings
from pacer.settings.unknown_keys import json_bytes, with_unknown
from pacer.settings.whole_file import (
    is_readable_now,
    real_path,
    set_aside,
    stamp_of_file,
    stamp_of_own,
    write_whole,
)
from pacer.text import _

MAX_BYTES = 1_000_000
MOST_MENDED = 100
MOST_TRIES = 20


class SettingsError(Exception):
    """The settings could not be written; the message says why."""


class SettingsStore:
    """The settings in force, for the whole program, and the one way to change them.

    ``now`` is replaced by each change: who keeps it knows nothing of what is changed elsewhere. ``notice``
    says what was wrong with the file at the start, ``trouble`` why the last change is not in it; both are
    empty when all is well.
    """

    def __init__(self, path: Path, clock: Clock | None = None) -> None:
        self._path, self._clock = path, clock
        self._listeners: list[Callable[[], None]] = []
        self._waiting: dict[str, Any] = {}  # values that could not be written yet
        # The stamp from before: what is written while this is read is read the next time.
        self._seen = stamp_of_file(path)
        self.now, self.notice = load_settings(path, clock)
        self.trouble = ""

    def subscribe(self, listener: Callable[[], None]) -> None:
        """Call ``listener`` after each change, in the order in which that was asked."""
        self._listeners.append(listener)

    def refresh(self) -> None:
        """Read the file anew where another program changed it; who changes a part of a setting asks first."""
        stamp = stamp_of_file(self._path)
        if stamp in (None, self._seen) or not is_readable_now(self._path):
            return
        read, notice = load_settings(self._path, self._clock)
        self._seen = stamp
        if notice:
            self.notice = notice  # a damaged file takes nothing from what holds here
        else:
            self.now = Settings.model_validate({**dict(read), **self._waiting})

    def change(self, **values: Any) -> None:
        """Change some settings, by their names, for the program and in the file; all others stay as they are.

        What can't be written holds until the program ends; ``trouble`` then says so. Raises TypeError for a
        name that is none, and ValidationError for a value that won't do: then nothing is changed.
        """
        if unknown := values.keys() - Settings.model_fields.keys():
            raise TypeError(f"no settings: {', '.join(sorted(unknown))}")
        Settings.model_validate({**dict(self.now), **values})
        self._waiting = {**self._waiting, **values}
        for number in range(1, MOST_TRIES + 1):
            self.refresh()
            self.now = Settings.model_validate({**dict(self.now), **self._waiting})
            if self._is_written(is_last=number == MOST_TRIES):
                break
        for listener in self._listeners:
            listener()

    def _is_written(self, *, is_last: bool) -> bool:
        """Whether nothing more is to be tried: written, or it can't be. ``is_last``: whatever is there."""
        seen, self.trouble = self._seen, ""
        try:
            if not save_settings(
                self._path, self.now, lambda: is_last or stamp_of_file(self._path) in (None, seen)
            ):
                return False
            self._seen, self._waiting = stamp_of_own(self._path, json_bytes(self.now, 2)), {}
        except SettingsError as error:
            self.trouble = str(error)
        return True


def only_read(path: Path) -> Settings:
    """What a file sets, and nothing is changed; what can't be read is as it is at the first start."""
    try:
        return Settings.model_validate_json(read_bounded(path, MAX_BYTES))
    except (UnreadableFileError, ValueError):
        return Settings()


def load_settings(path: Path, clock: Clock | None = None) -> tuple[Settings, str]:
    """The settings and a notice for the teacher, empty when all is well.

    Of a file with some values that won't do the others still hold. ``clock`` is for the name under which a
    damaged one is kept.
    """
    settings, lost = Settings(), ""
    try:
        text = read_bounded(path, MAX_BYTES).decode("utf-8")
        return with_unknown(Settings.model_validate_json(text), text), ""
    except UnreadableFileError:
        if not os.path.lexists(path):
            return settings, ""
    except ValidationError:
        settings, lost = _mended(text)
    except ValueError:
        pass  # not UTF-8
    return settings, _kept_aside(path, lost, clock or SystemClock())


def _mended(text: str) -> tuple[Settings, str]:
    """The settings without the values that won't do, and the names of those; of no table the usual ones."""
    try:
        table = from_json(text)
    except ValueError:
        table = None
    names: dict[str, None] = {}
    for count in range(MOST_MENDED if isinstance(table, dict) else 0):
        try:
            settings = Settings.model_validate(table)
        except ValidationError as error:
            place = error.errors(include_url=False, include_input=False)[0]["loc"]
            # A file with very many faults loses whole settings: mending ends.
            _take_out(table, place if count < MOST_MENDED // 2 else place[:1])
            names[str(place[0])] = None
            continue
        return with_unknown(settings, text), ", ".join(names)
    return Settings(), ""


def _take_out(table: Any, place: tuple[int | str, ...]) -> None:
    """Remove what stands at a place, or the nearest thing around it where nothing does."""
    around, at = table, place[0]
    for step in place[1:]:
        inner = around[at]
        # What is written in place of a list or a table goes whole.
        is_there = (isinstance(inner, dict) and step in inner) or (
            isinstance(inner, list) and isinstance(step, int) and step < len(inner)
        )
        if not is_there:
            break
        around, at = inner, step
    del around[at]


def _kept_aside(path: Path, lost: str, clock: Clock) -> str:
    """Put a damaged file out of the way of the next save; says where, and what is ``lost`` if not all is."""
    try:
        aside = set_aside(path, utc_now(clock))
    except OSError:
        return _("The settings in {path} can't be read; the usual ones are used.", path=path)
    if lost:
        notice = _(
            "The settings were damaged; they are kept in {path}. What can't be read was left out of: {names}."
        )
        return notice.format(path=aside, names=lost)
    return _("The settings were damaged; they are kept in {path} and the usual ones are used.", path=aside)


def save_settings(path: Path, settings: Settings, may: Callable[[], bool] | None = None) -> bool:
    """Write the settings whole or not at all; not where ``may`` says no, then False. Raises SettingsError."""
    path = real_path(path)
    try:
        make_folder(path.parent)
        return write_whole(path, json_bytes(settings, 2), may)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or _("a name in them can't be written")
        raise SettingsError(
            _("The settings can't be saved in {path}: {reason}.", path=path, reason=reason)
        ) from None
