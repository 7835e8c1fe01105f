"""The curriculum's lesson as plain text, one part a line: read, and written again when a part is moved."""

import re
from dataclasses import dataclass
from typing import cast

from pacer.plan.durations import brief_duration
from pacer.plan.kinds import AFTER_MINI_LESSON, KindName
from pacer.plan.problems import clipped
from pacer.plan.split.sheet import MAX_PARTS, WHERES, SheetPart, SplitSheet
from pacer.plan.split.split import Tag, Where
from pacer.plan.typed.read_typed import MOST_LINES, MOST_TOLD, TypedLine, TypedPhase, plain_text, read_typed
from pacer.plan.typed.vocabulary import guess_kind
from pacer.text import _

_MOVED = re.compile(r"\s*(?:->|→)\s*([a-z ]*?)\s*$", re.IGNORECASE)
_NEEDS = re.compile(r"[,;\s]*\bneeds?\s+(?:parts?\s+)?(\d{1,2}(?:\s*(?:,|and|&)\s*\d{1,2})*)", re.IGNORECASE)
_VALUE = re.compile(r"[,;\s]*\bvalue\s+(\S+)", re.IGNORECASE)
_TAG = re.compile(r"[,;\s]*[\[(](everyone|materials|extension|independent)[\])]", re.IGNORECASE)

MOST_PROBLEMS = 100
MOST_ON_A_LINE = 500  # a title has 120 at most; the patterns above would take long over a page on one line


@dataclass(frozen=True)
class NotUnderstood:
    """A line that is no part: its number from 1, and in plain words why and what to do."""

    line: int
    why: str


@dataclass(frozen=True)
class SplitText:
    """What a text holds: the parts, the line of each (from 0), and the lines that were not understood.

    ``doubts`` are lines that were read one way and might have meant another.
    """

    parts: tuple[SheetPart, ...]
    lines: tuple[int, ...]
    problems: tuple[NotUnderstood, ...]
    doubts: tuple[NotUnderstood, ...] = ()


@dataclass(frozen=True)
class _Marks:
    """What a line says of its part beside title and minutes; ``why`` where that is wrong."""

    rest: str
    tag: Tag | None = None
    value: int = 2
    needs: tuple[int, ...] = ()
    moved: Where | None = None
    why: str = ""

    @property
    def said(self) -> bool:
        """Whether the line has any: then it can't be anything but a part."""
        return (self.tag, self.value, self.needs, self.moved) != (None, 2, (), None)


def read_parts(text: str) -> SplitText:
    """Read the parts as an outline is read, and of each line [a tag], "value 3", "needs 2" and "-> table".

    Whatever says no part there, a title, a heading, a note, a sum, is none here. Never raises on content.
    """
    raws = text.splitlines()
    # Of a book not every line is told, and what is not stands behind the others: it is not taken apart.
    most = MOST_LINES + MOST_TOLD + 1
    marks = [_marks(line) for line in raws[:most]]
    parts: list[SheetPart] = []
    lines: list[int] = []
    problems: list[NotUnderstood] = []
    doubts: list[NotUnderstood] = []
    rests = [mark.rest for mark in marks]
    told = read_typed("".join(f"{line}\n" for line in (*rests, *raws[most:]))).lines
    for line, mark in zip(told, marks, strict=False):
        if len(problems) >= MOST_PROBLEMS:  # a book, pasted by mistake
            break
        found = _parts_of(line, mark, len(parts))
        if isinstance(found, str):
            problems.append(NotUnderstood(line.number, found))
        elif len(parts) + len(found) > MAX_PARTS:
            problems.append(NotUnderstood(line.number, _("At most {most} parts.", most=MAX_PARTS)))
        else:
            parts += found
            lines += [line.number - 1] * len(found)
            doubts += [NotUnderstood(line.number, line.why)] if line.why else []
    return SplitText(tuple(parts), tuple(lines), tuple(problems), tuple(doubts))


def _marks(line: str) -> _Marks:
    """A line taken apart into what an outline's reader reads and the marks that are Split's own."""
    if len(line) > MOST_ON_A_LINE:
        why = _("The line is longer than {most} signs. Write one part a line.", most=MOST_ON_A_LINE)
        return _Marks("", why=why)
    rest, moved, tag, value, why = line, None, None, 2, ""
    needs: tuple[int, ...] = ()
    if match := _MOVED.search(rest):
        name = " ".join(match[1].lower().split())
        moved = next((place for place in WHERES if place == name), None)
        if moved is not None:
            rest = rest[: match.start()]
        elif "->" in match[0]:
            why = _(
                '"{name}" is no place. Choose: {choices}.', name=clipped(match[1]), choices=", ".join(WHERES)
            )
    if match := _NEEDS.search(rest):
        needs = tuple(int(number) for number in re.findall(r"\d+", match[1]))
        rest = rest[: match.start()] + rest[match.end() :]
    if match := _VALUE.search(rest):
        value, wrong = (int(match[1]), "") if match[1] in ("1", "2", "3") else (2, _("A value is 1, 2 or 3."))
        why = why or wrong
        rest = rest[: match.start()] + rest[match.end() :]
    if match := _TAG.search(rest):
        tag = cast(Tag, match[1].lower())
        rest = rest[: match.start()] + rest[match.end() :]
    return _Marks(rest, tag, value, needs, moved, why)


def _parts_of(line: TypedLine, mark: _Marks, before: int) -> list[SheetPart] | str:
    """The parts on a line, or why there is none. ``before``: how many parts stand above it."""
    phases = line.phases
    if mark.why:
        return mark.why
    if not phases and line.what != "not understood" and not mark.said:
        return []
    if line.what == "not understood" and line.why:
        return line.why
    if not phases or any(phase.seconds is None for phase in phases):
        return _("Write a title and its minutes, such as: Mark thirds 10")
    wrong = next((number for number in mark.needs if not 1 <= number <= before), None)
    if wrong is not None:
        return _("Part {n} does not stand before this one.", n=wrong)
    # The reader takes no title and no time that is too long for a part.
    return [
        SheetPart(
            title=phase.title,
            seconds=phase.seconds or 0,
            value=mark.value,
            tag=mark.tag,
            needs=mark.needs,
            moved_to=mark.moved,
            class_line=phase.class_line,
            notes=phase.notes,
        )
        for phase in phases
    ]


def with_move(text: str, line: int, to: Where | None) -> str:
    """The text with a part put somewhere by hand; nothing else on its line changes.

    ``line`` is one of those that ``read_parts`` gave, from 0.
    """
    lines = text.splitlines(keepends=True)
    bare = lines[line].splitlines()[0]
    kept = _MOVED.sub("", bare, count=1).rstrip()
    lines[line] = (kept if to is None else f"{kept} -> {to}") + lines[line][len(bare) :]
    return "".join(lines)


def title_line(text: str) -> str:
    """The lesson's title as a line of an outline, where one is typed; else empty."""
    title = read_typed("".join(f"{_marks(line).rest}\n" for line in text.splitlines())).title
    return f"# {title}" if title else ""


def outline_lines(sheet: SplitSheet) -> tuple[str, ...]:
    """What all hear, as lines for tomorrow's outline, each read there as the phase that it is.

    A part that sounds like a move, a group or a share is none here: it would end the mini lesson.
    """
    heard = _parts_in(sheet, "whole group")
    phases = [
        TypedPhase(part.title, part.seconds, _kind_of_title(part.title), part.class_line, part.notes)
        for part in heard
    ]
    lines = [_typed_line(phase) for phase in phases]
    if read_typed("\n".join(lines)).phases != tuple(phases):
        return tuple(plain_text(phases).splitlines())  # lines that change each other's meaning
    return tuple(lines)


def _typed_line(phase: TypedPhase) -> str:
    """A phase as a teacher would type it, where that is read without a doubt; else in the safest form."""
    line = f"{phase.title} {brief_duration(phase.seconds or 0)}"
    for typed in (line, f"{line} min"):
        read = read_typed(typed)
        if not read.to_look_at and read.phases == (phase,):
            return typed
    return plain_text([phase]).strip()


def _kind_of_title(title: str) -> KindName:
    guess = guess_kind(title)
    return "other" if guess in AFTER_MINI_LESSON else guess


def table_lines(sheet: SplitSheet) -> tuple[str, ...]:
    """What is finished at the table, a line each, then what is done at stations or goes further."""
    places: tuple[tuple[Where, str], ...] = (
        ("table", ""),
        ("station", f" ({_('station')})"),
        ("extension", f" ({_('extension')})"),
    )
    return tuple(
        f"{part.title} {brief_duration(part.seconds)}{note}"
        for place, note in places
        for part in _parts_in(sheet, place)
    )


def _parts_in(sheet: SplitSheet, place: Where) -> list[SheetPart]:
    pairs = zip(sheet.parts, sheet.best().fates, strict=True)
    return [part for part, fate in pairs if fate == place]
