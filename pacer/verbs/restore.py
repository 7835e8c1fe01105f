"""The verb restore: lists the copies of the day records, or brings one back."""

import os
from pathlib import Path

from pacer.frames.words.records import copy_cells, copy_heads, difference_words, restored_words
from pacer.log.backups import Copy, copies, difference, restore
from pacer.log.database import FILE_NAME, LogError
from pacer.log.day_records import DayRecords
from pacer.plan.problems import clipped
from pacer.run.clock import Clock, local_now
from pacer.settings.folders import folders
from pacer.text import _
from pacer.verbs.console import complain, refuse, say
from pacer.verbs.tables import table


def restore_verb(data_dir: Path | None, which: str | None, *, only_list: bool, clock: Clock) -> int:
    """List the copies, or bring back the one of that name. 1: there is none such; 2: it can't be done now."""
    where = folders(data_dir).data
    listed = copies(Path(os.path.realpath(where / FILE_NAME)))
    if not listed:
        return refuse(_("There are no copies of day records in {path}", path=where))
    if which is None or only_list:
        return _list(listed)
    copy = next((copy for copy in listed if which in (copy.name, copy.path.name, str(copy.path))), None)
    if copy is None:
        return refuse(_('There is no copy "{name}". See: pacer restore --list', name=clipped(which)))
    if copy.trouble:
        return refuse(copy.trouble)
    try:
        with DayRecords.open(where) as records:
            if records.notice:
                complain(records.notice)
            changes = difference_words(difference(records, copy))
            kept = restore(records, copy.path, local_now(clock).date())
    except LogError as error:
        return refuse(error, 2)
    say(restored_words(copy, kept), changes)
    return 0


def _list(listed: list[Copy]) -> int:
    say(*table([copy_heads(), *map(copy_cells, listed)], right=(1,)))
    say(_("To bring one back: pacer restore NAME. What is there now is kept among the copies."))
    return 0
