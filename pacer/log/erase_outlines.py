"""Deletes outlines with their earlier versions and unsaved drafts; only files that Pacer itself wrote."""

import os
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from pacer.log import database
from pacer.log.day_records import DayRecords
from pacer.log.erase import Erasable, forget_accepted
from pacer.log.part import must_write
from pacer.settings.folders import Folders
from pacer.settings.outline_shelf import own_outlines, put_away
from pacer.settings.recovery import Recovery
from pacer.settings.versions import Versions
from pacer.settings.whole_file import plain_reason, real_path
from pacer.text import _


def outlines_of(records: DayRecords, where: Folders, erasable: Erasable) -> tuple[Path, ...]:
    """The teacher's outlines used only by lessons about to be deleted. Raises LogError.

    A lesson names its outline by the title. Outlines that another lesson used, or none, or that can't be read
    stay. Those that were put away, or deleted where there is no trash, are outlines of hers, too.
    """
    titles = {lesson.title for lesson in erasable.lessons} - _titles_left(records, erasable)
    if not titles:
        return ()
    entries = [*own_outlines(where.outlines), *put_away(where.outlines)]
    return tuple(entry.path for entry in entries if entry.outline and entry.outline.title in titles)


def erase_outlines(records: DayRecords, where: Folders, paths: Sequence[Path]) -> tuple[str, ...]:
    """Delete outlines, their versions, what was typed and not saved, and the budgets accepted into them.

    Files attached to them stay. Returns what is left, in plain words. Raises LogError and its kinds.
    """
    must_write(records)
    versions, recovery = Versions(where.data / "history"), Recovery(where.data / "drafts")
    left: list[str] = []
    gone: list[str] = []
    for path in paths:
        real = real_path(path)
        try:
            path.unlink(missing_ok=True)
        except OSError as error:
            left.append(_still_there(path, error))
            continue
        gone.append(path.name)
        left += _drop_versions(versions, real)
        recovery.drop(real)
        if any(draft.path == real for draft in recovery.all()):
            left.append(_("What was typed in {path} and not saved is still kept.", path=path))
    if gone:
        left += forget_accepted(records, gone)
    return tuple(left)


def _drop_versions(versions: Versions, real: Path) -> list[str]:
    left = []
    for version in versions.all(real):
        try:
            version.file.unlink(missing_ok=True)
        except OSError as error:
            left.append(_still_there(version.file, error))
            continue
        with suppress(OSError):  # the last one takes the folder with it
            version.file.parent.rmdir()
    folder = versions.folder_of(real)
    if not left and os.path.lexists(folder):  # what could not be looked through looks empty
        left.append(
            _("Earlier versions may still lie in {folder}. Delete that folder by hand.", folder=folder)
        )
    return left


def _titles_left(records: DayRecords, erasable: Erasable) -> set[str]:
    going = {lesson.run for lesson in erasable.lessons}
    with database.in_plain_words(records.path):
        rows = records.connection.execute("SELECT id, title FROM run").fetchall()
    return {title for run, title in rows if run not in going}


def _still_there(path: Path, error: OSError) -> str:
    reason, _next_step = plain_reason(error)
    return _("{path} can't be deleted: {reason}. Delete it by hand.", path=path, reason=reason)
