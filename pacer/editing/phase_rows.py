"""Changes of whole rows of phases: what each makes of a draft, what it is called, and what is chosen then."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pacer.plan.draft.draft import Draft, duplicate, insert, move, remove
from pacer.text import _


@dataclass(frozen=True)
class RowChange:
    """A changed draft, the step's name for undo, and the keys of the rows to choose, in a column or any."""

    draft: Draft
    label: str
    chosen: Sequence[str]
    field: str = ""


def change_rows(draft: Draft, what: str, keys: Sequence[str]) -> RowChange | None:
    """A new row after those chosen, or those taken out, doubled, or moved ``up`` or ``down`` by one.

    None where that changes no row.
    """
    rows = [at for at, phase in enumerate(draft.phases) if phase.key in keys]
    if what == "new":
        changed, key = insert(draft, rows[-1] + 1 if rows else len(draft.phases))
        return RowChange(changed, _("New phase"), [key], "title")
    if not rows:
        return None
    others = [phase.key for phase in draft.phases if phase.key not in keys]
    if what == "remove":
        near = others[min(rows[0], len(others) - 1) :][:1]
        return RowChange(remove(draft, keys), _("Take out"), near)
    if what == "duplicate":
        changed, copies = duplicate(draft, keys)
        return RowChange(changed, _("Duplicate"), copies, "title")
    at = max(0, rows[0] - 1) if what == "up" else min(len(others), rows[0] + 1)
    return drop_rows(draft, keys, others[at] if at < len(others) else None)


def drop_rows(draft: Draft, keys: Sequence[str], before: str | None) -> RowChange:
    """Rows put before another one, None for the end."""
    return RowChange(move(draft, keys, before), _("Move"), keys)


def moved_out(draft: Draft, key: str) -> Draft:
    """A draft without a phase; where it goes on, it is written down in the table list."""
    phase = draft.phase(key)
    line = f"{phase.title} {phase.budget}".strip()
    lines = {"table": [line], "tomorrow": [_("Tomorrow: {phase}", phase=line)]}.get(phase.movable, [])
    kept = "\n".join([*filter(None, [draft.table_list]), *lines])
    return replace(remove(draft, [key]), table_list=kept)
