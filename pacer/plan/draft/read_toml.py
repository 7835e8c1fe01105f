"""Reads a TOML text as a draft, complete or not, and tells whether a text says a draft already."""

from collections.abc import Mapping, Sequence
from itertools import chain
from typing import Any

from pacer.plan.draft.draft import (
    Draft,
    DraftBlock,
    DraftBurst,
    DraftGroup,
    DraftPhase,
    DraftStation,
)
from pacer.plan.draft.fields import (
    BLOCK_FIELDS,
    BURST_FIELDS,
    GROUP_FIELDS,
    HEAD_FIELDS,
    PHASE_FIELDS,
    STATION_FIELDS,
    is_as_written,
    text_of,
)
from pacer.plan.file.bounded_toml import parse_toml
from pacer.plan.file.reader import MAX_BYTES, read_bytes
from pacer.plan.problems import Problem

BOM = "\ufeff"
MOST_PHASES, MOST_BURSTS, MOST_LISTED = 500, 200, 500


def draft_of(text: str, name: str = "outline.toml") -> Draft | list[Problem]:
    """The draft that a TOML text holds, complete or not; its phases get the keys ``p1``, ``p2``, …

    A text that is no TOML, is of another format, or whose tables stand otherwise than in an outline can't be
    edited as one: then what the reader says of it.
    """
    table = tables_in(text)
    if table is None:
        read = read_bytes(text.encode("utf-8", "replace"), name)
        return read if isinstance(read, list) else []
    return draft_from(table)


def tables_in(text: str) -> dict[str, Any] | None:
    """The tables of a text; None where it can't be edited as an outline."""
    plain = text.removeprefix(BOM).replace("\r\n", "\n")
    if len(plain) > MAX_BYTES:
        return None
    try:
        table = parse_toml(plain)
    except (ValueError, RecursionError):
        return None
    phases = table.get("phase", [])
    sound = table.get("format", 1) == 1 and isinstance(table.get("block", {}), dict)
    sound = sound and _are_tables(phases) and all(_are_tables(phase.get("burst", [])) for phase in phases)
    listed = [table.get(key, []) for key in ("group", "station")]
    sound = sound and all(_are_tables(tables) and len(tables) <= MOST_LISTED for tables in listed)
    # Far more than a lesson may have, so that one with some too many can still be edited; the reader tells.
    sound = (
        sound and len(phases) <= MOST_PHASES and all(len(p.get("burst", [])) <= MOST_BURSTS for p in phases)
    )
    return table if sound else None


def _are_tables(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(entry, dict) for entry in value)


def draft_from(table: Mapping[str, Any]) -> Draft:
    """The draft in a file's tables; what a draft knows nothing of is passed over."""
    phases = tuple(
        DraftPhase(
            key=f"p{number}",
            bursts=tuple(DraftBurst(**texts_in(burst, BURST_FIELDS)) for burst in phase.get("burst", [])),
            **texts_in(phase, PHASE_FIELDS),
        )
        for number, phase in enumerate(table.get("phase", []), start=1)
    )
    block = DraftBlock(**texts_in(table.get("block", {}), BLOCK_FIELDS))
    return Draft(
        **texts_in(table, HEAD_FIELDS),
        block=block,
        phases=phases,
        keys_given=len(phases),
        named_groups=tuple(DraftGroup(**texts_in(of, GROUP_FIELDS)) for of in table.get("group", [])),
        stations=tuple(DraftStation(**texts_in(of, STATION_FIELDS)) for of in table.get("station", [])),
    )


def texts_in(table: Mapping[str, Any], names: Sequence[str]) -> dict[str, Any]:
    """The fields of one table as texts."""
    return {name: text_of(table.get(name)) for name in names}


def says_draft(draft: Draft, tables: Mapping[str, Any]) -> bool:
    """Whether the text says the draft already, and nothing in it has to be mended for the reader."""
    phases = tables.get("phase", [])
    return (
        "format" in tables
        and len(phases) == len(draft.phases)
        and has_same_fields(draft, tables, HEAD_FIELDS)
        and has_same_fields(draft.block, tables.get("block", {}), BLOCK_FIELDS)
        and have_same_fields(draft.named_groups, tables.get("group", []), GROUP_FIELDS)
        and have_same_fields(draft.stations, tables.get("station", []), STATION_FIELDS)
        and all(_says_phase(phase, table) for phase, table in zip(draft.phases, phases, strict=True))
    )


def _says_phase(phase: DraftPhase, table: Mapping[str, Any]) -> bool:
    bursts = table.get("burst", [])
    return has_same_fields(phase, table, PHASE_FIELDS) and have_same_fields(
        phase.bursts, bursts, BURST_FIELDS
    )


def has_same_fields(part: object, table: Mapping[str, Any], names: Sequence[str]) -> bool:
    """Whether a table says these fields of a part of a draft already, as the reader takes them."""
    return all(is_as_written(name, getattr(part, name), table.get(name)) for name in names)


def have_same_fields(
    parts: Sequence[object], tables: Sequence[Mapping[str, Any]], names: Sequence[str]
) -> bool:
    """Whether tables say these parts of a draft already, one for one."""
    pairs = zip(parts, tables, strict=False)
    return len(parts) == len(tables) and all(has_same_fields(part, table, names) for part, table in pairs)


def has_unknown_keys(tables: Mapping[str, Any]) -> bool:
    """Whether there is a key that a draft knows nothing of, and a new text would lack."""
    head = {"format", *HEAD_FIELDS, "block", "group", "station", "phase"}
    phases = tables.get("phase", [])
    bursts = chain.from_iterable(phase.get("burst", []) for phase in phases)
    pairs = [(tables, head), (tables.get("block", {}), set(BLOCK_FIELDS))]
    pairs += [(phase, {*PHASE_FIELDS, "burst"}) for phase in phases]
    pairs += [(burst, set(BURST_FIELDS)) for burst in bursts]
    pairs += [(group, set(GROUP_FIELDS)) for group in tables.get("group", [])]
    pairs += [(station, set(STATION_FIELDS)) for station in tables.get("station", [])]
    return any(table.keys() - known for table, known in pairs)
