"""The lines of a coach copy: what the teacher chose to show of her lessons, and nothing else."""

from collections.abc import Sequence
from fractions import Fraction
from statistics import median
from typing import Literal

from pacer.frames.pictures.shared import range_words
from pacer.frames.words.choice import date_words
from pacer.frames.words.wording import over_words
from pacer.plan.durations import format_duration
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.talk_share import talk_shares
from pacer.review.questions.where_time import where_time
from pacer.review.statistics.rounding import half_up
from pacer.text import _, ngettext

CoachField = Literal["lessons", "mini lesson", "groups", "talk", "thing", "reasons"]
FIELDS: tuple[CoachField, ...] = ("lessons", "mini lesson", "groups", "talk", "thing", "reasons")
NOTES: frozenset[CoachField] = frozenset({"thing", "reasons"})
"""What holds the teacher's own words or marks: left out unless she ticks it."""
MOST_NOTES = 5


def field_words(field: CoachField) -> str:
    """A field as it is offered."""
    return {
        "lessons": _("How many lessons, of when"),
        "mini lesson": _("Mini lesson, planned and actual"),
        "groups": _("When groups started"),
        "talk": _("Share of my talk"),
        "thing": _("My notes: one thing tomorrow"),
        "reasons": _("My notes: reasons"),
    }[field]


def reason_words(reason: str) -> str:
    """Why a phase took its time."""
    return {
        "needed": _("children needed it"),
        "talked": _("I talked on"),
        "questions": _("many questions"),
        "settling": _("settling down"),
        "visitor": _("a visitor or a call"),
        "materials": _("materials"),
        "late": _("started late"),
    }.get(reason, reason)


def coach_lines(days: Sequence[Day], choice: LessonChoice, fields: Sequence[CoachField]) -> list[str]:
    """A line or more for each chosen field, in the order in which they are offered."""
    shown = choice.days(days)
    if not shown:
        return [_("No lessons are chosen.")]
    makers = {
        "lessons": _lessons,
        "mini lesson": _mini_lesson,
        "groups": _groups,
        "talk": _talk,
        "thing": _things,
        "reasons": _reasons,
    }
    return [line for field in FIELDS if field in fields for line in makers[field](shown)]


def _lessons(days: Sequence[Day]) -> list[str]:
    words = ngettext("{n} lesson, {first}", "{n} lessons, {first} to {last}", len(days))
    return [words.format(n=len(days), first=date_words(days[0].date), last=date_words(days[-1].date))]


def _mini_lesson(days: Sequence[Day]) -> list[str]:
    """The figures of the picture that may stand beside this line: pauses are part of what it took."""
    times = where_time(days)
    if not times.rows:
        return []
    planned, actual = (format_duration(sum(times.seconds(which))) for which in ("planned", "actual"))
    return [_("Mini lesson: {actual} of {planned} planned, on average", actual=actual, planned=planned)]


def _groups(days: Sequence[Day]) -> list[str]:
    late = [Fraction(day.group_late_s) for day in days if day.group_late_s is not None]
    if not late:
        return [_("Groups did not start in these lessons.")]
    words = ngettext(
        "Groups against the plan: {time} ({n} lesson)",
        "Groups against the plan: {time} at the median ({n} lessons)",
        len(late),
    )
    return [words.format(time=over_words(half_up(median(late))) or "0:00", n=len(late))]


def _talk(days: Sequence[Day]) -> list[str]:
    """The median of the lessons' shares, as the picture of talk has it."""
    shares = talk_shares(days)
    if not shares.days:
        return []
    words = ngettext(
        "Teacher talk: {share} of the mini lesson ({n} lesson)",
        "Teacher talk: {share} of the mini lesson at the median ({n} lessons)",
        len(shares.days),
    )
    return [words.format(share=range_words(shares.low, shares.high), n=len(shares.days))]


def _things(days: Sequence[Day]) -> list[str]:
    noted = [day for day in days if day.thing]
    return [
        _("{date}, for tomorrow: {text}", date=date_words(day.date), text=day.thing)
        for day in noted[-MOST_NOTES:]
    ]


def _reasons(days: Sequence[Day]) -> list[str]:
    counts: dict[str, int] = {}
    for day in days:
        for phase in day.phases:
            if phase.reason:
                counts[phase.reason] = counts.get(phase.reason, 0) + 1
    if not counts:
        return []
    listed = ", ".join(
        f"{reason_words(reason)} {n}" for reason, n in sorted(counts.items(), key=lambda each: -each[1])
    )
    return [_("Reasons: {list}", list=listed)]
