"""Which table of a text each phase of a draft came from, so that moving a phase moves its comments."""

from collections.abc import Sequence
from dataclasses import fields
from difflib import SequenceMatcher

from pacer.plan.draft.draft import Draft, DraftBurst, DraftPhase

_TITLE_WEIGHT = 4
_LEAST_LIKENESS = 3
_COMPARED = tuple(part.name for part in fields(DraftPhase) if part.name != "key")
_MOST = len(_COMPARED) + _TITLE_WEIGHT


def sources(draft: Draft, old: Draft, before: Draft | None) -> list[int | None]:
    """For each phase the number of its table in the old text, None where it is new; none is given twice.

    By key where ``before`` is the old text's draft; else by id, then the same in all, then the likest.
    """
    if before is not None and before.content == old.content:
        known = {phase.key: at for at, phase in enumerate(before.phases)}
        return [known.get(phase.key) for phase in draft.phases]
    found: list[int | None] = [None] * len(draft.phases)
    pairs = [
        (-_likeness(phase, was), abs(n - at), n, at)
        for n, phase in enumerate(draft.phases)
        for at, was in enumerate(old.phases)
    ]
    for unlikeness, _distance, n, at in sorted(pairs):
        if -unlikeness >= _LEAST_LIKENESS and found[n] is None and at not in found:
            found[n] = at
    return found


def _likeness(phase: DraftPhase, was: DraftPhase) -> int:
    """How many written fields agree, the title more; the same id counts most, then all fields."""
    if phase.id and phase.id == was.id:
        return 2 * _MOST
    same = [name for name in _COMPARED if getattr(phase, name) == getattr(was, name)]
    if len(same) == len(_COMPARED):
        return _MOST
    return sum(_TITLE_WEIGHT if name == "title" else 1 for name in same if getattr(phase, name))


def paired(bursts: Sequence[DraftBurst], old: Sequence[DraftBurst]) -> list[int | None]:
    """For each burst its old place: the same ones in order, between them one for one."""
    found: list[int | None] = [None] * len(bursts)
    for _tag, old_from, old_to, new_from, new_to in SequenceMatcher(a=old, b=bursts).get_opcodes():
        for step in range(min(old_to - old_from, new_to - new_from)):
            found[new_from + step] = old_from + step
    return found
