"""The verb restore: lists the copies of the day records, or brings one back."""

import os
import sys
from pathlib import Path

from pacer.frames.words.records import copy_cells, copy_heads, difference_words, restored_words
from pacer.log.backups import Copy, copies, difference, restore
from pacer.log.database import FILE_NAME, LogError
from pacer.log.day_records import DayRecords
from pacer.plan.problems import clipped
from pacer.run.clock import Clock, local_now
from pacer.settings.folders import folders
from pacer.text import _
from pacer.verbs.console import refuse
from pacer.verbs.tables import table


def restore_verb(data_dir: Path | None, which: str | None, *, only_list: bool, clock: Clock) -> int:
    """List the copies, or bring back the one of that name. 1: there is none such; 2: it can't be done now."""
    where = folders(data_dir).data
    found = copies(Path(os.path.realpath(where / FILE_NAME)))
    if not found:
        return refuse(_("There are no copies of day records in {path}", path=where))
    if which is None or only_list:
        return _list(found)
    copy = next((copy for copy in found if which in (copy.name, copy.path.name, str(copy.path))), None)
    if copy is None:
        return refuse(_('There is no copy "{name}". See: pacer restore --list', name=clipped(which)))
    if copy.trouble:
        return refuse(copy.trouble)
    try:
        with DayRecords.open(where) as records:
            if records.notice:
                print(records.notice, file=sys.stderr)
            changes = difference_words(difference(records, copy))
            kept = restore(records, copy.path, local_now(clock).date())
    except LogError as error:
        return refuse(error, 2)
    print(restored_words(copy, kept))
    print(changes)
    return 0


def _list(found: list[Copy]) -> int:
    print("\n".join(table([copy_heads(), *map(copy_cells, found)], right=(1,))))
    print(_("To bring one back: pacer restore NAME. What is there now is kept among the copies."))
    return 0
