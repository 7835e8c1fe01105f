"""What a taken text is read as, line by line, with what the teacher said of lines put in."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

from pacer.plan.kinds import KindName
from pacer.plan.typed.plain_signs import one_line, tidied
from pacer.plan.typed.read_typed import TypedLine, TypedPhase, plain_text, read_typed
from pacer.plan.typed.vocabulary import guess_kind
from pacer.text import _

Say = Literal["phase", "note", "title", "leave out"]
_LIST_MARK = re.compile(r"^\s*(?:[•·▪◦*–-]|\(?\d{1,3}[.)]|\(?[a-z][.)])\s+", re.IGNORECASE)
_LOST = frozenset(("not understood", "left out"))


@dataclass(frozen=True)
class Change:
    """What the teacher changed of one phase that was read; None where nothing."""

    title: str | None = None
    seconds: int | None = None
    kind: KindName | None = None


@dataclass(frozen=True)
class Ruling:
    """What the teacher said of a line: what it is, or that it was read right, and changes of its phases."""

    say: Say | None = None
    is_seen: bool = False
    changes: tuple[tuple[int, Change], ...] = ()

    def of(self, nth: int) -> Change:
        """The change of the line's nth phase."""
        return dict(self.changes).get(nth, Change())


@dataclass(frozen=True)
class TakenRow:
    """One row of the window: a line as it was taken, and what it is read as.

    A line of several phases has a row for each, numbered ``nth`` from 0. ``what`` is a word of the
    typed reader or ``left out``. ``doubt`` says in plain words what to look at; it goes once she has said so.
    """

    number: int
    raw: str
    what: str
    nth: int = 0
    phase: TypedPhase | None = None
    words: str = ""
    doubt: str = ""


@dataclass(frozen=True)
class ReadRows:
    """All rows, and what comes of them."""

    rows: tuple[TakenRow, ...]
    title: str = ""
    extra: tuple[str, ...] = ()  # lines about groups and share, which an outline's text reads itself

    @property
    def phases(self) -> tuple[TypedPhase, ...]:
        """The phases in order."""
        return tuple(row.phase for row in self.rows if row.phase is not None)

    @property
    def sum_s(self) -> int:
        """All minutes together, in seconds."""
        return sum(phase.seconds or 0 for phase in self.phases)

    @property
    def doubts(self) -> tuple[int, ...]:
        """The places of the rows to look at."""
        return tuple(at for at, row in enumerate(self.rows) if row.doubt)

    @property
    def lost(self) -> tuple[int, ...]:
        """The numbers of the lines that say nothing in the outline."""
        return tuple(row.number for row in self.rows if row.what in _LOST)

    @property
    def text(self) -> str:
        """The lines of the outline: what comes of the rows, written so that it reads back to the same."""
        return plain_text(self.phases) + "".join(f"{line}\n" for line in self.extra)


def read_rows(text: str, rulings: Mapping[int, Ruling]) -> ReadRows:
    """Read a text, with what was said of its lines by their numbers from 1."""
    raws = text.splitlines()
    aside = {n for n, ruling in rulings.items() if ruling.say in ("note", "title", "leave out")}
    kept = [(n, raw) for n, raw in enumerate(raws, start=1) if n not in aside]
    lines = _read(kept)
    wanted = [
        n for n, ruling in rulings.items() if ruling.say == "phase" and n in lines and not lines[n].phases
    ]
    if wanted:
        # In a form whose meaning the lines around it never change, so that what follows belongs to it.
        lines = _read([(n, f'"{_bare(raw)}" ?' if n in wanted else raw) for n, raw in kept])
    own_title = next(
        (_bare(raws[n - 1]) for n in sorted(aside) if rulings[n].say == "title" and n <= len(raws)), ""
    )
    title, rows = own_title, list[TakenRow]()
    for number, raw in enumerate(raws, start=1):
        ruling = rulings.get(number, Ruling())
        if number in aside:
            if ruling.say == "note":
                _add_note(rows, _bare(raw))
            what = "left out" if ruling.say == "leave out" else str(ruling.say)
            rows.append(TakenRow(number, raw, what, words="" if what == "left out" else _bare(raw)))
            continue
        line = lines[number]
        if line.what == "title":
            read_title = read_typed(raw + "\nA 1").title or _bare(raw)
            if own_title:
                rows.append(TakenRow(number, raw, "left out", words=_("another line is the title")))
                continue
            title = title or read_title
        rows += _rows_of(replace(line, number=number, raw=raw), ruling)
    extra = tuple(raws[n - 1] for n in sorted(lines) if lines[n].what == "block")
    return ReadRows(tuple(rows), title, extra)


def _read(kept: list[tuple[int, str]]) -> dict[int, TypedLine]:
    """What lines are read as, by their own numbers."""
    typed = read_typed("\n".join(raw for _number, raw in kept))
    numbers = [number for number, _raw in kept]
    # A last line that is empty is none.
    read = {numbers[line.number - 1]: line for line in typed.lines}
    return {n: read.get(n, TypedLine(n, raw, "blank")) for n, raw in kept}


def _rows_of(line: TypedLine, ruling: Ruling) -> list[TakenRow]:
    number = line.number
    doubt = "" if ruling.is_seen or ruling.say is not None else line.why
    if not line.phases:
        words = "" if line.what in ("blank", "divider") else _words(line)
        return [TakenRow(number, line.raw, line.what, words=words, doubt=doubt)]
    rows = []
    for nth, phase in enumerate(line.phases):
        change = ruling.of(nth)
        if change.title is not None:
            phase = replace(phase, title=change.title)
            if change.kind is None and phase.kind == "other":
                phase = replace(phase, kind=guess_kind(change.title))
        if change.seconds is not None:
            phase = replace(phase, seconds=change.seconds)
        if change.kind is not None:
            phase = replace(phase, kind=change.kind)
        own = doubt if nth == 0 and change == Change() else ""
        if not own and phase.seconds is None:
            own = _("How many minutes?")
        raw = line.raw if nth == 0 else ""
        rows.append(TakenRow(number, raw, "phase", nth, phase, phase.title, own))
    return rows


def _words(line: TypedLine) -> str:
    return _bare(line.raw)


def _add_note(rows: list[TakenRow], note: str) -> None:
    """A note belongs to the phase above it; above the first phase it stays a line aside."""
    for at in range(len(rows) - 1, -1, -1):
        phase = rows[at].phase
        if phase is not None:
            notes = f"{phase.notes}\n{note}" if phase.notes else note
            rows[at] = replace(rows[at], phase=replace(phase, notes=notes))
            return


def _bare(raw: str) -> str:
    """A line without its bullet or number, its tabs and its marks, as words."""
    text = one_line(tidied(_LIST_MARK.sub("", raw.replace("~~", "").replace("\t", " ")))).strip()
    return text.replace('"', "'").strip("#* ")
