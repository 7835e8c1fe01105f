"""Reads and writes the settings file; a damaged one is kept aside, never lost."""

import os
from datetime import UTC, datetime
from pathlib import Path

from pydantic import ValidationError

from pacer.settings.model import Settings
from pacer.text import _


class SettingsError(Exception):
    """The settings could not be written; the message says why."""


def load_settings(path: Path) -> tuple[Settings, str]:
    """The settings and a notice for the teacher, empty when all is well."""
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        return Settings(), ""
    except (OSError, UnicodeDecodeError):
        return Settings(), _("The settings in {path} can't be read; the usual ones are used.").format(
            path=path
        )
    try:
        return Settings.model_validate_json(text), ""
    except ValidationError:
        aside = path.with_name(f"settings-unreadable-{datetime.now(UTC):%Y%m%dT%H%M%S%f}.json")
        try:
            path.rename(aside)
        except OSError:
            aside = path
        notice = _("The settings were damaged; they are kept in {path} and the usual ones are used.")
        return Settings(), notice.format(path=aside)


def save_settings(path: Path, settings: Settings) -> None:
    """Write the settings whole or not at all. Raises SettingsError."""
    partial = path.with_suffix(".partial")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with partial.open("w", encoding="utf-8") as file:
            file.write(settings.model_dump_json(indent=2) + "\n")
            file.flush()
            os.fsync(file.fileno())
        partial.replace(path)
    except OSError as error:
        raise SettingsError(
            _("The settings can't be saved in {path}: {reason}.").format(path=path, reason=error.strerror)
        ) from None
