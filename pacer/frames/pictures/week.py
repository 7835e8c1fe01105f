"""How did this week go? A row per school day: mini lesson, the groups' start and minutes, reviewing."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import starmap
from math import ceil, floor

from pacer.frames.pictures.chart import Axis, Chart, ChartBox, ChartLine, LegendKey, Table
from pacer.frames.pictures.day_ticks import weekday_date
from pacer.frames.pictures.shared import FillLook, box_keys, late_words, range_words, row_axis
from pacer.frames.words.choice import choice_words, date_words
from pacer.frames.words.wording import over_words
from pacer.plan.durations import format_duration
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.weeks import TaughtWeek, WeekLesson, week_of
from pacer.review.statistics.rounding import percent
from pacer.text import _, ngettext

_PARTS: dict[str, FillLook] = {
    "mini": ("main", "filled"),
    "over": ("over", "hatched"),
    "late": ("second", "filled"),
    "early": ("second", "outline"),
    "lost": ("quiet", "hatched"),
    "review": ("second", "dotted"),
}
# Where the bars of a row lie about its middle: mini lesson, groups' start, groups' minutes, reviewing.
ROW_LINES = 3.0  # of type, so that the four bars of a day stand apart
_LANES = {"mini": (-0.40, -0.20), "late": (-0.16, 0.02), "lost": (0.06, 0.20), "review": (0.24, 0.40)}
_PLAN = ChartLine(((0, 0), (0, 1)), "solid", "over")


def chart(days: Sequence[Day], choice: LessonChoice, monday: str = "") -> Chart:
    """The picture of the week of an ISO date; the latest week that has lessons where it is empty."""
    week = week_of(days, choice, monday)
    title, in_force = _("How did this week go?"), replace(choice, kinds=())
    if week is None or not week.lessons:
        missing = _("Not enough lessons yet: one lesson on a Monday to Friday is needed.")
        if week is not None:
            missing = _("No lesson was chosen in the {week}.", week=_week_words(week))
        return Chart("week", title, 0, missing, choice=choice_words(in_force, 0))
    rows = _rows(week)
    taught = [(at, lesson) for at, (_day, lesson) in enumerate(rows) if lesson is not None]
    boxes = tuple(box for at, lesson in taught for box in _boxes(lesson, at))
    lines = tuple(line for at, lesson in taught for line in _lines(lesson, at))
    count = len(week.lessons)
    return Chart(
        name="week",
        title=title,
        lessons=count,
        summary=_summary(week),
        x=_x_axis(boxes, lines),
        y=row_axis(_("Day; teacher talk in % of the mini lesson"), starmap(_row_words, rows)),
        boxes=boxes,
        lines=lines,
        keys=_keys(boxes),
        table=_table(week),
        choice=f"{choice_words(in_force, count)} · {_week_words(week)}",
        row_lines=ROW_LINES,
    )


def _week_words(week: TaughtWeek) -> str:
    return _("week of {date}", date=date_words(week.monday))


def _rows(week: TaughtWeek) -> list[tuple[str, WeekLesson | None]]:
    """A row for each lesson, and one for each school day that had none."""
    rows: list[tuple[str, WeekLesson | None]] = []
    for day in week.dates:
        own = [lesson for lesson in week.lessons if lesson.date == day]
        rows += [(day, lesson) for lesson in own] or [(day, None)]
    return rows


def _row_words(day: str, lesson: WeekLesson | None) -> str:
    words = weekday_date(day)
    if lesson is None:
        return _("{day}: no lesson", day=words)
    return _("{day}: {share}", day=words, share=talk_words(lesson)) if talk_words(lesson) else words


def talk_words(lesson: WeekLesson) -> str:
    """The share of teacher talk: ``44 % to 56 %``; empty where there was no mini lesson."""
    if lesson.talk_low is None or lesson.talk_high is None:
        return ""
    return range_words(lesson.talk_low, lesson.talk_high)


def _boxes(lesson: WeekLesson, at: int) -> list[ChartBox]:
    """The bars of a lesson, each from zero, in minutes."""
    late = lesson.group_late_s or 0
    parts = [
        ("mini", "mini", 0, lesson.actual_s - lesson.over_s),
        ("over", "mini", lesson.planned_s, lesson.planned_s + lesson.over_s),
        ("late" if late > 0 else "early", "late", min(0, late), max(0, late)),
        ("lost", "lost", 0, lesson.lost_s or 0),
        ("review", "review", 0, lesson.review_s - lesson.review_over_s),
        ("over", "review", lesson.review_cap_s, lesson.review_cap_s + lesson.review_over_s),
    ]
    open_lane = "mini" if lesson.cut_off else ""
    boxes = []
    for kind, lane, low, high in parts:
        if high > low:
            top, bottom = _LANES[lane]
            last = lane == open_lane and high == lesson.actual_s
            boxes.append(ChartBox(low / 60, high / 60, at + top, at + bottom, *_PARTS[kind], open_end=last))
    return boxes


def _lines(lesson: WeekLesson, at: int) -> list[ChartLine]:
    """Where the plan of the mini lesson and the cap of reviewing lie."""
    marks = (("mini", lesson.planned_s), ("review", lesson.review_cap_s))
    return [
        replace(_PLAN, points=((s / 60, at + _LANES[lane][0] - 0.03), (s / 60, at + _LANES[lane][1] + 0.03)))
        for lane, s in marks
    ]


def _x_axis(boxes: Sequence[ChartBox], lines: Sequence[ChartLine]) -> Axis:
    ends = [box.x1 for box in boxes] + [x for line in lines for x, _y in line.points]
    return Axis(
        _("Minutes (below 0: groups started early)"),
        min([0, *(floor(box.x0) for box in boxes)]),
        max([5, ceil(max(ends, default=0) * 1.04)]),
    )


def _keys(boxes: Sequence[ChartBox]) -> tuple[LegendKey, ...]:
    texts = (
        _("mini lesson"), _("beyond its plan or cap"), _("groups started late by"),
        _("groups started early by"), _("all groups together lost at the table"), _("warm-up and review"),
    )  # fmt: skip
    return (
        *box_keys(boxes, _PARTS.values(), texts),
        LegendKey(_PLAN, _("plan of the mini lesson, cap of reviewing")),
    )


def _summary(week: TaughtWeek) -> str:
    count = len(week.lessons)
    head = ngettext("{week}, {n} lesson", "{week}, {n} lessons", count).format(
        week=_("Week of {date}", date=date_words(week.monday)), n=count
    )
    if not week.late:
        first = _("{head}: groups never started.", head=head)
    else:
        late = late_words(week.mean_late_s)
        if len(week.late) == count:
            words = _("{head}: groups started {late} on average and lost {lost} at the table.")
        else:
            words = _(
                "{head}: groups started {late} on average where they did ({started} of {n}) "
                "and lost {lost} at the table."
            )
        first = words.format(
            head=head, late=late, lost=format_duration(week.lost_s), started=len(week.late), n=count
        )
    if week.unmet:
        first = _("{first} Not met this week: {groups}.", first=first, groups=", ".join(week.unmet))
    note = week.lessons[-1].tomorrow_note
    return first + (" " + _("For the next lesson: {thing}", thing=note) if note else "")


def _table(week: TaughtWeek) -> Table:
    headings = (
        _("Date"), _("Lesson"), _("Mini lesson planned (m:ss)"), _("Actual (m:ss)"), _("Over (m:ss)"),
        _("Groups late (m:ss)"), _("Groups lost (m:ss)"), _("Talk at least (%)"), _("Talk at most (%)"),
        _("Reviewing (m:ss)"), _("Cap (m:ss)"), _("Beyond the cap (m:ss)"), _("One thing for tomorrow"),
        _("Next lesson after it"),
    )  # fmt: skip
    return Table(headings, tuple(_row(lesson) for lesson in week.lessons), tuple(range(2, 12)))


def _row(lesson: WeekLesson) -> tuple[str, ...]:
    after = date_words(lesson.next_date) if lesson.next_date else _("not yet")
    return (
        date_words(lesson.date), lesson.title, format_duration(lesson.planned_s),
        ("≥ " if lesson.cut_off else "") + format_duration(lesson.actual_s), format_duration(lesson.over_s),
        over_words(lesson.group_late_s), "" if lesson.lost_s is None else format_duration(lesson.lost_s),
        "" if lesson.talk_low is None else str(percent(lesson.talk_low)),
        "" if lesson.talk_high is None else str(percent(lesson.talk_high)),
        format_duration(lesson.review_s), format_duration(lesson.review_cap_s),
        format_duration(lesson.review_over_s), lesson.tomorrow_note, after if lesson.tomorrow_note else "",
    )  # fmt: skip
