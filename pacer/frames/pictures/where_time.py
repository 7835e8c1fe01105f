"""Where did the time go? Planned over actual of the mean lesson, every row on one scale from zero."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from pacer.frames.pictures.chart import Axis, Box, Chart, Key, Table, Words
from pacer.frames.words.choice import choice_words
from pacer.frames.words.kinds import kind_words
from pacer.frames.words.wording import over_words
from pacer.plan.durations import format_duration
from pacer.review.choice import Choice
from pacer.review.days import Day
from pacer.review.questions.where_time import PAUSES, WhereTime, where_time
from pacer.text import _, ngettext

_PLANNED, _ACTUAL = (-0.36, -0.10), (-0.06, 0.34)  # where a row's two bars lie about its middle
LEAST_AXIS_MIN = 5
TICK_STEPS_MIN = (1, 2, 5, 10, 20, 30, 60)
MOST_TICKS = 11
_KEY_OF = Box(0, 1, 0, 1)


def chart(days: Sequence[Day], choice: Choice) -> Chart:
    """The mean of the chosen lessons; of a single lesson its own phases."""
    shown = choice.days(days)
    found = where_time(shown)
    in_force = replace(choice, kinds=())
    if not found.rows:
        return _empty(in_force)
    names = _names(shown, found)
    planned, actual = found.seconds("planned"), found.seconds("actual")
    boxes = [box for row, pair in enumerate(zip(planned, actual, strict=True)) for box in _boxes(row, *pair)]
    longest = max(*planned, *actual)
    words = tuple(
        Words(max(plan, took) / 60, row, f" {format_duration(took)}", "left")
        for row, (plan, took) in enumerate(zip(planned, actual, strict=True))
    )
    return Chart(
        name="where_time",
        title=_title(),
        lessons=found.lessons,
        summary=_summary(found, names, planned, actual),
        x=_x_axis(longest / 60),
        y=Axis(
            _("Phase") if not found.by_kind else _("Phase kind"),
            -0.5,
            len(found.rows) - 0.5,
            tuple((float(row), name) for row, name in enumerate(names)),
            upside_down=True,
        ),
        boxes=tuple(boxes),
        words=words,
        keys=_keys(boxes),
        table=_table(found, names, planned, actual),
        choice=choice_words(in_force, found.lessons),
    )


def _title() -> str:
    return _("Where did the time go?")


def _empty(choice: Choice) -> Chart:
    return Chart(
        name="where_time",
        title=_title(),
        lessons=0,
        summary=_("Not enough lessons yet: planned over actual appears with the first lesson."),
        x=_x_axis(0),
        y=Axis(_("Phase"), 0, 1),
        choice=choice_words(choice, 0),
    )


def _names(days: Sequence[Day], found: WhereTime) -> list[str]:
    titles = {phase.id: phase.title for day in days for phase in day.mini}
    return [
        _("pauses") if row.name == PAUSES else kind_words(row.name) if found.by_kind else titles[row.name]
        for row in found.rows
    ]


def _boxes(row: int, planned_s: int, actual_s: int) -> list[Box]:
    """The plan as an outline, below it what it took, with what is over hatched."""
    made = []
    if planned_s:
        made.append(Box(0, planned_s / 60, row + _PLANNED[0], row + _PLANNED[1], "second", "outline"))
    within = min(planned_s, actual_s)
    if within:
        made.append(Box(0, within / 60, row + _ACTUAL[0], row + _ACTUAL[1], "main"))
    if actual_s > planned_s:
        made.append(Box(planned_s / 60, actual_s / 60, row + _ACTUAL[0], row + _ACTUAL[1], "over", "hatched"))
    return made


def _keys(boxes: Sequence[Box]) -> tuple[Key, ...]:
    listed = (
        (replace(_KEY_OF, tone="second", pattern="outline"), _("planned")),
        (_KEY_OF, _("actual")),
        (replace(_KEY_OF, tone="over", pattern="hatched"), _("longer than planned")),
    )
    used = {(box.tone, box.pattern) for box in boxes}
    return tuple(Key(box, text) for box, text in listed if (box.tone, box.pattern) in used)


def _x_axis(longest_min: float) -> Axis:
    """From zero, with room for the figure beside the longest bar."""
    upper = max(float(LEAST_AXIS_MIN), longest_min * 1.12)
    step = next((s for s in TICK_STEPS_MIN if upper <= s * MOST_TICKS), TICK_STEPS_MIN[-1])
    ticks = tuple((float(at), str(at)) for at in range(0, ceil(upper) + 1, step) if at <= upper)
    return Axis(_("Minutes a lesson"), 0, upper, ticks)


def _summary(found: WhereTime, names: Sequence[str], planned: Sequence[int], actual: Sequence[int]) -> str:
    whole, plan = sum(actual), sum(planned)
    if found.lessons > 1:
        begun = ngettext(
            "The mini lesson took {actual} of {planned} planned ({n} lesson).",
            "The mini lesson took {actual} of {planned} planned, on average of {n} lessons.",
            found.lessons,
        )
    else:
        begun = _("The mini lesson took {actual} of {planned} planned.")
    first = begun.format(actual=format_duration(whole), planned=format_duration(plan), n=found.lessons)
    over = [(took - budget, name) for took, budget, name in zip(actual, planned, names, strict=True)]
    most, name = max(over, key=lambda each: each[0])
    if most <= 0:
        return f"{first} {_('No phase took longer than planned.')}"
    words = _("Most of the time past the plan went to {phase}: {time}.")
    return f"{first} {words.format(phase=name, time=format_duration(most))}"


def _table(found: WhereTime, names: Sequence[str], planned: Sequence[int], actual: Sequence[int]) -> Table:
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
            str(row.lessons),
        )
        for row, name, plan, took, share in zip(
            found.rows, names, planned, actual, found.percents, strict=True
        )
    ]
    rows.append(
        (
            _("all"),
            format_duration(sum(planned)),
            format_duration(sum(actual)),
            over_words(sum(actual) - sum(planned)),
            str(sum(found.percents)),
            str(found.lessons),
        )
    )
    return Table(headings, tuple(rows), right=(1, 2, 3, 4, 5))
