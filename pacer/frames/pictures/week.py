"""How did this week go? A row per school day: mini lesson, the groups' start and minutes, reviewing."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction
from math import ceil, floor

from pacer.frames.pictures.chart import Axis, Box, Chart, Key, Line, Pattern, Table, Tone
from pacer.frames.pictures.day_ticks import short_date
from pacer.frames.words.choice import choice_words, date_words
from pacer.frames.words.wording import over_words
from pacer.plan.durations import format_duration
from pacer.review.choice import Choice
from pacer.review.days import Day
from pacer.review.questions.talk_share import percent
from pacer.review.questions.weeks import Week, WeekLesson, week_of
from pacer.text import _, ngettext

_PARTS: dict[str, tuple[Tone, Pattern]] = {
    "mini": ("main", "filled"),
    "over": ("over", "hatched"),
    "late": ("second", "filled"),
    "early": ("second", "outline"),
    "lost": ("quiet", "hatched"),
    "review": ("second", "dotted"),
}
# Where the bars of a row lie about its middle: mini lesson, groups' start, groups' minutes, reviewing.
_LANES = {"mini": (-0.40, -0.20), "late": (-0.16, 0.02), "lost": (0.06, 0.20), "review": (0.24, 0.40)}
_PLAN = Line(((0, 0), (0, 1)), "solid", "over")


def chart(days: Sequence[Day], choice: Choice, monday: str = "") -> Chart:
    """The picture of the week of an ISO date; the latest week that has lessons where it is empty."""
    week = week_of(days, choice, monday)
    in_force = replace(choice, kinds=())
    if week is None or not week.lessons:
        return _empty(in_force, week)
    rows = _rows(week)
    boxes: list[Box] = []
    lines: list[Line] = []
    used: set[str] = set()
    for at, (_day, lesson) in enumerate(rows):
        if lesson is not None:
            for kind, box in _boxes(lesson, at):
                boxes.append(box)
                used.add(kind)
            lines += _lines(lesson, at)
    count = len(week.lessons)
    return Chart(
        name="week",
        title=_title(),
        lessons=count,
        summary=_summary(week),
        x=_x_axis(boxes, lines),
        y=Axis(
            _("Day; teacher talk in % of the mini lesson"),
            -0.5,
            len(rows) - 0.5,
            tuple((float(at), _row_words(day, lesson)) for at, (day, lesson) in enumerate(rows)),
            upside_down=True,
        ),
        boxes=tuple(boxes),
        lines=tuple(lines),
        keys=_keys(used),
        table=_table(week),
        choice=f"{choice_words(in_force, count)} · {_week_words(week)}",
    )


def _title() -> str:
    return _("How did this week go?")


def _week_words(week: Week) -> str:
    return _("week of {date}").format(date=date_words(week.monday))


def _empty(choice: Choice, week: Week | None) -> Chart:
    if week is None:
        summary = _("Not enough lessons yet: one lesson on a Monday to Friday is needed.")
    else:
        summary = _("No lesson was chosen in the {week}.").format(week=_week_words(week))
    return Chart(
        name="week",
        title=_title(),
        lessons=0,
        summary=summary,
        x=Axis(_("Minutes"), 0, 30),
        y=Axis(_("Day; teacher talk in % of the mini lesson"), -0.5, 4.5, (), upside_down=True),
        choice=choice_words(choice, 0),
    )


def _rows(week: Week) -> list[tuple[str, WeekLesson | None]]:
    """A row for each lesson, and one for each school day that had none."""
    rows: list[tuple[str, WeekLesson | None]] = []
    for day in week.dates:
        own = [one for one in week.lessons if one.date == day]
        rows += [(day, one) for one in own] or [(day, None)]
    return rows


def _row_words(day: str, lesson: WeekLesson | None) -> str:
    words = _("{weekday} {date}").format(weekday=_weekday(day), date=short_date(date.fromisoformat(day)))
    if lesson is None:
        return _("{day}: no lesson").format(day=words)
    return _("{day}: {share}").format(day=words, share=talk_words(lesson)) if talk_words(lesson) else words


def _weekday(iso: str) -> str:
    names = (_("Mon"), _("Tue"), _("Wed"), _("Thu"), _("Fri"), _("Sat"), _("Sun"))
    return names[date.fromisoformat(iso).weekday()]


def talk_words(lesson: WeekLesson) -> str:
    """The share of teacher talk: ``44 % to 56 %``; empty where there was no mini lesson."""
    if lesson.talk_low is None or lesson.talk_high is None:
        return ""
    low, high = percent(lesson.talk_low), percent(lesson.talk_high)
    if low == high:
        return _("{n} %").format(n=low)
    return _("{low} % to {high} %").format(low=low, high=high)


def _boxes(lesson: WeekLesson, at: int) -> list[tuple[str, Box]]:
    """The bars of a lesson, each from zero, as (part, box); minutes."""
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
    found = []
    for kind, lane, low, high in parts:
        if high > low:
            top, bottom = _LANES[lane]
            last = lane == open_lane and high == lesson.actual_s
            found.append(
                (kind, Box(low / 60, high / 60, at + top, at + bottom, *_PARTS[kind], open_end=last))
            )
    return found


def _lines(lesson: WeekLesson, at: int) -> list[Line]:
    """Where the plan of the mini lesson and the cap of reviewing lie."""
    marks = (("mini", lesson.planned_s), ("review", lesson.review_cap_s))
    return [
        replace(_PLAN, points=((s / 60, at + _LANES[lane][0] - 0.03), (s / 60, at + _LANES[lane][1] + 0.03)))
        for lane, s in marks
    ]


def _x_axis(boxes: Sequence[Box], lines: Sequence[Line]) -> Axis:
    ends = [box.x1 for box in boxes] + [x for line in lines for x, _y in line.points]
    return Axis(
        _("Minutes (below 0: groups started early)"),
        min([0, *(floor(box.x0) for box in boxes)]),
        max([5, ceil(max(ends, default=0) * 1.04)]),
    )


def _keys(used: set[str]) -> tuple[Key, ...]:
    texts = {
        "mini": _("mini lesson"),
        "over": _("beyond its plan or cap"),
        "late": _("groups started late by"),
        "early": _("groups started early by"),
        "lost": _("all groups together lost at the table"),
        "review": _("warm-up and review"),
    }
    parts = [Key(Box(0, 1, 0, 1, *_PARTS[kind]), texts[kind]) for kind in _PARTS if kind in used]
    return (*parts, Key(_PLAN, _("plan of the mini lesson, cap of reviewing")))


def rounded(seconds: Fraction) -> int:
    """The nearest whole second, a half rounded up."""
    return floor(seconds + Fraction(1, 2))


def late_words(seconds: int) -> str:
    """How late groups started: ``2:10 late``, ``0:30 early``, ``on time``."""
    if not seconds:
        return _("on time")
    words = _("{time} late") if seconds > 0 else _("{time} early")
    return words.format(time=format_duration(abs(seconds)))


def _summary(week: Week) -> str:
    count = len(week.lessons)
    head = ngettext("{week}, {n} lesson", "{week}, {n} lessons", count).format(
        week=_("Week of {date}").format(date=date_words(week.monday)), n=count
    )
    if not week.late:
        first = _("{head}: groups never started.").format(head=head)
    else:
        late = late_words(rounded(week.mean_late_s))
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
    thing = week.lessons[-1].thing
    return first + (" " + _("For the next lesson: {thing}").format(thing=thing) if thing else "")


def _table(week: Week) -> Table:
    headings = (
        _("Date"), _("Lesson"), _("Mini lesson planned (m:ss)"), _("Actual (m:ss)"), _("Over (m:ss)"),
        _("Groups late (m:ss)"), _("Groups lost (m:ss)"), _("Talk at least (%)"), _("Talk at most (%)"),
        _("Reviewing (m:ss)"), _("Cap (m:ss)"), _("Beyond the cap (m:ss)"), _("One thing for tomorrow"),
        _("Next lesson after it"),
    )  # fmt: skip
    return Table(headings, tuple(_row(one) for one in week.lessons), tuple(range(2, 12)))


def _row(one: WeekLesson) -> tuple[str, ...]:
    after = date_words(one.next_date) if one.next_date else _("not yet")
    return (
        date_words(one.date), one.title, format_duration(one.planned_s),
        ("≥ " if one.cut_off else "") + format_duration(one.actual_s), format_duration(one.over_s),
        over_words(one.group_late_s), "" if one.lost_s is None else format_duration(one.lost_s),
        "" if one.talk_low is None else str(percent(one.talk_low)),
        "" if one.talk_high is None else str(percent(one.talk_high)),
        format_duration(one.review_s), format_duration(one.review_cap_s), format_duration(one.review_over_s),
        one.thing, after if one.thing else "",
    )  # fmt: skip
