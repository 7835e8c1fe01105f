"""The choice of lessons behind a picture, in one line that always stands with it."""

from datetime import date

from pacer.frames.words.kinds import kind_words
from pacer.frames.words.wording import lessons_words, mode_words
from pacer.review.choice import LessonChoice
from pacer.text import N_, _

_MONTHS = (
    N_("Jan"), N_("Feb"), N_("Mar"), N_("Apr"), N_("May"), N_("Jun"),
    N_("Jul"), N_("Aug"), N_("Sep"), N_("Oct"), N_("Nov"), N_("Dec"),
)  # fmt: skip


def choice_words(choice: LessonChoice, lessons: int) -> str:
    """What is chosen, widest first, with the number of lessons: ``8 lessons · live · mathematics``."""
    parts = [lessons_words(lessons)]
    parts.append(", ".join(mode_words(mode) or _("live") for mode in choice.modes))
    parts += [", ".join(name or _("no subject") for name in choice.subjects)] if choice.subjects else []
    parts += [", ".join(kind_words(kind) for kind in choice.kinds)] if choice.kinds else []
    parts += [", ".join(name or _("own block") for name in choice.shapes)] if choice.shapes else []
    parts += [", ".join(f"“{title}”" for title in choice.titles)] if choice.titles else []
    span = span_words(choice.since, choice.until)
    parts += [span] if span else []
    parts += [_("days not like others, too")] if choice.flagged else []
    parts += [_("learning from repaired days too")] if choice.repaired else []
    return " · ".join(parts)


def span_words(since: str, until: str) -> str:
    """A span of ISO dates in words; empty where it has no ends."""
    if since and since == until:
        return _("on {day}", day=date_words(since))
    if since and until:
        return _("{since} to {until}", since=date_words(since), until=date_words(until))
    if since:
        return _("from {since}", since=date_words(since))
    return _("up to {until}", until=date_words(until)) if until else ""


def date_words(iso: str) -> str:
    """An ISO date for people: ``9 Mar 2026``; as it is where it is none."""
    try:
        day = date.fromisoformat(iso)
    except ValueError:
        return iso
    return f"{day.day} {month_words(day.month)} {day.year}"


def month_words(month: int) -> str:
    """The short name of a month, 1 to 12."""
    return _(_MONTHS[month - 1])
