"""Which table of a text each phase of a draft came from, so that moving a phase moves its comments."""

from collections.abc import Sequence
from difflib import SequenceMatcher

from pacer.plan.draft.draft import Draft, DraftBurst
from pacer.plan.draft.with_text import rekeyed


def sources(draft: Draft, old: Draft, before: Draft | None) -> list[int | None]:
    """For each phase the number of its table in the old text, None where it is new; none is given twice.

    By key where ``before`` is the old text's draft; else by id, then by title.
    """
    if before is None or before.content != old.content:
        draft, before = rekeyed(draft, old), old
    known = {phase.key: at for at, phase in enumerate(before.phases)}
    return [known.get(phase.key) for phase in draft.phases]


def paired(bursts: Sequence[DraftBurst], old: Sequence[DraftBurst]) -> list[int | None]:
    """For each burst its old place: the same ones in order, between them one for one."""
    found: list[int | None] = [None] * len(bursts)
    for _tag, old_from, old_to, new_from, new_to in SequenceMatcher(a=old, b=bursts).get_opcodes():
        for step in range(min(old_to - old_from, new_to - new_from)):
            found[new_from + step] = old_from + step
    return found
