"""Whether Pacer was never used in these folders: then one page asks how to begin."""

from pathlib import Path

from pacer.editing.kept_lessons import KeptLessons
from pacer.log.database import LogError
from pacer.settings.folders import Folders
from pacer.settings.model import Settings


def is_first_start(where: Folders, settings: Settings, kept: KeptLessons) -> bool:
    """Whether there is nothing of hers yet: no choice made, no outline, nothing typed, no lesson.

    False where something can't be read or is to be told: that comes first.
    """
    if settings.begun or kept.notice or kept.records is None:
        return False
    if where.split_file.exists() or _holds_files(where.outlines) or _holds_files(where.data / "drafts"):
        return False
    try:
        return not kept.records.runs() and not kept.records.trashed_runs()
    except LogError:
        return False


def _holds_files(folder: Path) -> bool:
    try:
        return any(folder.iterdir())
    except FileNotFoundError:
        return False
    except OSError:
        return True  # what is in it is not known
