"""The system's trash, asked through Qt."""

import errno
from pathlib import Path

from PySide6.QtCore import QFile

from pacer.text import _


def to_trash(path: Path) -> Path:
    """Put a file or folder into the system's trash; returns where it lies there.

    Raises OSError where the system has no trash for it, or where it would not say where the file went, as
    then nothing could be taken back.
    """
    file = QFile(str(path))
    if not file.moveToTrash():
        raise OSError(errno.ENOTSUP, _("there is none for this folder"))
    return Path(file.fileName())
