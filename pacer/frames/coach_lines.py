"""The lines of a coach copy: what the teacher chose to show of her lessons, and nothing else."""

from collections.abc import Sequence
from statistics import median
from typing import Literal

from pacer.frames.choice_words import date_words
from pacer.frames.wording import over_words
from pacer.plan.durations import format_duration
from pacer.review.choice import Choice
from pacer.review.days import Day
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


def coach_lines(days: Sequence[Day], choice: Choice, fields: Sequence[CoachField]) -> list[str]:
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
    planned = sum(phase.planned_s for day in days for phase in day.mini)
    actual = sum(phase.actual_s for day in days for phase in day.mini)
    words = _("Mini lesson: {actual} of {planned} planned, on average")
    count = len(days)
    return [
        words.format(
            actual=format_duration(round(actual / count)), planned=format_duration(round(planned / count))
        )
    ]


def _groups(days: Sequence[Day]) -> list[str]:
    late = [day.group_late_s for day in days if day.group_late_s is not None]
    if not late:
        return [_("Groups did not start in these lessons.")]
    words = ngettext(
        "Groups against the plan: {time} ({n} lesson)",
        "Groups against the plan: {time} at the median ({n} lessons)",
        len(late),
    )
    return [words.format(time=over_words(round(median(late))) or "0:00", n=len(late))]


def _talk(days: Sequence[Day]) -> list[str]:
    teacher = sum(day.talk.teacher_ms for day in days)
    unmarked = sum(day.talk.unmarked_ms for day in days)
    total = sum(day.talk.total_ms for day in days)
    if not total:
        return []
    low, high = (round(100 * part / total) for part in (teacher, teacher + unmarked))
    return [_("Teacher talk: {low} % to {high} % of the mini lesson").format(low=low, high=high)]


def _things(days: Sequence[Day]) -> list[str]:
    said = [day for day in days if day.thing]
    return [
        _("{date}, for tomorrow: {text}").format(date=date_words(day.date), text=day.thing)
        for day in said[-MOST_NOTES:]
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
    return [_("Reasons: {list}").format(list=listed)]
