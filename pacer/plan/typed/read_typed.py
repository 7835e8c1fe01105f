"""What a teacher types or pastes, one phase a line, as phases; every line is accounted for, none is lost."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal, cast

from pacer.plan.durations import brief_duration
from pacer.plan.kinds import KindName
from pacer.plan.typed.block_lines import Fields, read_block_lines, read_leg_lines
from pacer.plan.typed.classify_lines import CLASS_LABEL, classify_lines, find_totals, title_text
from pacer.plan.typed.clock_times import resolve_clocks
from pacer.plan.typed.line import ParsedLine, one_line, read_line, tidied
from pacer.plan.typed.table import read_tables
from pacer.plan.typed.vocabulary import guess_kind
from pacer.text import _

What = Literal["phase", "title", "heading", "note", "time", "total", "divider", "blank", "block",
    "not understood",
]  # fmt: skip
# What is pasted by mistake, a book for instance, is told and not read: it is read again at every key.
MOST_LINES = 2_000
LONGEST_LINE = 6_000  # the longest notes are shorter
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

    @property
    def phase(self) -> TypedPhase | None:
        """The first phase of the line, None where it has none."""
        return next(iter(self.phases), None)


@dataclass(frozen=True)
class Typed:
    """All lines of a text, in order."""

    lines: tuple[TypedLine, ...]

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
    def to_look_at(self) -> tuple[TypedLine, ...]:
        """The lines that were read one way and might have meant another, each with why."""
        return tuple(line for line in self.lines if line.why and line.what != "not understood")


def read_typed(text: str) -> Typed:
    """Read a text, one phase a line. Never raises on content."""
    raws = text.splitlines()
    lines = [_parsed(number, raw) for number, raw in enumerate(raws[:MOST_LINES], start=1)]
    read_tables(lines)
    read_block_lines(lines)
    find_totals(lines)
    resolve_clocks([line for line in lines if not line.what])
    of = classify_lines(lines)
    read_leg_lines(lines, of)
    # A book, pasted by mistake: nothing is asked of what is too much, but each line is there, and why.
    why = _("A lesson has {most} lines at most.", most=MOST_LINES)
    beyond = (
        TypedLine(number, raw, "not understood", why=why)
        for number, raw in enumerate(raws[MOST_LINES:], start=MOST_LINES + 1)
    )
    return Typed((*(_typed_line(line, of.get(line.number)) for line in lines), *beyond))


def _parsed(number: int, raw: str) -> ParsedLine:
    if len(raw) > LONGEST_LINE:
        why = _("The line is longer than {most} signs.", most=LONGEST_LINE)
        return ParsedLine(number, raw, what="not understood", why=why)
    line = read_line(number, raw)
    if not line.clean.strip():
        line.what = "blank"
    elif len(line.clean.strip()) > 1 and _DIVIDER.issuperset(line.clean):
        line.what = "divider"
    return line


def _typed_line(line: ParsedLine, of: int | None) -> TypedLine:
    phases: tuple[TypedPhase, ...] = ()
    if line.what == "phase":
        kind = line.kind or guess_kind(line.title)
        phases = (TypedPhase(line.title, line.seconds, kind, line.class_line, line.notes),)
    why = line.why or " ".join(line.doubts if line.what in ("phase", "note") else ())
    return TypedLine(
        line.number, line.raw, cast(What, line.what), phases, why, of, line.said_s, line.sum_s, line.block
    )


def plain_text(phases: Iterable[TypedPhase]) -> str:
    """Phases as text that reads back to the same ones, a line each, with their notes indented below.

    A title that would be read in another way stands in quotes; a kind that its title doesn't tell stands in
    square brackets.
    """
    wanted = tuple(_as_lines(phase) for phase in phases)
    text = "".join(phase_text(phase, explicit=not _is_clear_alone(phase)) for phase in wanted)
    if read_typed(text).phases == wanted:
        return text
    return "".join(phase_text(phase, explicit=True) for phase in wanted)


def _as_lines(phase: TypedPhase) -> TypedPhase:
    """A phase whose texts stand on lines: single blanks, no signs that can't be seen."""
    notes = "\n".join(one_line(tidied(line)) for line in phase.notes.splitlines()).strip("\n")
    title, class_line = one_line(tidied(phase.title)), one_line(tidied(phase.class_line))
    return replace(phase, title=title, class_line=class_line, notes=notes)


def _is_clear_alone(phase: TypedPhase) -> bool:
    read = read_typed(phase_text(phase, explicit=False))
    return read.phases == (phase,) and not read.to_look_at


def phase_text(phase: TypedPhase, *, explicit: bool) -> str:
    """The lines of a phase; ``explicit``: in the form whose meaning lines around it never change."""
    minutes = "?" if phase.seconds is None else brief_duration(phase.seconds)
    kind = "" if phase.kind == guess_kind(phase.title) else f" [{phase.kind}]"
    title = f'"{phase.title}"' if explicit else phase.title
    beside = f" {phase.class_line}" if phase.class_line and not explicit else ""
    below = [f"    {CLASS_LABEL}: {phase.class_line}"] if phase.class_line and explicit else []
    label = "Note: " if explicit else ""
    below += [f"    {label}{note}" for note in phase.notes.split("\n")] if phase.notes else []
    return "\n".join([f"{title} {minutes}{beside}{kind}", *below, ""])
