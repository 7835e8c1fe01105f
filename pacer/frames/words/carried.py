"""What the last day of lessons left for the table and for tomorrow, in words for the next outline."""

from collections.abc import Sequence

from pacer.frames.words.choice import date_words
from pacer.review.days import Day
from pacer.review.questions.not_taught import why_not
from pacer.text import _


def carried_words(days: Sequence[Day]) -> str:
    """What was not taught on one day and goes to the table or to tomorrow; empty where nothing does."""
    parts = []
    for fate, words in (("table", _("for the table: {phases}")), ("tomorrow", _("for tomorrow: {phases}"))):
        titles = [
            _("{phase} ({lesson})", phase=phase.title, lesson=day.title)
            for day in days
            for phase in day.phases
            if phase.fate == fate and why_not(phase) is not None
        ]
        if titles:
            parts.append(words.format(phases=", ".join(titles)))
    if not parts:
        return ""
    return _("Not taught on {date}, {where}", date=date_words(days[0].date), where="; ".join(parts))
