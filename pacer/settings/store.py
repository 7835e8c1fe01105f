"""Reads and writes the settings file; a damaged one is kept aside, never lost."""

import contextlib
import os
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from pydantic_core import from_json

from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.settings.model import Settings
from pacer.text import _

MAX_BYTES = 1_000_000
MOST_MENDED = 100


class SettingsError(Exception):
    """The settings could not be written; the message says why."""


def load_settings(path: Path) -> tuple[Settings, str]:
    """The settings and a notice for the teacher, empty when all is well.

    Of a file with some values that won't do the others still hold.
    """
    settings, lost = Settings(), ""
    try:
        text = read_bounded(path, MAX_BYTES).decode("utf-8")
        return Settings.model_validate_json(text), ""
    except UnreadableFileError:
        if not os.path.lexists(path):
            return settings, ""
    except ValidationError:
        settings, lost = _mended(text)
    except ValueError:
        pass  # not UTF-8
    return settings, _kept_aside(path, lost)


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
        return settings, ", ".join(names)
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


def _kept_aside(path: Path, lost: str = "") -> str:
    """Put a damaged file out of the way of the next save; says where, and what is ``lost`` if not all is."""
    aside = path.with_name(f"settings-unreadable-{datetime.now(UTC):%Y%m%dT%H%M%S%f}.json")
    try:
        path.rename(aside)
    except OSError:
        return _("The settings in {path} can't be read; the usual ones are used.").format(path=path)
    if lost:
        notice = _(
            "The settings were damaged; they are kept in {path}. What can't be read was left out of: {names}."
        )
        return notice.format(path=aside, names=lost)
    notice = _("The settings were damaged; they are kept in {path} and the usual ones are used.")
    return notice.format(path=aside)


def save_settings(path: Path, settings: Settings) -> None:
    """Write the settings whole or not at all. Raises SettingsError."""
    path = Path(os.path.realpath(path))  # through a link, so that the link stays one
    partial = path.with_suffix(".partial")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with partial.open("w", encoding="utf-8") as file:
            file.write(settings.model_dump_json(indent=2) + "\n")
            file.flush()
            os.fsync(file.fileno())
        partial.replace(path)
    except (OSError, ValueError) as error:
        with contextlib.suppress(OSError):
            partial.unlink(missing_ok=True)
        reason = getattr(error, "strerror", None) or _("a name in them can't be written")
        raise SettingsError(
            _("The settings can't be saved in {path}: {reason}.").format(path=path, reason=reason)
        ) from None
