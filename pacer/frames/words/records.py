"""Day records, the trash, and what a deletion would take, in plain words."""

from collections.abc import Sequence
from pathlib import Path

from pacer.frames.words.choice import date_words
from pacer.frames.words.wording import clock_words, local_time, mode_words
from pacer.log.date_span import DateSpan
from pacer.log.day_records import RunRow
from pacer.log.erase import Erasable, Erased
from pacer.text import _, ngettext

MOST_NAMES = 4


def run_cells(run: RunRow) -> tuple[str, str, str, str]:
    """A lesson in the list: date, start, lesson, what kind."""
    day = local_time(run.started_utc_ms, run.utc_offset_s).date().isoformat()
    return day, clock_words(run.started_utc_ms, run.utc_offset_s), run.title, mode_words(run.mode)


def left_words(days: int) -> str:
    """How long a lesson stays in the trash."""
    if days == 0:
        return _("goes at the next start")
    return ngettext("{n} day", "{n} days", days).format(n=days)


def span_words(span: DateSpan) -> str:
    """The dates of a span: ``9 Mar 2026`` or ``1 Aug 2025 to 31 Jul 2026``."""
    if span.since == span.until:
        return date_words(span.since)
    return _("{since} to {until}").format(since=date_words(span.since), until=date_words(span.until))


def going_words(found: Erasable, outlines: Sequence[Path]) -> str:
    """What would be deleted for good."""
    if found.is_empty:
        return _("Nothing to delete: {span}.").format(span=span_words(found.span))
    parts = []
    if found.lessons:
        parts.append(_lessons(len(found.lessons)))
    if found.imported:
        parts.append(_imported(found.imported))
    words = _("Goes for good, {span}: {what}.").format(
        span=span_words(found.span), what=_("{one} and {other}").format(one=parts[0], other=parts[1])
        if len(parts) == 2 else parts[0],
    )  # fmt: skip
    lines = [words]
    if found.lessons:
        lines[0] += " " + _("With each lesson go its presses, its repairs and what you said about it.")
    if found.trashed:
        trashed = ngettext("{n} of them is in the trash.", "{n} of them are in the trash.", found.trashed)
        lines[0] += " " + trashed.format(n=found.trashed)
    if found.copies:
        copies = ngettext(
            "They go from {n} copy in the folder of backups, too.",
            "They go from {n} copies in the folder of backups, too.",
            found.copies,
        )
        lines.append(copies.format(n=found.copies))
    if outlines:
        lines.append(_outlines(outlines))
    return "\n".join(lines)


def staying_words(found: Erasable, others: int, outlines_stay: bool) -> str:
    """What stays."""
    stays = [ngettext("{n} other lesson", "{n} other lessons", others).format(n=others)] if others else []
    if outlines_stay:
        stays += [_("all outlines"), _("the budgets you accepted"), _("settings")]
    else:
        stays += [_("other outlines"), _("pictures beside outlines"), _("settings")]
    line = _("Stays: {what}.").format(what=", ".join(stays))
    if found.running:
        line += " " + ngettext(
            "{n} lesson that has not ended stays, too: end it on Today first.",
            "{n} lessons that have not ended stay, too: end them on Today first.",
            found.running,
        ).format(n=found.running)
    return line


def erased_words(erased: Erased, outlines: int) -> str:
    """What was deleted."""
    parts = [_lessons(erased.lessons)] if erased.lessons else []
    parts += [_imported(erased.imported)] if erased.imported else []
    if outlines:
        parts.append(ngettext("{n} outline", "{n} outlines", outlines).format(n=outlines))
    return _("Deleted for good: {what}.").format(what=", ".join(parts) or _("nothing"))


def _lessons(count: int) -> str:
    return ngettext("{n} lesson", "{n} lessons", count).format(n=count)


def _imported(count: int) -> str:
    return ngettext("{n} imported ending", "{n} imported endings", count).format(n=count)


def _outlines(paths: Sequence[Path]) -> str:
    """The first few by name."""
    names = ", ".join(path.name for path in paths[:MOST_NAMES])
    if len(paths) > MOST_NAMES:
        names = _("{names} and {n} more").format(names=names, n=len(paths) - MOST_NAMES)
    return ngettext(
        "{n} outline goes, with its earlier versions and drafts: {names}.",
        "{n} outlines go, with their earlier versions and drafts: {names}.",
        len(paths),
    ).format(n=len(paths), names=names)
