"""A draft as the tables of its file: the outline it stands for, or its problems and where they lie."""

from collections.abc import Sequence
from typing import Any

from pacer.plan.draft.draft import Draft, DraftPhase
from pacer.plan.draft.fields import (
    BLOCK_FIELDS,
    BURST_FIELDS,
    GROUP_FIELDS,
    HEAD_FIELDS,
    PHASE_FIELDS,
    STATION_FIELDS,
    Written,
    value_of,
)
from pacer.plan.draft.toml_lines import fresh_text
from pacer.plan.file.key_lines import key_lines
from pacer.plan.file.reader import read_table
from pacer.plan.finding import KeyPath
from pacer.plan.outline import Outline
from pacer.plan.problems import Problem


def tables_of(draft: Draft) -> dict[str, Any]:
    """The draft as the tables of a file: only what was written, in the usual order."""
    return {
        "format": 1,
        **table_of(draft, HEAD_FIELDS),
        "block": table_of(draft.block, BLOCK_FIELDS),
        "group": [table_of(group, GROUP_FIELDS) for group in draft.named_groups],
        "station": [table_of(station, STATION_FIELDS) for station in draft.stations],
        "phase": list(map(phase_table, draft.phases)),
    }


def phase_table(phase: DraftPhase) -> dict[str, object]:
    """A phase as a table of the file, with its bursts."""
    return {**table_of(phase, PHASE_FIELDS), "burst": [table_of(of, BURST_FIELDS) for of in phase.bursts]}


def table_of(part: object, names: Sequence[str]) -> dict[str, Written]:
    """The fields of a part that were written."""
    texts = ((name, getattr(part, name)) for name in names)
    return {name: value_of(name, text) for name, text in texts if text}


def to_outline(draft: Draft, name: str = "outline.toml") -> Outline | list[Problem]:
    """The outline that the draft stands for, or every problem in it, found by the reader itself.

    ``name`` is the path of its file: attachments are looked for beside it.
    """
    return read_table(tables_of(draft), name, lambda: _fresh(draft))


def _fresh(draft: Draft) -> str:
    return fresh_text(tables_of(draft))


def places_of(draft: Draft, problems: Sequence[Problem]) -> list[tuple[str | None, str | None]]:
    """For each problem that ``to_outline`` found: the key of its phase and the field, None where neither.

    A problem of the block or of the outline has no phase; its field is there all the same.
    """
    by_line: dict[int, KeyPath] = {}
    for path, line in key_lines(_fresh(draft)).items():
        if len(path) >= len(by_line.get(line, ())):
            by_line[line] = path
    return [_place(draft, by_line.get(problem.line or 1, ())) for problem in problems]


def _place(draft: Draft, path: KeyPath) -> tuple[str | None, str | None]:
    if path[:1] == ("phase",) and len(path) > 1:
        name = next((str(part) for part in path[2:3]), None)
        return draft.phases[int(path[1])].key, "bursts" if name == "burst" else name
    if path[:1] in (("group",), ("station",)):
        return None, "named_groups" if path[0] == "group" else "stations"
    return None, next((part for part in reversed(path) if isinstance(part, str)), None)
