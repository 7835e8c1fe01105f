"""Writes a draft into the TOML text it came from: what wasn't changed stays, comments and order too."""

# Why not with tomlkit: it keeps what stands above a header with the table before, so that a phase that moves
# leaves its comments behind; a key that goes takes its comment along; a new key in a CRLF text ends with a
# bare LF; a burst that stands behind [block] changes place. Only to read 30 phases takes it 1.4 times as long
# as all that is done here.

import contextlib
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from difflib import SequenceMatcher
from itertools import chain
from typing import Any

from pacer.plan.draft.as_tables import phase_table, table_of, tables_of
from pacer.plan.draft.draft import Draft, DraftBurst, DraftPhase
from pacer.plan.draft.fields import (
    BLOCK_FIELDS,
    BURST_FIELDS,
    GROUP_FIELDS,
    HEAD_FIELDS,
    PHASE_FIELDS,
    STATION_FIELDS,
    is_as_written,
    value_of,
)
from pacer.plan.draft.read_toml import (
    BOM,
    draft_from,
    draft_of,
    has_same_fields,
    has_unknown_keys,
    have_same_fields,
    says_draft,
    tables_in,
    texts_in,
)
from pacer.plan.draft.toml_lines import (
    Section,
    TomlLine,
    as_comments,
    changed_line,
    commented_out,
    free_comments,
    fresh_text,
    lines_of,
    new_line,
    phase_text,
    sections_of,
    table_text,
    with_line_end,
)
from pacer.plan.draft.with_text import rekeyed

__all__ = ["draft_of", "written"]

_SIGNS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


def written(draft: Draft, previous: str | None, before: Draft | None = None) -> str:
    """The draft as TOML text, in place of a previous text of the same outline if there is one.

    ``before`` is the draft that was read from the previous text: phases then find their tables by their keys.
    Without it they are found by id, else by title. A draft that says the same as the previous text gives
    that text again. Where a text can't be kept, its comments, or all of it where it isn't TOML, stand above a
    new one.
    """
    mark = BOM if previous is not None and previous.startswith(BOM) else ""
    old = (previous or "").removeprefix(BOM)
    end = "\r\n" if old.count("\r\n") * 2 > old.count("\n") else "\n"
    if not old.strip():
        return mark + fresh_text(tables_of(draft), end)
    old_tables = tables_in(old)
    if old_tables is None:
        return mark + _fresh_below_comments(_all_as_comments(old), draft, end)
    if says_draft(draft, old_tables):
        return mark + old
    source = _sources(draft, draft_from(old_tables), before)
    edit = _Edit(old, old_tables, end)
    with contextlib.suppress(_TooOddError):
        text = edit.text(draft, source)
        if _reads_back(text, draft) and not _lost_comments(edit, text, source):
            return mark + text
    above = _all_as_comments(old) if has_unknown_keys(old_tables) else edit.comments
    return mark + _fresh_below_comments(above, draft, end)


def _sources(draft: Draft, old: Draft, before: Draft | None) -> list[int | None]:
    """For each phase the number of its table in the old text, None where it is new; none is given twice.

    By key where ``before`` is the old text's draft; else by id, then by title.
    """
    if before is None or before.content != old.content:
        draft, before = rekeyed(draft, old), old
    known = {phase.key: at for at, phase in enumerate(before.phases)}
    return [known.get(phase.key) for phase in draft.phases]


def _paired(bursts: Sequence[Any], old: Sequence[Any]) -> list[int | None]:
    """For each burst or other table of a list its old place: the same ones in order, else one for one."""
    places: list[int | None] = [None] * len(bursts)
    for _tag, old_from, old_to, new_from, new_to in SequenceMatcher(a=old, b=bursts).get_opcodes():
        for step in range(min(old_to - old_from, new_to - new_from)):
            places[new_from + step] = old_from + step
    return places


def _all_as_comments(text: str) -> list[str]:
    """Each line as a comment; signs that TOML takes nowhere are shown as such."""
    return [_SIGNS.sub("\ufffd", f"# {line}".rstrip()) for line in text.splitlines()]


def _reads_back(text: str, draft: Draft) -> bool:
    tables = tables_in(text)
    return tables is not None and draft_from(tables).content == draft.content


def _fresh_below_comments(above: Sequence[str], draft: Draft, end: str) -> str:
    head = "".join(f"{line}{end}" for line in above)
    return head + (end if head else "") + fresh_text(tables_of(draft), end)


def _lost_comments(edit: "_Edit", text: str, source: Sequence[int | None]) -> bool:
    removed = chain.from_iterable(chunk for at, chunk in enumerate(edit.chunks) if at not in source)
    may_go = Counter(comment for section in removed for line in section.lines for comment in line.comments)
    kept = Counter(comment for line in lines_of(text) for comment in line.comments)
    return bool(Counter(edit.comments) - may_go - kept)


class _TooOddError(Exception):
    """The tables stand in an order in which they can't be told apart by their headers."""


class _Edit:
    """One text taken apart: sections that stay where they are, and chunks, one for each phase."""

    def __init__(self, old: str, tables: Mapping[str, Any], end: str) -> None:
        self.tables, self.end = tables, end
        self.sections, self.footer = sections_of(old)
        whole = [*chain.from_iterable(section.lines for section in self.sections), *self.footer]
        self.comments = [comment for line in whole for comment in line.comments]
        self.chunks: list[list[Section]] = []
        self.frame: list[Section | int] = []  # a number stands for that chunk's place
        for section in self.sections:
            if section.path == ("phase",) and section.is_array:
                self.frame.append(len(self.chunks))
                self.chunks.append([section])
            elif section.path[:1] == ("phase",) and self.frame and isinstance(self.frame[-1], int):
                self.chunks[-1].append(section)
            else:
                self.frame.append(section)

    def text(self, draft: Draft, source: Sequence[int | None]) -> str:
        """The text with the draft in it. ``source`` gives for each phase its table in the old text."""
        root = self.sections[0]
        self._edit(root, ("format", *HEAD_FIELDS), draft, self.tables)
        self._edit_block(draft)
        self._edit_listed("group", GROUP_FIELDS, draft.named_groups)
        self._edit_listed("station", STATION_FIELDS, draft.stations)
        if not self.chunks:
            self._unfold(root, "phase", any(at is not None for at in source))
            source = [None] * len(source)
        chunks = [self._chunk(phase, at) for phase, at in zip(draft.phases, source, strict=True)]
        self._keep_free_comments(source)
        return "".join(line.text for line in self._joined(chunks))

    def _joined(self, chunks: list[list[Section]]) -> list[TomlLine]:
        places = [at for at, part in enumerate(self.frame) if isinstance(part, int)]
        last = places[-1] if places else len(self.frame) - 1
        lines: list[TomlLine] = []
        waiting = iter(chunks)
        for at, part in enumerate(self.frame):
            sections = [part] if isinstance(part, Section) else next(waiting, [])
            if at == last:
                sections = [*sections, *chain.from_iterable(waiting)]
            lines += chain.from_iterable(section.lines for section in sections)
        lines += self.footer
        return [*(with_line_end(line, self.end) for line in lines[:-1]), *lines[-1:]]

    def _keep_free_comments(self, source: Sequence[int | None]) -> None:
        """Comments between two tables belong to neither: they stay when the one below goes."""
        for at, chunk in reversed(list(enumerate(self.chunks))):
            if at in source or not (kept := free_comments(chunk[0].lead)):
                continue
            below = next((n for n in range(at + 1, len(self.chunks)) if n in source), None)
            if below is None:
                self.footer = [*kept, *self.footer]
            else:
                lead = self.chunks[below][0].lead
                self.chunks[below][0].lead = [*kept, *lead]

    def _chunk(self, phase: DraftPhase, at: int | None) -> list[Section]:
        if at is None:
            text = phase_text(phase_table(phase), self.end, self._blank_above())
            return [Section(body=lines_of(text))]
        table, chunk = self.tables["phase"][at], self.chunks[at]
        self._edit(chunk[0], PHASE_FIELDS, phase, table)
        self._edit_bursts(chunk, phase.bursts, table.get("burst", []))
        return chunk

    def _blank_above(self) -> bool:
        leads = [chunk[0].lead for chunk in self.chunks]
        return not leads or any(line.kind == "blank" for lead in leads for line in lead)

    def _edit_bursts(self, chunk: list[Section], bursts: Sequence[DraftBurst], tables: Sequence[Any]) -> None:
        old = [DraftBurst(**texts_in(table, BURST_FIELDS)) for table in tables]
        at = chunk[0].line_of("burst") if tables and len(chunk) == 1 else None
        if at is not None:
            if tuple(old) == tuple(bursts):
                return
            self._unfold(chunk[0], "burst", True)
            source: list[int | None] = [None] * len(bursts)
        else:
            source = _paired(bursts, old)
        own, places = chunk[0], [section for section in chunk[1:] if section.path == ("phase", "burst")]
        others = [section for section in chunk[1:] if section.path != ("phase", "burst")]
        if at is None and len(places) != len(old):
            raise _TooOddError
        edited = []
        for burst, place in zip(bursts, source, strict=True):
            if place is None:
                table = table_of(burst, BURST_FIELDS)
                text = table_text("[[phase.burst]]", table, self.end, self._blank_above())
                edited.append(Section(("phase", "burst"), body=lines_of(text)))
            else:
                self._edit(places[place], BURST_FIELDS, burst, tables[place])
                edited.append(places[place])
        for place, section in enumerate(places):
            if place not in source:
                comments = [c for line in section.lines for c in as_comments(line, self.end)]
                own.body += [
                    *([with_line_end(own.body.pop(), self.end)] if own.body and comments else []),
                    *comments,
                ]
        chunk[:] = [own, *edited, *others]

    def _edit_block(self, draft: Draft) -> None:
        table = self.tables.get("block", {})
        section = next((s for s in self.sections if s.path == ("block",)), None)
        if section is not None:
            self._edit(section, BLOCK_FIELDS, draft.block, table)
        elif not has_same_fields(draft.block, table, BLOCK_FIELDS):
            self._unfold(self.sections[0], "block", bool(table))
            new = table_of(draft.block, BLOCK_FIELDS)
            text = table_text("[block]", new, self.end) if new else ""
            self.frame.insert(1, Section(("block",), body=lines_of(text)))

    def _edit_listed(self, key: str, names: Sequence[str], parts: Sequence[object]) -> None:
        """Change, put in and take out tables such as ``[[group]]``; of one that goes the comments stay."""
        tables = self.tables.get(key, [])
        if have_same_fields(parts, tables, names):
            return
        there = [part for part in self.frame if isinstance(part, Section) and part.path == (key,)]
        if len(there) != len(tables):
            if there:
                raise _TooOddError
            self._unfold(self.sections[0], key, True)
            tables = []
        old = [tuple(texts_in(table, names).values()) for table in tables]
        source = _paired([tuple(getattr(part, name) for name in names) for part in parts], old)
        if source != list(range(len(old))) and any(of.path[:-1] == (key,) for of in self.sections):
            raise _TooOddError  # a table inside one that goes would become another's
        at = self._place_of(key) if not there else self._frame_place(there[0])
        for part, place in zip(parts, source, strict=True):
            if place is None:
                text = table_text(f"[[{key}]]", table_of(part, names), self.end, self._blank_above())
                self.frame.insert(at, Section((key,), body=lines_of(text)))
                at += 1
            else:
                self._edit(there[place], names, part, tables[place])
                at = self._frame_place(there[place]) + 1
        for place, section in enumerate(there):
            if place not in source:
                kept = [comment for line in section.lines for comment in as_comments(line, self.end)]
                blank = [line for line in section.lead if line.kind == "blank"][:1] if kept else []
                section.lead, section.header, section.body = [], None, [*blank, *kept]

    def _place_of(self, key: str) -> int:
        """Where the first table of a kind goes: below the groups, the block or the keys at the top."""
        places = {part.path: at for at, part in enumerate(self.frame) if isinstance(part, Section)}
        above: list[tuple[str, ...]] = [("group",), ("block",), ()] if key == "station" else [("block",), ()]
        return next(places[path] for path in above if path in places) + 1

    def _frame_place(self, section: Section) -> int:
        return next(at for at, part in enumerate(self.frame) if part is section)

    def _unfold(self, section: Section, key: str, is_there: bool) -> None:
        """Take out a table written on one line or with dots; it is written out with a header instead.

        With a key in it that a draft doesn't know, the line stays as a comment.
        """
        if is_there:
            keeps = commented_out if has_unknown_keys(self.tables) else as_comments
            body: list[TomlLine] = []
            for line in section.body:
                goes = line.kind == "key" and line.key == key
                body += keeps(line, self.end) if goes else [line]
            section.body = body

    def _edit(self, section: Section, names: Sequence[str], part: object, table: Mapping[str, Any]) -> None:
        """Change, take out and put in the keys of one table, each in its line."""
        for at, name in enumerate(names):
            text, old = getattr(part, name, "1"), table.get(name)  # the format stands in no part
            if not is_as_written(name, text, old) and not (name == "format" and name in table):
                self._set(section, names[:at], name, text, old)

    def _set(self, section: Section, earlier: Sequence[str], name: str, text: str, old: object) -> None:
        at, body = section.line_of(name), section.body
        value = 1 if name == "format" else value_of(name, text, old)
        if at is not None:
            new = changed_line(body[at], name, value, self.end) if text else as_comments(body[at], self.end)
            body[at : at + 1] = new
        elif text:
            above = max((n for n in map(section.line_of, earlier) if n is not None), default=None)
            if above is None:
                above = next((n for n, line in enumerate(body) if line.kind == "key"), len(body)) - 1
            if above >= 0:
                body[above] = with_line_end(body[above], self.end)
            near = body[above].text if above >= 0 and body[above].kind == "key" else ""
            indent = near[: len(near) - len(near.lstrip())]
            body.insert(above + 1, new_line(name, value, self.end, indent))
