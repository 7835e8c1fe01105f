"""What an outline that is being written comes to so far: whole or not, and what is wrong where."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from pacer.plan.draft.as_tables import places_of, to_outline
from pacer.plan.draft.draft import Draft, DraftPhase
from pacer.plan.outline import Outline, Phase
from pacer.plan.problems import Problem
from pacer.text import _

_KEY = re.compile(r"^[a-z_]+ = ")
FieldPlace = tuple[str | None, str | None]


@dataclass(frozen=True)
class DraftCheck:
    """``outline`` is made of all phases that are whole, None where there is none.

    ``phases`` gives each of them by its key; ``left_out`` are the keys of the others. ``problems`` are words
    by (key of the phase, field); either is None where the problem has none.
    """

    outline: Outline | None
    phases: Mapping[str, Phase]
    left_out: tuple[str, ...]
    problems: Mapping[FieldPlace, str]

    def of(self, key: str) -> dict[str, str]:
        """What is wrong with one phase, by field."""
        return {name or "title": words for (phase, name), words in self.problems.items() if phase == key}


def look_at(draft: Draft, name: str = "outline.toml") -> DraftCheck:
    """Look at a draft; ``name`` is the path of its file."""
    result = to_outline(draft, name)
    if isinstance(result, Outline):
        return _check_of(draft, result, (), {})
    problems = _words_by_place(draft, result)
    wrong = {key for key, _field in problems if key is not None}
    sound_part = replace(draft, phases=tuple(phase for phase in draft.phases if phase.key not in wrong))
    if not sound_part.phases:
        return DraftCheck(None, {}, tuple(wrong), problems)
    # What is whole counts already: without a title yet, and with a block's field that won't do left out.
    unfit = {str(field): "" for key, field in problems if key is None and hasattr(draft.block, str(field))}
    sound_part = replace(
        Draft(title="?"),
        phases=sound_part.phases,
        block=replace(draft.block, **unfit),
        named_groups=() if (None, "named_groups") in problems else draft.named_groups,
        stations=() if (None, "stations") in problems else draft.stations,
    )
    outline = to_outline(sound_part, name)
    if not isinstance(outline, Outline):
        return DraftCheck(None, {}, tuple(wrong), problems)
    left_out = tuple(phase.key for phase in draft.phases if phase.key in wrong)
    return _check_of(sound_part, outline, left_out, problems)


def _check_of(
    draft: Draft, outline: Outline, left: tuple[str, ...], problems: dict[FieldPlace, str]
) -> DraftCheck:
    pairs = zip(draft.phases, outline.phases, strict=True)
    return DraftCheck(outline, {written.key: phase for written, phase in pairs}, left, problems)


def _words_by_place(draft: Draft, problems: list[Problem]) -> dict[FieldPlace, str]:
    words_of: dict[FieldPlace, str] = {}
    for problem, place in zip(problems, places_of(draft, problems), strict=True):
        key, field = _shown_at(draft, place)
        is_missing = field in ("title", "budget") and not getattr(
            draft if key is None else draft.phase(key), field
        )
        # The page shows the field by its own name, so the file's name of it isn't said.
        words = f"{_KEY.sub('', problem.what)} {problem.fix}".strip()
        words_of.setdefault((key, field), _missing(key, field) if is_missing else words)
    return words_of


def _missing(key: str | None, field: str | None) -> str:
    if key is None:
        return _("Give the lesson a title.")
    return _("Write how many minutes it gets.") if field == "budget" else _("Give the phase a title.")


def _shown_at(draft: Draft, place: FieldPlace) -> FieldPlace:
    """Where a problem is shown: one of a missing field, which has no line, at the first empty field."""
    key, field = place
    if key is None:
        empty_title = field in (None, "format", "phase") and not draft.title
        return (None, "title") if empty_title else place
    phase: DraftPhase = draft.phase(key)
    missing = next((name for name in ("title", "budget") if not getattr(phase, name)), None)
    return key, missing if missing is not None and field in (None, "phase") else field
