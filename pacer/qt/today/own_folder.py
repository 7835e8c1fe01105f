"""The teacher's own folder of outlines: a copy into it, and a look into it in the system's file window."""

from pathlib import Path

from PySide6.QtCore import QUrl
from PySide6.QtGui import QDesktopServices

from pacer.owner_only import make_folder
from pacer.settings.outline_shelf import copy_to_own
from pacer.text import _


def copy_into(own_folder: Path, path: Path) -> tuple[Path | None, str]:
    """Copy an outline into the folder. Returns the copy, None where that fails, and what to tell."""
    try:
        target = copy_to_own(path, own_folder)
    except OSError as error:
        return None, _("The outline can't be copied: {reason}.").format(reason=error.strerror or error)
    return target, _("Copied to {path}. Change it on the page Outline.").format(path=target)


def open_folder(own_folder: Path) -> str:
    """Make the folder where there is none and open it. Returns what to tell."""
    try:
        make_folder(own_folder)
    except OSError as error:
        return _("Your folder can't be opened: {reason}.").format(reason=error.strerror or error)
    QDesktopServices.openUrl(QUrl.fromLocalFile(str(own_folder)))
    return _("Your outlines are in {path}").format(path=own_folder)
