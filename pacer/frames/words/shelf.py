"""An outline on the shelf in words: for the list, and for the line under its title."""

from collections.abc import Sequence
from datetime import datetime
from itertools import takewhile
from pathlib import Path

from pacer.frames.words.wording import hour_minute
from pacer.plan.day import BlockToday
from pacer.plan.durations import brief_duration, format_duration
from pacer.plan.kinds import AFTER_MINI_LESSON, KindName
from pacer.plan.outline import Outline
from pacer.settings.outline_shelf import Heading, ShelfEntry, heading_of
from pacer.settings.shelf_rows import ShelfRow
from pacer.text import _, counted

NO_BREAK = "\N{NO-BREAK SPACE}"  # a number and its unit stay on one line


def entry_words(entry: ShelfEntry) -> str:
    """Two lines for the list: the title, then where it is from and its block."""
    return _heading_words(entry.path, heading_of(entry), is_template=entry.is_template)


def row_words(row: ShelfRow) -> str:
    """The same of a row, for which not all of it need have been read."""
    return _heading_words(row.path, row.heading, is_template=row.is_template)


def _heading_words(path: Path, heading: Heading | None, *, is_template: bool) -> str:
    where = _("template") if is_template else _("yours")
    if heading is None:
        return _("{name}\n{where} · has problems", name=path.name, where=where)
    minutes = _("{minutes} min", minutes=heading.minutes).replace(" ", NO_BREAK)
    return heading.title + "\n" + " · ".join(part for part in (where, heading.subject, minutes) if part)


def about_words(outline: Outline) -> str:
    """Subject, length and phases of an outline on one line."""
    planned = sum(phase.budget_s for phase in outline.phases[: outline.mini_count])
    count = counted("{n} phase", "{n} phases", outline.mini_count)
    parts = [
        outline.subject,
        _("mini lesson {length}", length=format_duration(outline.mini_lesson_s)),
        _("{phases}, {planned} planned", phases=count, planned=format_duration(planned)),
        _("block {minutes} min", minutes=outline.block.length_s // 60),
    ]
    return " · ".join(part for part in parts if part)


def phase_counts(phases: Sequence[tuple[KindName, int]]) -> tuple[str, ...]:
    """How many phases there are (kind and seconds of each), and their time: those of the mini lesson first.

    So the fit, the check and what was pasted say one number: a walk to the groups is no part of the lesson.
    """
    mini = list(takewhile(lambda phase: phase[0] not in AFTER_MINI_LESSON, phases))
    after = phases[len(mini) :]
    words = [counted("{n} phase", "{n} phases", len(mini)), _time_words(mini)] if mini or not after else []
    if after:
        words.append(counted("{n} after the mini lesson", "{n} after the mini lesson", len(after)))
        words.append(_time_words(after))
    return tuple(words)


def _time_words(phases: Sequence[tuple[KindName, int]]) -> str:
    return _("{n} min", n=brief_duration(sum(seconds for _kind, seconds in phases)))


def block_words(block: BlockToday | None, outline: Outline, now: datetime) -> str:
    """When the bell rings; ``block`` is None where the lesson counts from the press of Start."""
    if block is None:
        minutes = outline.block.length_s // 60
        return _("{minutes} min from the start to the bell", minutes=minutes)
    if block.now_belongs:
        return _("Bell at {bell}", bell=hour_minute(block.bell))
    words = _("Bell at {bell}. It is {now} now, so a start counts from the press.")
    return words.format(bell=hour_minute(block.bell), now=hour_minute(now))
