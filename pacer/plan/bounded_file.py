"""Reads a file that somebody else wrote: whole, of a bounded size, and never one that would hang."""

import os
import stat
from pathlib import Path

from pacer.plan.problems import ToldError
from pacer.text import _


class UnreadableFileError(ToldError):
    """A file can't be read."""


def unreadable(error: OSError | ValueError) -> UnreadableFileError:
    """What the operating system says of a file that it doesn't read, in plain words."""
    what = _("The file can't be read: {reason}.", reason=getattr(error, "strerror", None) or error)
    return UnreadableFileError(what, _("Check its name, and who may read it."))


def read_bounded(path: Path, most: int) -> bytes:
    """The bytes of an ordinary file, at most so many. Raises UnreadableFileError.

    A pipe or a device is refused before it is opened: reading it might never end.
    """
    try:
        mode = os.stat(path).st_mode  # noqa: PTH116 - Path.stat hides why some names can't be looked up
        if stat.S_ISDIR(mode):
            raise UnreadableFileError(_("This is a folder."), _("Name a file inside it."))
        # The shell hands over a pipe of its own under these names; there somebody writes already.
        is_from_shell = stat.S_ISFIFO(mode) and str(path).startswith(
            ("/dev/fd/", "/dev/stdin", "/proc/self/fd/")
        )
        if not stat.S_ISREG(mode) and not is_from_shell:
            raise UnreadableFileError(_("This is not an ordinary file."), _("Name a text file."))
        with path.open("rb") as file:
            data = file.read(most + 1)
    except FileNotFoundError:
        raise UnreadableFileError(_("There is no such file."), _("Check the name and the folder.")) from None
    except (OSError, ValueError) as error:
        raise unreadable(error) from None
    if len(data) > most:
        what = _("The file is larger than {size} MB.", size=f"{most / 1e6:g}")
        raise UnreadableFileError(what, _("Name a smaller one."))
    return data
