"""The day shape in words: large on Today, and what a shorter day would take from whom."""

from collections.abc import Sequence
from datetime import date

from pacer.frames.words.wording import hour_minute
from pacer.pace.trim import TrimItem, trim
from pacer.plan.day_shapes import DayShape, ends_at, on_a_day, too_long_s
from pacer.plan.durations import format_duration
from pacer.plan.findings import findings
from pacer.plan.outline import Outline
from pacer.plan.problems import clipped
from pacer.text import _, counted

MOST_WARNINGS = 2  # Today has little room; the page Outline has all
# Findings that are no fault, and yet what she must know before the lesson.
_TOO_LONG = frozenset({"budgets_over_mini", "no_visits", "visits_under_floor"})
_OF_OFFER = frozenset({"budgets_over_mini", "floors_over_mini"})

_MOST_DOUBTS = 3


def shape_words(shape: DayShape, day: date) -> str:
    """``Early release, 48 min, ends 10:12``."""
    return _("{name}, {minutes} min, ends {bell}").format(
        name=shape.name, minutes=shape.length_s // 60, bell=hour_minute(ends_at(shape, day))
    )


def doubt_words(names: Sequence[str], *, is_today: bool = True) -> str:
    """What the calendar may hold on a day and could not be read; empty where there is nothing."""
    if not names:
        return ""
    shown = ", ".join(clipped(name) or _("an event without a title") for name in names[:_MOST_DOUBTS])
    if not is_today:
        return _("The calendar may say {names} that day, which could not be read. Look it up.", names=shown)
    return _("The calendar may say {names} today, which could not be read. Look it up.", names=shown)


def offer_words(outline: Outline, shape: DayShape, *, is_today: bool = True) -> str:
    """What a short day offers, and which phases would pay; empty where the plan is short enough."""
    if not too_long_s(outline, shape):
        return ""
    honest_s = on_a_day(outline, shape, recut=True).mini_lesson_s
    words = _("The mini lesson has {honest} today, not {planned}.")
    if not is_today:
        words = _("The mini lesson has {honest} that day, not {planned}.")
    words = words.format(honest=format_duration(honest_s), planned=format_duration(outline.mini_lesson_s))
    payers = payers_words(outline, honest_s)
    return f"{words} {payers}".rstrip()


def warning_words(outline: Outline, *, is_cut: bool) -> str:
    """What can't be kept of a plan as it is taught today, or is too long in it; empty where all is well.

    ``is_cut``: the mini lesson is cut to the day, and the offer of that says already who pays.
    """
    too_much = [one for one in findings(outline) if one.impossible or one.rule in _TOO_LONG]
    told = [one for one in too_much if not (is_cut and one.rule in _OF_OFFER)]
    lines = [one.words for one in told[:MOST_WARNINGS]]
    if rest := len(told) - len(lines):
        lines.append(counted("The page Outline has {n} more.", "The page Outline has {n} more.", rest))
    return " ".join(lines)


def payers_words(outline: Outline, length_s: int) -> str:
    """Which phases would be cut by how much to fit a mini lesson of a length; whether one must leave."""
    mini = outline.phases[: outline.mini_count]
    items = [TrimItem(phase.budget_s, phase.floor_s, phase.cut_tier) for phase in mini]
    deficit = sum(phase.budget_s for phase in mini) - length_s
    trimmed = trim(items, deficit)
    cuts = ", ".join(
        f"{phase.title} −{format_duration(seconds)}"
        for phase, seconds in zip(mini, trimmed, strict=True)
        if seconds
    )
    short = deficit - sum(trimmed)
    if short > 0:
        words = _("Even the floors are {short} too long: a phase will have to leave.")
        return words.format(short=format_duration(short))
    return f"{cuts}." if cuts else ""
