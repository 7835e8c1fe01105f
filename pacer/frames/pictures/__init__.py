"""The pictures of Look back, a question each: numbers of review/ turned into charts with their words."""

from collections.abc import Callable, Sequence
from importlib import import_module
from typing import cast

from pacer.frames.pictures.chart import Chart
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.text import _

ChartOf = Callable[[Sequence[Day], LessonChoice], Chart]

QUESTIONS = (
    "where_time", "late_steps", "over_usually", "how_long", "lost_minutes", "groups_met",
    "talk_share", "review_kept", "improving", "not_taught", "odds_truth",
)  # fmt: skip


def short_title(name: str) -> str:
    """A question in a few words, for lists."""
    return {
        "where_time": _("Where the time went"),
        "late_steps": _("Why groups started late"),
        "over_usually": _("What runs over"),
        "how_long": _("How long it takes"),
        "lost_minutes": _("Who lost minutes"),
        "groups_met": _("Groups met each day"),
        "talk_share": _("How much I talked"),
        "review_kept": _("Review kept small"),
        "improving": _("Is it improving"),
        "not_taught": _("What was not taught"),
        "odds_truth": _("Were the odds right"),
        "week": _("A week"),
        "unit": _("A unit"),
        "rehearsal": _("Rehearsal and live"),
        "warnings": _("Warnings on and off"),
    }[name]


def chart(name: str, days: Sequence[Day], choice: LessonChoice) -> Chart:
    """One of the questions' pictures. Each is imported when it is first wanted."""
    module = import_module(f"pacer.frames.pictures.{name}")
    return cast(ChartOf, module.chart)(days, choice)


def all_charts(days: Sequence[Day], choice: LessonChoice) -> list[Chart]:
    """All of them, in the order of the questions."""
    return [chart(name, days, choice) for name in QUESTIONS]
