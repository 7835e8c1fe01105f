"""Where settings, outlines and day records are kept on this computer."""

from dataclasses import dataclass
from pathlib import Path

from platformdirs import user_config_path, user_data_path


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
