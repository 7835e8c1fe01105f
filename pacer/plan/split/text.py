"""The curriculum's lesson as plain text, one part a line: read, and written again when a part is moved."""

import re
from dataclasses import dataclass
from typing import cast

from pydantic import ValidationError

from pacer.plan.durations import brief_duration, parse_duration
from pacer.plan.kinds import AFTER_MINI_LESSON, KindName
from pacer.plan.problems import clipped
from pacer.plan.split.sheet import MAX_PARTS, WHERES, SheetPart, SplitSheet
from pacer.plan.split.split import Tag, Where
from pacer.plan.typed.read_typed import TypedPhase, plain_text, read_typed
from pacer.plan.typed.vocabulary import guess_kind
from pacer.text import _

_BULLET = re.compile(r"^[\s•*–—-]*(?:\d{1,2}[.)]\s)?\s*")
_MOVED = re.compile(r"\s*(?:->|→)\s*([a-z ]*?)\s*$", re.IGNORECASE)
_NEEDS = re.compile(r"[,;\s]*\bneeds?\s+(?:parts?\s+)?(\d{1,2}(?:\s*(?:,|and|&)\s*\d{1,2})*)", re.IGNORECASE)
_VALUE = re.compile(r"[,;\s]*\bvalue\s+(\S+)", re.IGNORECASE)
_TAG = re.compile(r"[,;\s]*[\[(](everyone|materials|extension|independent)[\])]", re.IGNORECASE)
_MINUTES = re.compile(
    r"[,;:\s(\[–—-]*(\d{1,3}(?:[:.,]\d{1,2})?)\s*(minutes?|mins?|min\.?|s|sec|['’′])?[\s)\].,;]*$",
    re.IGNORECASE,
)

MOST_PROBLEMS = 100
MOST_ON_A_LINE = 500  # a title has 120 at most; the patterns above would take long over a page on one line


@dataclass(frozen=True)
class NotUnderstood:
    """A line that is no part: its number from 1, and in plain words why and what to do."""

    line: int
    why: str


@dataclass(frozen=True)
class SplitText:
    """What a text holds: the parts, the line of each (from 0), and the lines that were not understood."""

    parts: tuple[SheetPart, ...]
    lines: tuple[int, ...]
    problems: tuple[NotUnderstood, ...]


def read_parts(text: str) -> SplitText:
    """Read a part a line: a title, minutes, and perhaps [a tag], "value 3", "needs 2" and "-> table".

    Blank lines and those that begin with # are passed over. Never raises on content.
    """
    parts: list[SheetPart] = []
    lines: list[int] = []
    problems: list[NotUnderstood] = []
    for at, line in enumerate(text.splitlines()):
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        part = _read_part(line, len(parts))
        if isinstance(part, str):
            problems.append(NotUnderstood(at + 1, part))
        elif len(parts) >= MAX_PARTS:
            problems.append(NotUnderstood(at + 1, _("At most {most} parts.").format(most=MAX_PARTS)))
            if len(problems) >= MOST_PROBLEMS:  # a book, pasted by mistake
                break
        else:
            parts.append(part)
            lines.append(at)
    return SplitText(tuple(parts), tuple(lines), tuple(problems))


def _read_part(line: str, before: int) -> SheetPart | str:
    """The part on a line, or why there is none. ``before``: how many parts stand above it."""
    if len(line) > MOST_ON_A_LINE:
        return _("The line is longer than {most} signs. Write one part a line.").format(most=MOST_ON_A_LINE)
    rest = _BULLET.sub("", line, count=1)
    moved, tag, value = None, None, 2
    needs: tuple[int, ...] = ()
    if match := _MOVED.search(rest):
        name = " ".join(match[1].lower().split())
        moved = next((place for place in WHERES if place == name), None)
        if moved is None:
            return _('"{name}" is no place. Choose: {choices}.').format(
                name=clipped(match[1]), choices=", ".join(WHERES)
            )
        rest = rest[: match.start()]
    if match := _NEEDS.search(rest):
        needs = tuple(int(number) for number in re.findall(r"\d+", match[1]))
        wrong = next((number for number in needs if not 1 <= number <= before), None)
        if wrong is not None:
            return _("Part {n} does not stand before this one.").format(n=wrong)
        rest = rest[: match.start()] + rest[match.end() :]
    if match := _VALUE.search(rest):
        if match[1] not in ("1", "2", "3"):
            return _("A value is 1, 2 or 3.")
        value = int(match[1])
        rest = rest[: match.start()] + rest[match.end() :]
    if match := _TAG.search(rest):
        tag = cast(Tag, match[1].lower())
        rest = rest[: match.start()] + rest[match.end() :]
    return _with_minutes(rest, value, tag, needs, moved)


def _with_minutes(
    rest: str, value: int, tag: Tag | None, needs: tuple[int, ...], moved: Where | None
) -> SheetPart | str:
    match = _MINUTES.search(rest)
    title = rest[: match.start()].strip(" \t,;:–—-") if match else ""
    if match is None or not title:
        return _("Write a title and its minutes, such as: Mark thirds 10")
    try:
        unit = " s" if (match[2] or "").lower() in ("s", "sec") else ""
        seconds = parse_duration(match[1].replace(",", ".") + unit)
        return SheetPart(title=title, seconds=seconds, value=value, tag=tag, needs=needs, moved_to=moved)
    except ValidationError:
        return _("Too long or too short: a part takes from 1 s to 3 h, and its title at most 120 characters.")
    except ValueError:
        return _('"{text}" is not a length of time.').format(text=clipped(match[1]))


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
    """The lesson's title, as the line that begins with # and stands first; empty where there is none."""
    first = next((line.strip() for line in text.splitlines() if line.strip()), "")
    return first if first.startswith("#") and first.strip("# ") else ""


def outline_lines(sheet: SplitSheet) -> tuple[str, ...]:
    """What all hear, as lines for tomorrow's outline, each read there as the phase that it is.

    A part that sounds like a move, a group or a share is none here: it would end the mini lesson.
    """
    heard = _parts_in(sheet, "whole group")
    phases = [TypedPhase(part.title, part.seconds, _kind_of_title(part.title)) for part in heard]
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
