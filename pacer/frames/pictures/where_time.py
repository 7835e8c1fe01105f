"""Where did the time go? Planned over actual of the mean lesson, every row on one scale from zero."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from pacer.frames.pictures.chart import Axis, Chart, ChartBox, ChartWords, Table
from pacer.frames.pictures.shared import FillLook, box_keys, row_axis
from pacer.frames.words.choice import choice_words
from pacer.frames.words.kinds import kind_words
from pacer.frames.words.wording import over_words
from pacer.plan.durations import format_duration
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.where_time import PAUSES, WhereTime, where_time
from pacer.text import _, ngettext

_PLANNED, _ACTUAL = (-0.36, -0.10), (-0.06, 0.34)  # where a row's two bars lie about its middle
LEAST_AXIS_MIN = 5
TICK_STEPS_MIN = (1, 2, 5, 10, 20, 30, 60)
MOST_TICKS = 11
_LOOKS: tuple[FillLook, ...] = (("second", "outline"), ("main", "filled"), ("over", "hatched"))


def chart(days: Sequence[Day], choice: LessonChoice) -> Chart:
    """The mean of the chosen lessons; of a single lesson its own phases."""
    shown = choice.days(days)
    times = where_time(shown)
    title, in_force = _("Where did the time go?"), replace(choice, kinds=())
    if not times.rows:
        missing = _("Not enough lessons yet: planned over actual appears with the first lesson.")
        return Chart("where_time", title, 0, missing, choice=choice_words(in_force, 0))
    names = _names(shown, times)
    planned, actual = times.seconds("planned"), times.seconds("actual")
    pairs = list(zip(planned, actual, strict=True))
    boxes = [box for row, pair in enumerate(pairs) for box in _boxes(row, *pair)]
    return Chart(
        name="where_time",
        title=title,
        lessons=times.lessons,
        summary=_summary(times, names, planned, actual),
        x=_x_axis(max(*planned, *actual) / 60),
        y=row_axis(_("Phase") if not times.by_kind else _("Phase kind"), names),
        boxes=tuple(boxes),
        words=tuple(
            ChartWords(max(pair) / 60, row, f" {format_duration(pair[1])}", "left")
            for row, pair in enumerate(pairs)
        ),
        keys=box_keys(boxes, _LOOKS, (_("planned"), _("actual"), _("longer than planned"))),
        table=_table(times, names, planned, actual),
        choice=choice_words(in_force, times.lessons),
    )


def _names(days: Sequence[Day], times: WhereTime) -> list[str]:
    titles = {phase.id: phase.title for day in days for phase in day.mini}
    return [
        _("pauses") if row.name == PAUSES else kind_words(row.name) if times.by_kind else titles[row.name]
        for row in times.rows
    ]


def _boxes(row: int, planned_s: int, actual_s: int) -> list[ChartBox]:
    """The plan as an outline, below it what it took, with what is over hatched."""
    within = min(planned_s, actual_s)
    parts = zip(
        ((0, planned_s), (0, within), (within, actual_s)), (_PLANNED, _ACTUAL, _ACTUAL), _LOOKS, strict=True
    )
    return [
        ChartBox(low / 60, high / 60, row + top, row + bottom, *look)
        for (low, high), (top, bottom), look in parts
        if high > low
    ]


def _x_axis(longest_min: float) -> Axis:
    """From zero, with room for the figure beside the longest bar."""
    upper = max(float(LEAST_AXIS_MIN), longest_min * 1.12)
    step = next((s for s in TICK_STEPS_MIN if upper <= s * MOST_TICKS), TICK_STEPS_MIN[-1])
    ticks = tuple((float(at), str(at)) for at in range(0, ceil(upper) + 1, step) if at <= upper)
    return Axis(_("Minutes a lesson"), 0, upper, ticks)


def _summary(times: WhereTime, names: Sequence[str], planned: Sequence[int], actual: Sequence[int]) -> str:
    whole, plan = sum(actual), sum(planned)
    if times.lessons > 1:
        begun = ngettext(
            "The mini lesson took {actual} of {planned} planned ({n} lesson).",
            "The mini lesson took {actual} of {planned} planned, on average of {n} lessons.",
            times.lessons,
        )
    else:
        begun = _("The mini lesson took {actual} of {planned} planned.")
    first = begun.format(actual=format_duration(whole), planned=format_duration(plan), n=times.lessons)
    over = [(took - budget, name) for took, budget, name in zip(actual, planned, names, strict=True)]
    most, name = max(over, key=lambda each: each[0])
    if most <= 0:
        return f"{first} {_('No phase took longer than planned.')}"
    words = _("Most of the time past the plan went to {phase}: {time}.")
    return f"{first} {words.format(phase=name, time=format_duration(most))}"


def _table(times: WhereTime, names: Sequence[str], planned: Sequence[int], actual: Sequence[int]) -> Table:
    headings = (
        _("Phase"), _("Planned (m:ss)"), _("Actual (m:ss)"), _("Over (m:ss)"), _("Share of the time (%)"),
        _("Lessons"),
    )  # fmt: skip
    rows = [
        (
            name,
            format_duration(plan),
            format_duration(took),
            over_words(took - plan),
            str(share),
            str(lessons),
        )
        for name, plan, took, share, lessons in (
            *zip(names, planned, actual, times.percents, (row.lessons for row in times.rows), strict=True),
            (_("all"), sum(planned), sum(actual), sum(times.percents), times.lessons),
        )
    ]
    return Table(headings, tuple(rows), right=(1, 2, 3, 4, 5))
