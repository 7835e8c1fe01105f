"""Day records, the trash, and what a deletion would take, in plain words."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from pacer.frames.words.choice import date_words
from pacer.frames.words.wording import clock_words, hour_minute, lessons_words, local_time, mode_words
from pacer.log.backups import BEFORE, CopiedLesson, Copy, Difference
from pacer.log.date_span import DateSpan
from pacer.log.day_records import RunRow
from pacer.log.erase import Erasable, Erased
from pacer.text import N_, _, counted

MOST_NAMES = 4


def day_of(lesson: RunRow | CopiedLesson) -> str:
    """The classroom's date on which a lesson began, as ``YYYY-MM-DD``."""
    return local_time(lesson.started_utc_ms, lesson.utc_offset_s).date().isoformat()


def run_cells(run: RunRow) -> tuple[str, str, str, str]:
    """A lesson in the list: date, start, lesson, what kind."""
    day = date_words(day_of(run))
    return day, clock_words(run.started_utc_ms, run.utc_offset_s), run.title, mode_words(run.mode)


def left_words(days: int) -> str:
    """How long a lesson stays in the trash."""
    if days == 0:
        return _("goes at the next start")
    return counted("{n} day", "{n} days", days)


def span_words(span: DateSpan) -> str:
    """The dates of a span: ``9 Mar 2026`` or ``1 Aug 2025 to 31 Jul 2026``."""
    if span.since == span.until:
        return date_words(span.since)
    return _("{since} to {until}", since=date_words(span.since), until=date_words(span.until))


def going_words(erasable: Erasable, outlines: Sequence[Path]) -> str:
    """What would be deleted for good."""
    if erasable.is_empty:
        return _("Nothing to delete: {span}.", span=span_words(erasable.span))
    parts = _counts(len(erasable.lessons), erasable.imported)
    both = _("{one} and {other}", one=parts[0], other=parts[-1]) if len(parts) == 2 else parts[0]
    lines = [_("Goes for good, {span}: {what}.", span=span_words(erasable.span), what=both)]
    if erasable.lessons:
        lines[0] += " " + _("With each lesson go its presses, its repairs and what you said about it.")
    if erasable.trashed:
        lines[0] += " " + counted(
            "{n} of them is in the trash.", "{n} of them are in the trash.", erasable.trashed
        )
    if erasable.copies:
        copies = counted(
            "They go from {n} copy in the folder of backups, too.",
            "They go from {n} copies in the folder of backups, too.",
            erasable.copies,
        )
        lines.append(copies)
    if outlines:
        lines.append(_outlines(outlines))
    return "\n".join(lines)


def staying_words(erasable: Erasable, others: int, outlines_stay: bool) -> str:
    """What stays."""
    stays = [counted("{n} other lesson", "{n} other lessons", others)] if others else []
    if outlines_stay:
        stays += [_("all outlines"), _("the budgets you accepted"), _("settings")]
    else:
        stays += [_("other outlines"), _("pictures beside outlines"), _("settings")]
    line = _("Stays: {what}.", what=", ".join(stays))
    if erasable.running:
        line += " " + counted(
            "{n} lesson that has not ended stays, too: end it on Today first.",
            "{n} lessons that have not ended stay, too: end them on Today first.",
            erasable.running,
        )
    return line


def erased_words(erased: Erased, outlines: int) -> str:
    """What was deleted."""
    parts = _counts(erased.lessons, erased.imported)
    if outlines:
        parts.append(counted("{n} outline", "{n} outlines", outlines))
    return _("Deleted for good: {what}.", what=", ".join(parts) or _("nothing"))


def copy_cells(copy: Copy) -> tuple[str, str, str]:
    """A copy in the list: its name, the number of its lessons, the day of the last one or what is wrong."""
    if copy.trouble:
        return copy.name, "", _("damaged")
    # As the copy's own name has its date; the same list is for scripts.
    last = max((day_of(lesson) for lesson in copy.lessons), default="")
    return copy.name, str(len(copy.lessons)), last


def copy_words(copy: Copy) -> tuple[str, str, str]:
    """The same for people: dates as everywhere, and when what was replaced was still there."""
    _name, count, last = copy_cells(copy)
    name = date_words(copy.name)
    if copy.name.startswith(f"{BEFORE}-"):
        made = datetime.fromtimestamp(copy.made_utc_ms / 1000)  # as this computer's own clock shows it
        day, time = date_words(made.date().isoformat()), hour_minute(made)
        name = _("before {day}, {time}", day=day, time=time)
    return name, count, date_words(last)


def copy_heads() -> tuple[str, str, str]:
    """The headings of that list."""
    return _("Copy"), _("Lessons"), _("Last one")


def difference_words(difference: Difference) -> str:
    """What bringing back a copy changes, a line for each kind of change."""
    lines = [
        _(words, lessons=_lesson_names(lessons))
        for words, lessons in (
            (N_("Goes: {lessons}."), difference.lost),
            (N_("Comes back: {lessons}."), difference.gained),
            (N_("As it was then: {lessons}."), difference.changed),
        )
        if lessons
    ]
    return "\n".join(lines) or _("It holds the same lessons as now.")


def restored_words(copy: Copy, kept: Path) -> str:
    """That a copy was brought back, and where what was there before is kept."""
    return _("Brought back: {copy}. What was there before is kept as {kept}.", copy=copy.name, kept=kept)


def _lesson_names(lessons: Sequence[CopiedLesson]) -> str:
    """The first few with their days, and how many there are."""
    shown = ((lesson.title, date_words(day_of(lesson))) for lesson in lessons[:MOST_NAMES])
    names = [_("“{title}”, {day}", title=title, day=day) for title, day in shown]
    if len(lessons) > MOST_NAMES:
        names.append(_("{n} more", n=len(lessons) - MOST_NAMES))
    return _("{count} ({names})", count=lessons_words(len(lessons)), names="; ".join(names))


def _counts(lessons: int, imported: int) -> list[str]:
    """Lessons and imported endings by number, each where there are any."""
    parts = [lessons_words(lessons)] if lessons else []
    return parts + ([counted("{n} imported ending", "{n} imported endings", imported)] if imported else [])


def _outlines(paths: Sequence[Path]) -> str:
    """The first few by name."""
    names = ", ".join(path.name for path in paths[:MOST_NAMES])
    if len(paths) > MOST_NAMES:
        names = _("{names} and {n} more", names=names, n=len(paths) - MOST_NAMES)
    return counted(
        "{n} outline goes, with its earlier versions and drafts: {names}.",
        "{n} outlines go, with their earlier versions and drafts: {names}.",
        len(paths),
        names=names,
    )
