"""What the last lessons left for the table and for tomorrow, in words and as lines of the next table list."""

from collections.abc import Sequence

from pacer.frames.words.choice import date_words
from pacer.plan.problems import clipped
from pacer.review.left_over import LeftOver
from pacer.text import _, counted

_NAMED, _LETTERS = 3, 24  # of one kind, and of each; the Desk and Look back have them whole


def carried_words(title: str, date: str, left: Sequence[LeftOver]) -> str:
    """What one lesson left, on a line: for the table, for tomorrow, unanswered; empty for nothing."""
    table = [each.text for each in left if each.went == "table"]
    tomorrow = [each.text for each in left if each.went == "tomorrow"]
    parts = [_("table: {what}", what=_named(table))] if table else []
    parts += [_("tomorrow: {what}", what=_named(tomorrow))] if tomorrow else []
    still_open = sum(each.is_open for each in left)
    if still_open:
        parts.append(counted("{n} still open, see Look back", "{n} still open, see Look back", still_open))
    if not parts:
        return ""
    lesson = _("Left over from {lesson}, {date}", lesson=clipped(title), date=date_words(date))
    return " · ".join((lesson, *parts))


def left_parts(left: Sequence[LeftOver]) -> tuple[str, ...]:
    """All that one lesson left, a part for each way it went: what was moved, dropped, never ticked."""
    ways = {
        _("moved to tomorrow: {what}"): [each for each in left if each.went == "tomorrow"],
        _("left for the table: {what}"): [each for each in left if each.went == "table"],
        _("dropped: {what}"): [each for each in left if each.went == "dropped"],
        _("not ticked: {what}"): [each for each in left if each.is_open],
        _("not taught: {what}"): [each for each in left if not each.went and not each.is_listed],
    }
    return tuple(
        words.format(what=_named([each.text for each in found])) for words, found in ways.items() if found
    )


def carried_lines(date: str, left: Sequence[LeftOver]) -> tuple[str, ...]:
    """What goes to the next table, as lines of a table list.

    What was written says itself what it is, also on the day after; the rest is told with its day.
    """
    day = date_words(date)
    return tuple(
        each.text if each.key.about == "written" else _("{line} ({date})", line=each.text, date=day)
        for each in left
        if each.went == "table"
    )


def _named(texts: Sequence[str]) -> str:
    named = ", ".join(clipped(text, _LETTERS) for text in texts[:_NAMED])
    more = len(texts) - _NAMED
    return counted("{named} and {n} more", "{named} and {n} more", more, named=named) if more > 0 else named
