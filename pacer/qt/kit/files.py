"""Asks for files: one to open, or the place of a new one.

Today needs a file's stamp in every start, and none of Qt's classes, which are imported when one is asked for.
"""

import os
from pathlib import Path

from PySide6.QtWidgets import QWidget

from pacer.text import _


def file_stamp(path: Path) -> tuple[object, ...]:
    """Name, time and size of a file: equal as long as nothing was changed; its name alone if it is gone."""
    try:
        status = os.stat(path)  # noqa: PTH116 - Path.stat hides why some names can't be looked up
    except (OSError, ValueError):
        return (str(path),)
    return str(path), status.st_mtime_ns, status.st_size


def documents() -> str:
    """The folder in which people look for what a program wrote for them; their own where there is none."""
    from PySide6.QtCore import QStandardPaths

    place = QStandardPaths.StandardLocation
    named = QStandardPaths.writableLocation(place.DocumentsLocation)
    return named if Path(named).is_dir() else QStandardPaths.writableLocation(place.HomeLocation)


def ask_file(parent: QWidget, title: str, folder: str, kinds: str) -> Path | None:
    """Ask for a file to open, of ``kinds`` as Qt writes them; None where none is chosen."""
    from PySide6.QtWidgets import QFileDialog

    name, _kind = QFileDialog.getOpenFileName(parent, title, folder, kinds)
    return Path(name) if name else None


def ask_outline(parent: QWidget, folder: Path) -> Path | None:
    """Ask for an outline's file to open, beginning in ``folder``; None where none is chosen."""
    return ask_file(parent, _("Outline"), str(folder), _("Outlines (*.toml)"))


def ask_new_pdf(parent: QWidget, title: str, name: str) -> Path | None:
    """Ask where a PDF is to be written; ``name`` is offered, in the folder of documents."""
    from PySide6.QtWidgets import QFileDialog

    offered = str(Path(documents(), name))
    chosen, _kind = QFileDialog.getSaveFileName(parent, title, offered, _("PDF (*.pdf)"))
    return Path(chosen) if chosen else None
