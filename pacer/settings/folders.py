"""Where settings, outlines and day records are kept on this computer."""

import os
import tempfile
from dataclasses import dataclass
from fnmatch import fnmatch
from pathlib import Path

from platformdirs import user_cache_path, user_config_path, user_data_path

from pacer.owner_only import close_off, close_off_all

# What Pacer makes in a data folder.
_OURS = (
    "backups", "day-records*", "drafts", "history", "outlines", "pacer.l*", "pacer-crash.txt", "settings*",
    "split*", "taken", ".pacer-*.partial",
)  # fmt: skip


@dataclass(frozen=True)
class Folders:
    """The folders of one teacher."""

    data: Path
    settings_file: Path

    @property
    def outlines(self) -> Path:
        """The teacher's own outlines."""
        return self.data / "outlines"

    @property
    def split_file(self) -> Path:
        """The curriculum's lesson that is being split."""
        return self.data / "split.json"


def folders(data_dir: Path | None = None) -> Folders:
    """The platform's folders; or, with ``data_dir``, everything in that one."""
    if data_dir is not None:
        return Folders(data_dir, data_dir / "settings.json")
    return Folders(
        user_data_path("pacer", appauthor=False),
        user_config_path("pacer", appauthor=False) / "settings.json",
    )


def own_elsewhere() -> Path:
    """A folder of the user's own for what can't be kept in the data folder; never a shared temporary one."""
    session = Path(os.environ.get("XDG_RUNTIME_DIR", ""))  # on another disk than her home, and hers alone
    if session.is_absolute() and not session.is_relative_to(tempfile.gettempdir()):
        return session / "pacer"
    return user_cache_path("pacer", appauthor=False)


def close_to_others(where: Folders) -> None:
    """Take from all others the rights that older files and folders of Pacer's still give them.

    A folder that the teacher named herself may hold other things: then only what is Pacer's in it is closed.
    """
    data = Path(os.path.realpath(where.data))
    try:
        names = [path.name for path in data.iterdir()]
    except OSError:
        names = []
    ours = [name for name in names if any(fnmatch(name, pattern) for pattern in _OURS)]
    for name in ours:
        close_off_all(data / name)
    if len(ours) == len(names) or where == folders():
        close_off(data)
    settings = Path(os.path.realpath(where.settings_file))
    close_off(settings)
    if where == folders():
        close_off(settings.parent)
