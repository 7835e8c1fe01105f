"""What is wrong with an outline's file, for people who never saw its text from inside."""

import re
from pathlib import Path

from pacer.frames.words.outline import head_words, phase_words
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.draft.fields import PHASE_FIELDS
from pacer.plan.draft.mend import Damage, Mended, damage_in
from pacer.plan.file.reader import MAX_BYTES
from pacer.plan.problems import Problem, clipped
from pacer.text import _, counted

MOST_TOLD = 3
# Words of a problem that speak of the file's language and not of the lesson.
_OF_FILES = re.compile(r"=|\[|\b(?:key|keys|table|tables|TOML|UTF|quotes)\b")


def short_words(damage: Damage | None) -> str:
    """A few words for a list."""
    if damage is None:
        return _("can't be opened")
    return {
        "nothing": _("empty file"),
        "list": _("a plain list, not an outline yet"),
        "fields": _("something to fill in or correct"),
        "text": _("can't be read from line {line} on", line=damage.line or 1),
        "foreign": _("not an outline"),
    }[damage.fault]


def damage_words(damage: Damage, name: str) -> str:
    """What is wrong with a file, where, and what can be done, in whole sentences."""
    if damage.fault == "nothing":
        return _("There is nothing in {file}. Delete it, or write a lesson into it.", file=name)
    if damage.fault == "list":
        return _("{file} is a plain list of lines. Pacer can make an outline of it.", file=name)
    if damage.fault == "foreign":
        return _("{file} is not an outline: it belongs to another program, or to no lesson.", file=name)
    if damage.fault == "text":
        where = "" if damage.line is None else _("Line {line}", line=damage.line)
        if damage.shown:
            where = _("{line} says: {text}", line=where, text=clipped(damage.shown, 80))
        first = _("Pacer can't read {file} any further than this:", file=name)
        last = _("Everything else in it is still there.")
        return "\n".join(part for part in (first, where, last) if part)
    first = _("{file} is an outline, but not all in it can be used yet.", file=name)
    field = field_of(damage.shown)
    if field:
        first = _("{file} is an outline, but its {field} can't be used as it is.", file=name, field=field)
    told = [words for each in damage.problems[:MOST_TOLD] if (words := _told(each, damage))]
    more = len(damage.problems) - len(told)
    wrong = "{n} more thing is missing or wrong.", "{n} more things are missing or wrong."
    return "\n".join((first, *told, *([counted(*wrong, more)] if more else ())))


def _told(problem: Problem, damage: Damage) -> str:
    """What is wrong, or where that is a matter of how files are written, what stands there."""
    if not _OF_FILES.search(problem.what):
        if problem.line is None:
            return problem.what
        return _("Line {line}: {what}", line=problem.line, what=problem.what)
    if problem.line != damage.line or not damage.shown:
        return ""
    return _("Line {line} says: {text}", line=damage.line, text=clipped(damage.shown, 80))


def words_about(path: Path) -> str:
    """What is wrong with a file that is no sound outline, in plain words. Never raises."""
    try:
        damage = damage_in(path, read_bounded(path, MAX_BYTES))
    except UnreadableFileError as error:
        return unread_words(path, error)
    return "" if damage is None else damage_words(damage, path.name)


def unread_words(path: Path, error: UnreadableFileError) -> str:
    """Why a file can't be read at all."""
    words = _("{file} can't be opened. {what} {fix}", file=path.name, what=error.what, fix=error.fix)
    return words.strip()


def field_of(line: str) -> str:
    """What a line of a file is about, as the pages call it; empty where they have no name for it."""
    key = line.partition("=")[0].strip()
    words = phase_words(key) if key in PHASE_FIELDS and key != "title" else head_words(key)
    return "" if words == key or "=" not in line else words


def mended_words(mended: Mended) -> str:
    """What mending would do, before it is done."""
    parts = []
    if mended.righted:
        parts.append(counted("{n} line is put right", "{n} lines are put right", mended.righted))
    if mended.remarks:
        parts.append(
            counted(
                "{n} line becomes a remark in the file",
                "{n} lines become remarks in the file",
                mended.remarks,
            )
        )
    parts = parts or [_("its first line is put right")]
    return _("{what}. Nothing is thrown away.", what=", ".join(parts))
