"""Was reviewing kept small? A bar per lesson, warm-up and review on each other, against their cap."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from pacer.frames.pictures.chart import Axis, Chart, ChartBox, ChartLine, LegendKey, Table
from pacer.frames.pictures.shared import LEAST_LESSONS, FillLook, box_keys, lesson_axis, too_few_words
from pacer.frames.words.choice import choice_words, date_words
from pacer.plan.durations import format_duration
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.review_kept import KeptDay, ReviewKept, review_kept
from pacer.review.statistics.rounding import half_up
from pacer.text import _, ngettext

LEAST_BARS = 5  # so many lessons are left room for
LEAST_AXIS_MIN = 6
HALF = 0.38  # of a lesson's place: half the width of its bar
_PARTS: tuple[FillLook, ...] = (("main", "filled"), ("second", "dotted"), ("over", "hatched"))


def chart(days: Sequence[Day], choice: LessonChoice) -> Chart:
    """The reviewing of the lessons that are shown; kinds of phases don't matter to it."""
    reviewing = review_kept(choice.days(days))
    count = len(reviewing.days)
    boxes = _boxes(reviewing.days)
    cap = _cap_line(reviewing.days)
    upper = max([LEAST_AXIS_MIN, *(ceil(max(day.whole_s, day.cap_s) / 60 + 0.25) for day in reviewing.days)])
    return Chart(
        name="review_kept",
        title=_("Was reviewing kept small?"),
        lessons=count,
        summary=_summary(reviewing),
        x=lesson_axis([day.date for day in reviewing.days], LEAST_BARS),
        y=Axis(_("Minutes of reviewing"), 0, upper),
        boxes=boxes,
        lines=(cap,) if count else (),
        keys=_keys(boxes, cap) if count else (),
        table=_table(reviewing),
        choice=choice_words(replace(choice, kinds=()), count),
    )  # fmt: skip


def _boxes(days: Sequence[KeptDay]) -> tuple[ChartBox, ...]:
    """The parts of each lesson from 0 up; what is over stands on the cap."""
    boxes = []
    for at, day in enumerate(days):
        foot = 0
        for seconds, look in zip(day.parts, _PARTS, strict=True):
            if seconds:
                boxes.append(ChartBox(at - HALF, at + HALF, foot / 60, (foot + seconds) / 60, *look))
                foot += seconds
    return tuple(boxes)


def _cap_line(days: Sequence[KeptDay]) -> ChartLine:
    """The cap from lesson to lesson: a step where it changes."""
    points, last = [], None
    for at, day in enumerate(days):
        if day.cap_s != last:
            points.append((at - 0.5, day.cap_s / 60))
            last = day.cap_s
    if days:
        points.append((len(days) - 0.5, days[-1].cap_s / 60))
    return ChartLine(tuple(points), "dashed", "main", steps=True)


def _keys(boxes: Sequence[ChartBox], cap: ChartLine) -> tuple[LegendKey, ...]:
    texts = (_("warm-up"), _("review, and what else shares the cap"), _("over the cap"))
    caps = {y for _x, y in cap.points}
    cap_words = _("cap, {time}", time=format_duration(round(min(caps) * 60))) if len(caps) == 1 else _("cap")
    return (*box_keys(boxes, _PARTS, texts), LegendKey(cap, cap_words))


def _summary(reviewing: ReviewKept) -> str:
    count = len(reviewing.days)
    if not count:
        return _("Not enough lessons yet: one lesson with a warm-up or a review is needed.")
    first = ngettext(
        "Reviewing stayed within its cap in {within} of {n} lesson.",
        "Reviewing stayed within its cap in {within} of {n} lessons.",
        count,
    ).format(within=reviewing.within, n=count)
    return f"{first} {_over_words(reviewing)}".strip()


def _over_words(reviewing: ReviewKept) -> str:
    count, over = len(reviewing.days), reviewing.median_over_s
    if count < LEAST_LESSONS:
        return too_few_words(count)
    if over is None:
        return ""
    return ngettext(
        "In the {n} that went over it was {time} more.",
        "In the {n} that went over it was {time} more at the median.",
        count - reviewing.within,
    ).format(n=count - reviewing.within, time=format_duration(half_up(over)))


def _table(reviewing: ReviewKept) -> Table:
    """Every lesson, the newest first, then the median of what was over."""
    headings = (
        _("Date"), _("Lesson"), _("Warm-up (m:ss)"), _("Review and the like (m:ss)"), _("Together (m:ss)"),
        _("Cap (m:ss)"), _("Over the cap (m:ss)"),
    )  # fmt: skip
    rows = [
        (date_words(day.date), day.title, *map(format_duration, seconds))
        for day in reviewing.days[::-1]
        for seconds in [(day.warm_up_s, day.review_s, day.whole_s, day.cap_s, day.over_s)]
    ]
    over = reviewing.median_over_s
    if len(reviewing.days) >= LEAST_LESSONS and over is not None:
        name = _("Median of those over")
        rows.append((name, "", "", "", "", "", format_duration(half_up(over))))
    return Table(headings, tuple(rows), tuple(range(2, 7)))
