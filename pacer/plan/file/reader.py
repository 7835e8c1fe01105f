"""Reads an outline file: an outline, or a list of problems with their lines. Never raises on content."""

import itertools
import re
import tomllib
import unicodedata
from collections.abc import Callable, Iterator
from operator import itemgetter
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.file.bounded_toml import TooMuchError, parse_toml
from pacer.plan.file.model import OutlineTable, PhaseTable
from pacer.plan.file_text import NoTextError, text_of
from pacer.plan.kinds import AFTER_MINI_LESSON, REVIEWING, kind_of, reviewing_cap_s
from pacer.plan.outline import Block, Burst, Group, Outline, Phase, Station
from pacer.plan.problems import Problem
from pacer.text import _

MAX_BYTES = 1_000_000
NO_GROUP = "none"
USUAL_GROUPS = 3
_AS_WRITTEN = (
    "title", "kind", "movable", "class_line", "second_line", "notes", "wall", "problem", "attach", "page",
)  # fmt: skip
Wrong = tuple[int, str, str, str]  # position of the phase, key, what is wrong and what to do next
MOST_PROBLEMS = 100  # who mends a hundred will ask again
MOST_LOOKED_AT = 2 * MOST_PROBLEMS  # several may come to the same words


def read_outline(path: Path) -> Outline | list[Problem]:
    """Read an outline file. Returns the outline, or every problem found in it."""
    try:
        return read_bytes(read_bounded(path, MAX_BYTES), str(path))
    except UnreadableFileError as error:
        return [error.problem(path)]


def read_bytes(data: bytes, name: str) -> Outline | list[Problem]:
    """Read the content of an outline file; ``name`` is only used to say where a problem is."""
    if len(data) > MAX_BYTES:
        return [Problem(name, None, _("The file is larger than 1 MB."), _("An outline is a few kB of text."))]
    try:
        return read_text(text_of(data, _("An outline is plain text in TOML.")), name)
    except NoTextError as error:
        return [error.problem(name)]


def read_text(text: str, name: str) -> Outline | list[Problem]:
    """Read an outline from its text."""
    text = text.removeprefix("\ufeff").replace("\r\n", "\n")
    if not text.strip():
        return [Problem(name, 1, _("The file is empty."), _("Start with: format = 1"))]
    try:
        table = parse_toml(text)
    except TooMuchError as error:
        return [error.problem(name)]
    except tomllib.TOMLDecodeError as error:
        from pacer.plan.file.toml_words import toml_words  # late, as below

        return [Problem(name, *toml_words(error, text))]
    except (RecursionError, ValueError):
        return [Problem(name, 1, _("This is not a valid TOML file."), _("Compare it with a template."))]
    return read_table(table, name, lambda: text)


def read_table(table: dict[str, Any], name: str, text: Callable[[], str]) -> Outline | list[Problem]:
    """Read an outline from the table that its text holds; the text is asked for only to find a line in it."""
    try:
        written = OutlineTable.model_validate(table)
    except RecursionError:
        return [Problem(name, 1, _("The tables are nested too deeply."), _("Compare it with a template."))]
    except ValidationError as error:
        # Late: a start reads all outlines, and most have nothing wrong to find a line and words for.
        from pacer.plan.file.key_lines import key_lines, line_of
        from pacer.plan.file.problem_words import describe

        lines = key_lines(text())
        placed = [(line_of(lines, entry["loc"]), entry) for entry in error.errors(include_url=False)]
        # In order before they are put into words: a file may hold thousands, and words take their time.
        placed.sort(key=itemgetter(0))
        told = dict.fromkeys((line, describe(entry)) for line, entry in placed[:MOST_LOOKED_AT])
        return [Problem(name, line, *words) for line, words in sorted(told)[:MOST_PROBLEMS]]
    ids = _phase_ids(written.phase)
    wrong = [*_duplicate_ids(ids), *_floors_over_budget(written.phase), *_groups_without_cap(written.phase)]
    if not wrong:
        return _resolve(written, ids, str(Path(name).absolute().parent))
    from pacer.plan.file.key_lines import key_lines, line_of

    lines = key_lines(text())
    return [
        Problem(name, line_of(lines, ("phase", index, key)), what, fix) for index, key, what, fix in wrong
    ]


def _slug(title: str) -> str:
    ascii_title = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", ascii_title).strip("-")[:40]


def _phase_ids(phases: list[PhaseTable]) -> list[str]:
    """The written ids; where none is written, one made from the title, numbered if taken."""
    taken = {phase.id for phase in phases if phase.id}
    ids = []
    for number, phase in enumerate(phases, start=1):
        base = phase.id or _slug(phase.title) or f"phase-{number}"
        candidate, count = base, 2
        while phase.id is None and candidate in taken:
            candidate, count = f"{base}-{count}", count + 1
        taken.add(candidate)
        ids.append(candidate)
    return ids


def _duplicate_ids(ids: list[str]) -> Iterator[Wrong]:
    for index, phase_id in enumerate(ids):
        if phase_id in ids[:index]:
            what = _('The id "{id}" is used twice.', id=phase_id)
            yield index, "id", what, _("Give each phase an id of its own.")


def _floors_over_budget(phases: list[PhaseTable]) -> Iterator[Wrong]:
    for index, phase in enumerate(phases):
        if phase.floor is not None and phase.floor > phase.budget:
            what = _('The floor of "{title}" is longer than its budget.', title=phase.title)
            yield index, "floor", what, _("Make the floor shorter or the budget longer.")


def _group_of(phase: PhaseTable) -> str | None:
    """The cap group a phase belongs to: the one written, else that of its kind."""
    group = phase.cap_group if phase.cap_group is not None else kind_of(phase.kind).cap_group
    return None if group in ("", NO_GROUP) else group


def _own_cap(phase: PhaseTable) -> int | None:
    """A cap written beside a cap group is the group's; alone it is the phase's own, else its kind has one.

    A budget that was written stands over the cap of its kind: nobody wrote the two against each other.
    """
    if phase.cap_group not in (None, "", NO_GROUP):
        return None
    usual_s = kind_of(phase.kind).cap_s
    return phase.cap if phase.cap is not None or usual_s is None else max(usual_s, phase.budget)


def _groups_without_cap(phases: list[PhaseTable]) -> Iterator[Wrong]:
    capped = {phase.cap_group for phase in phases if phase.cap is not None} | {REVIEWING, NO_GROUP, "", None}
    for index, phase in enumerate(phases):
        if phase.cap_group not in capped:
            what = _('No phase of the cap group "{group}" says what the cap is.', group=phase.cap_group)
            yield index, "cap_group", what, _('Add cap = "5" to one of its phases.')


def _resolve(written: OutlineTable, ids: list[str], folder: str) -> Outline:
    """Fill in every default: from the kind of the phase, then from the plan itself."""
    phases = tuple(_phase(table, phase_id) for table, phase_id in zip(written.phase, ids, strict=True))
    block = written.block
    mini = itertools.takewhile(lambda phase: phase.kind not in AFTER_MINI_LESSON, phases)
    planned_s = sum(phase.budget_s for phase in mini)
    pictures = [*(group.picture for group in written.group), *(at.picture for at in written.station)]
    files = [block.move_picture, *pictures, *(phase.attach for phase in written.phase)]
    return Outline(
        title=written.title,
        subject=written.subject,
        unit=written.unit,
        table_list=written.table_list,
        block=Block(
            length_s=block.minutes,
            move_s=block.move,
            # As written, else those that are named, else the usual three.
            groups=len(written.group) or USUAL_GROUPS if block.groups is None else block.groups,
            swap_s=block.swap,
            clean_up_s=block.clean_up,
            share_s=block.share,
            share_floor_s=block.share_floor,
            visit_floor_s=block.visit_floor,
            order=tuple(block.order),
        ),
        mini_lesson_s=block.mini_lesson or planned_s,
        caps_s=_caps(written.phase, phases),
        folder=folder if any(files) else "",
        phases=phases,
        groups=tuple(Group(**dict(group)) for group in written.group),
        stations=tuple(Station(**dict(station)) for station in written.station),
        share_prompt=block.share_prompt,
        move_words=block.move_words,
        move_picture=block.move_picture,
    )


def _caps(tables: list[PhaseTable], phases: tuple[Phase, ...]) -> dict[str, int]:
    """The cap of each group: the smallest one written in it, else the usual cap on all reviewing."""
    caps: dict[str, int] = {}
    for table, phase in zip(tables, phases, strict=True):
        if phase.cap_group is not None and table.cap is not None and phase.cap_s is None:
            caps[phase.cap_group] = min(table.cap, caps.get(phase.cap_group, table.cap))
    if any(phase.cap_group == REVIEWING for phase in phases):
        caps.setdefault(REVIEWING, reviewing_cap_s())
    return caps


def _phase(table: PhaseTable, phase_id: str) -> Phase:
    kind = kind_of(table.kind)
    return Phase(
        **{name: getattr(table, name) for name in _AS_WRITTEN},
        id=phase_id,
        budget_s=table.budget,
        floor_s=table.floor if table.floor is not None else int(table.budget * kind.floor),
        cut_tier=table.cut_tier or kind.cut_tier,
        cap_s=_own_cap(table),
        cap_group=_group_of(table),
        talk=table.talk or kind.talk,
        examples=kind.examples if table.examples is None else table.examples,
        bursts=tuple(Burst(length_s=burst.length, prompt=burst.prompt) for burst in table.burst),
    )
