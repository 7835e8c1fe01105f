"""What a teacher types or pastes, one phase a line, as phases; every line is accounted for, none is lost."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Literal, cast

from pacer.plan.durations import brief_duration
from pacer.plan.kinds import KindName
from pacer.plan.typed.block_lines import Fields, read_block_lines, read_leg_lines
from pacer.plan.typed.classify_lines import CLASS_LABEL, MOST_TITLE, classify_lines, find_totals, title_text
from pacer.plan.typed.clock_times import resolve_clocks, resolve_offsets
from pacer.plan.typed.line import FURTHER_IN, ParsedLine, part_of, read_line
from pacer.plan.typed.odd_numbers import take_numbers
from pacer.plan.typed.plain_signs import one_line, tidied
from pacer.plan.typed.second_look import second_look
from pacer.plan.typed.sections import mark_sections
from pacer.plan.typed.several import Parts, parts_of
from pacer.plan.typed.table.cells import read_cells
from pacer.plan.typed.table.runs import read_tables
from pacer.plan.typed.unwrap import Inner, unwrap
from pacer.plan.typed.vocabulary import guess_kind
from pacer.text import _, counted

What = Literal["phase", "title", "heading", "note", "time", "total", "divider", "blank", "block",
    "not understood",
]  # fmt: skip
# What is pasted by mistake, a book for instance, is told and not read: it is read again at every key.
MOST_LINES = 2_000
MOST_TOLD = 10_000  # of the lines that are too much, so many are told one by one
LONGEST_LINE = 6_000  # the longest notes are shorter
MOST_SIGNS = 120_000  # of all lines together; a number costs as much as some signs more
_OF_A_NUMBER = 14
_NUMBERS = re.compile(r"\d+")
_DOUBTED = frozenset({"phase", "note"})
_DIVIDER = frozenset("-=_*|:+~#.·•—–―\t ")


@dataclass(frozen=True)
class TypedPhase:
    """A phase as typed. ``seconds`` is None where no minutes are written yet; ``notes`` are lines."""

    title: str
    seconds: int | None
    kind: KindName
    class_line: str = ""
    notes: str = ""


@dataclass(frozen=True)
class TypedLine:
    """One line of the text: its number from 1, the text as typed, and what it was taken for.

    ``why`` says in plain words what to look at or what to do; empty where all is clear. A note and a time
    on a line of their own name the line of their phase in ``of``. A total has what it says and what the
    phases come to, in seconds; a line about groups and share has the fields that it writes.
    """

    number: int
    raw: str
    what: What
    phases: tuple[TypedPhase, ...] = ()
    why: str = ""
    of: int | None = None
    said_s: int | None = None
    sum_s: int | None = None
    block: Fields = ()


@dataclass(frozen=True)
class Typed:
    """All lines of a text, in order; of a book ``rest`` are those behind ``lines``, as they were typed."""

    lines: tuple[TypedLine, ...]
    rest: tuple[str, ...] = ()

    @property
    def phases(self) -> tuple[TypedPhase, ...]:
        """The phases in order."""
        return tuple(phase for line in self.lines for phase in line.phases)

    @property
    def title(self) -> str:
        """The lesson's title, where one is typed."""
        titles = (line.raw for line in self.lines if line.what == "title")
        return next((title_text(raw) for raw in titles), "")

    @property
    def block(self) -> dict[str, str]:
        """What lines say of groups and share, by field; the first that says it counts."""
        return dict(reversed([field for line in self.lines for field in line.block]))

    @property
    def not_understood(self) -> tuple[TypedLine, ...]:
        """The lines that became nothing, each with why."""
        return tuple(line for line in self.lines if line.what == "not understood")

    @property
    def unread(self) -> tuple[str, ...]:
        """The texts of all lines that became nothing, also of those that are not told one by one."""
        return (*(line.raw for line in self.not_understood), *filter(str.strip, self.rest))

    @property
    def to_look_at(self) -> tuple[TypedLine, ...]:
        """The lines that were read one way and might have meant another, each with why."""
        return tuple(line for line in self.lines if line.why and line.what != "not understood")


def read_typed(text: str) -> Typed:
    """Read a text, one phase a line or as it was pasted. Never raises on content.

    What surrounds a plan comes off first, then each line is taken apart, then the layout of all lines is
    looked for (cells, tables, times of day, sections), and last each line becomes what it is.
    """
    raws = text.splitlines()
    most = _as_many_as_a_lesson_has(raws)
    lines = _parsed(raws[:most])
    read_cells(lines)
    read_tables(lines)
    read_block_lines(lines)
    find_totals(lines)
    resolve_offsets([line for line in lines if not line.what])
    resolve_clocks([line for line in lines if not line.what])
    mark_sections(lines)
    classify_lines(lines)
    read_leg_lines(lines)
    together = groupby(lines, key=lambda line: line.number)
    told = (*(_typed_line(list(parts)) for _number, parts in together), *_too_much(raws, most))
    return Typed(told, tuple(raws[len(told) :]))


def _too_much(raws: Sequence[str], most: int) -> Iterator[TypedLine]:
    """A book, pasted by mistake: nothing is asked of what is too much, but each line is told, and why."""
    why = _("A lesson has {most} lines at most.", most=MOST_LINES)
    if most < MOST_LINES:
        why = _("With the lines above this is more text than a lesson has.")
    for number, raw in enumerate(raws[most : most + MOST_TOLD], start=most + 1):
        is_blank = not raw.strip()
        yield TypedLine(number, raw, "blank" if is_blank else "not understood", why="" if is_blank else why)
    rest = raws[most + MOST_TOLD :]
    if more := len(list(filter(str.strip, rest))):
        words = counted(
            "This line is not read either.",
            "This line and what follows, {n} lines, are not read either.",
            more,
        )
        yield TypedLine(most + MOST_TOLD + 1, rest[0], "not understood", why=words)


def _as_many_as_a_lesson_has(raws: Sequence[str]) -> int:
    left = MOST_SIGNS
    for number, raw in enumerate(raws[:MOST_LINES]):
        if len(raw) <= LONGEST_LINE:  # a longer one is not read
            left -= len(raw) + _OF_A_NUMBER * len(_NUMBERS.findall(raw))
        if left < 0:
            return number
    return min(len(raws), MOST_LINES)


def _parsed(raws: Sequence[str]) -> list[ParsedLine]:
    """Each line by itself; one that holds several phases comes as several, with one number."""
    lines: list[ParsedLine] = []
    too_long = _("The line is longer than {most} signs.", most=LONGEST_LINE)
    short = ["" if len(raw) > LONGEST_LINE else raw for raw in raws]
    for number, (raw, inner) in enumerate(zip(raws, unwrap(short), strict=True), start=1):
        if len(raw) > LONGEST_LINE:
            lines.append(ParsedLine(number, raw, what="not understood", why=too_long))
        else:
            lines += _units(read_line(number, raw, inner.text, inner.doubts), inner)
    take_numbers(lines)
    return lines


def _units(line: ParsedLine, inner: Inner) -> list[ParsedLine]:
    line.is_talk = inner.is_talk
    line.lead = inner.lead if line.title else ""
    line.title = line.title or inner.lead.rstrip(": ")
    if inner.is_outside:
        line.what, line.why = "heading", " ".join(inner.doubts)
    elif not line.clean.strip():
        line.what = "blank"
    elif len(line.clean.strip()) > 1 and _DIVIDER.issuperset(line.clean):
        line.what = "divider"
    elif not (line.is_quoted or line.is_note or "\t" in line.clean.strip()):
        parts = parts_of(
            line.whole, line.clean.strip() if line.mark == "number" else "", is_item=line.indent >= FURTHER_IN
        )
        if parts is not None:
            return _apart(line, parts)
    return [line]


def _apart(line: ParsedLine, parts: Parts) -> list[ParsedLine]:
    units = [part_of(line, text) for text in parts.texts]
    units[0].lead = line.lead
    if parts.is_sure and all(unit.timing is not None and unit.timing.place == "lead" for unit in units):
        for unit in units:
            unit.doubts = [*unit.kept_doubts]
    if not parts.is_sure:
        units[0].doubts.append(_("Read as several phases on one line."))
    if parts.said_s is not None and parts.said_s != sum(unit.seconds or 0 for unit in units):
        units[0].doubts.append(_("The line says another sum than its parts."))
    return units


def _typed_line(units: Sequence[ParsedLine]) -> TypedLine:
    """What a line became; where it holds several phases, all of them."""
    line = next((unit for unit in units if unit.what == "phase"), units[0])
    phases = tuple(
        TypedPhase(
            _counted_title(unit),
            unit.seconds,
            unit.kind or guess_kind(unit.title),
            unit.class_line,
            unit.notes,
        )
        for unit in units
        if unit.what == "phase"
    )
    doubts = [doubt for unit in units for doubt in _doubts(unit)]
    why = " ".join(dict.fromkeys(doubts))
    said_s, sum_s, block = line.said_s, line.sum_s, line.block
    return TypedLine(line.number, line.raw, cast(What, line.what), phases, why, line.of, said_s, sum_s, block)


def _counted_title(unit: ParsedLine) -> str:
    """Its title with its number among the parts, where both together are no longer than a title may be."""
    title = unit.lead + unit.title
    return title if len(title) <= MOST_TITLE else unit.title


def _doubts(unit: ParsedLine) -> Sequence[str]:
    if unit.why:
        return [unit.why]
    doubts = unit.doubts if unit.what in _DOUBTED else unit.kept_doubts
    return doubts or [doubt for doubt in [second_look(unit)] if doubt]


def plain_text(phases: Iterable[TypedPhase]) -> str:
    """Phases as text that reads back to the same ones, a line each, with their notes indented below.

    A title that would be read in another way stands in quotes; a kind that its title doesn't tell stands in
    square brackets.
    """
    wanted = tuple(_as_lines(phase) for phase in phases)
    text = "".join(_plainest(phase) for phase in wanted)
    if read_typed(text).phases == wanted:
        return text
    return "".join(phase_text(phase, explicit=True) for phase in wanted)


def _as_lines(phase: TypedPhase) -> TypedPhase:
    """A phase whose texts stand on lines: single blanks, no signs that can't be seen."""
    notes = "\n".join(one_line(tidied(line)) for line in phase.notes.splitlines()).strip("\n")
    title, class_line = one_line(tidied(phase.title)), one_line(tidied(phase.class_line))
    return replace(phase, title=title, class_line=class_line, notes=notes)


def _plainest(phase: TypedPhase) -> str:
    """The plainest of three forms that is read without a doubt where the phase stands alone."""
    for is_labelled in (False, True):
        text = phase_text(phase, explicit=is_labelled, quoted=False)
        read = read_typed(text)
        if read.phases == (phase,) and not read.to_look_at:
            return text
    return phase_text(phase, explicit=True)


def phase_text(phase: TypedPhase, *, explicit: bool, quoted: bool = True) -> str:
    """The lines of a phase; ``explicit``: in the form whose meaning lines around it never change.

    Not ``quoted``, its title alone stands there as it is.
    """
    minutes = "?" if phase.seconds is None else brief_duration(phase.seconds)
    kind = "" if phase.kind == guess_kind(phase.title) else f" [{phase.kind}]"
    title = f'"{phase.title}"' if explicit and quoted else phase.title
    beside = f" {phase.class_line}" if phase.class_line and not explicit else ""
    below = [f"    {CLASS_LABEL}: {phase.class_line}"] if phase.class_line and explicit else []
    label = "Note: " if explicit else ""
    below += [f"    {label}{note}" for note in phase.notes.split("\n")] if phase.notes else []
    return "\n".join([f"{title} {minutes}{beside}{kind}", *below, ""])
