"""Reads and writes the settings file; a damaged one is kept aside, never lost."""

import contextlib
import os
from datetime import UTC, datetime
from pathlib import Path

from pacer.plan.files import UnreadableFileError, read_bounded
from pacer.settings.model import Settings
from pacer.text import _

MAX_BYTES = 1_000_000


class SettingsError(Exception):
    """The settings could not be written; the message says why."""


def load_settings(path: Path) -> tuple[Settings, str]:
    """The settings and a notice for the teacher, empty when all is well."""
    try:
        text = read_bounded(path, MAX_BYTES).decode("utf-8")
        return Settings.model_validate_json(text), ""
    except UnreadableFileError:
        if not os.path.lexists(path):
            return Settings(), ""
    except ValueError:
        pass  # not UTF-8, not JSON, or not settings
    return Settings(), _kept_aside(path)


def _kept_aside(path: Path) -> str:
    """Put a damaged file out of the way of the next save; says where it is."""
    aside = path.with_name(f"settings-unreadable-{datetime.now(UTC):%Y%m%dT%H%M%S%f}.json")
    try:
        path.rename(aside)
    except OSError:
        return _("The settings in {path} can't be read; the usual ones are used.").format(path=path)
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
