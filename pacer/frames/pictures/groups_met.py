"""Which groups did I meet? Groups by days: what was met of what was planned, and what each group is owed."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from pacer.frames.pictures.chart import (
    Axis,
    AxisSpan,
    Chart,
    ChartBox,
    ChartLine,
    ChartWords,
    Dots,
    LegendKey,
    Table,
)
from pacer.frames.pictures.day_ticks import short_date, short_weekdays, weekday_date
from pacer.frames.pictures.lost_minutes import owed_words, timed_words
from pacer.frames.pictures.shared import FillLook, box_keys, row_axis
from pacer.frames.words.choice import choice_words, date_words
from pacer.frames.words.wording import lessons_words
from pacer.plan.durations import format_duration
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.groups_met import GroupsMet, MetCell, MetDay, MetWeek, groups_met
from pacer.review.questions.lost_minutes import GroupSum
from pacer.text import _, counted

MOST_WEEKS = 5  # so many are drawn side by side; the table has all
WHOLE_FIGURES = 7  # up to so many days, figures are to the second
HALF = 0.43  # of a day: half the width of the longest bar
BAR = (0.14, 0.42)  # where a row's bars lie below its middle
FIGURE = -0.17  # and its figures above it
ROW_LINES = 1.6  # of type, so that bars and figures stand apart
OWED_SHARE = 0.1  # of the width, at least a day's, for what is owed
_PARTS: dict[str, FillLook] = {
    "planned": ("quiet", "outline"),
    "met": ("main", "filled"),
    "about": ("main", "dotted"),
    "more": ("second", "hatched"),
    "missed": ("over", "crossed"),
}


def chart(days: Sequence[Day], choice: LessonChoice, monday: str | None = None) -> Chart:
    """The picture of all chosen lessons; or of the week of an ISO date, the latest where that is empty."""
    met, in_force = groups_met(days, choice, monday), replace(choice, kinds=())
    title = _("Which groups did I meet?")
    if not met.groups:
        missing = _(
            "Not enough lessons yet: one lesson with small groups, that went as far as the groups, is needed."
        )
        if monday and met.weeks:
            missing = _("No group was due in the week of {date}.", date=date_words(met.weeks[0].monday))
        return Chart("groups_met", title, met.lessons, missing, choice=choice_words(in_force, met.lessons))
    shown = met.last_days(MOST_WEEKS)
    most_s = max(max(cell.planned_s, cell.met_s) for day in shown for cell in day.cells.values())
    boxes, dots, spans = _boxes(met, shown, most_s), _dots(met, shown), _spans(shown)
    owed_at = len(shown) - 0.5 + _owed_room(shown) / 2
    where = choice_words(in_force, met.lessons)
    if monday is not None:
        where = _("{choice} · week of {date}", choice=where, date=date_words(met.weeks[0].monday))
    return Chart(
        name="groups_met",
        title=title,
        lessons=met.lessons,
        summary=_summary(met, one_week=monday is not None),
        x=_x_axis(shown, owed_at),
        y=row_axis(_y_words(shown), (group.group for group in met.groups)),
        boxes=boxes,
        dots=dots,
        lines=_lines(shown, len(met.groups)),
        spans=spans,
        words=(*_owed(met.groups, owed_at), *_off_words(shown, len(met.groups)), *_figures(met, shown)),
        keys=_keys(boxes, dots, spans),
        table=_table(met),
        choice=where,
        row_lines=ROW_LINES,
    )


def _owed_room(shown: Sequence[MetDay]) -> float:
    """How many days' width what is owed takes at the end of the rows."""
    return max(1.0, len(shown) * OWED_SHARE)


def _y_words(shown: Sequence[MetDay]) -> str:
    if len(shown) <= WHOLE_FIGURES:
        return _("Group; time at the table, within the outline of what was planned")
    return _("Group; minutes at the table, within the outline of what was planned")


def _x_axis(shown: Sequence[MetDay], owed_at: float) -> Axis:
    """Every day of a week by its name, of several weeks their first days; then what is owed."""
    few = len(shown) <= WHOLE_FIGURES
    ticks = [
        (float(at), weekday_date(day.date) if few else short_date(date.fromisoformat(day.date)))
        for at, day in enumerate(shown)
        if few or not at or _begins_week(shown, at)
    ]
    upper = len(shown) - 0.5 + _owed_room(shown)
    return Axis("", -0.5, upper, (*ticks, (owed_at, _("Owed so far"))))


def _begins_week(shown: Sequence[MetDay], at: int) -> bool:
    weeks = [date.fromisoformat(day.date).isocalendar()[:2] for day in shown[at - 1 : at + 1]]
    return weeks[0] != weeks[1]


def _boxes(met: GroupsMet, shown: Sequence[MetDay], most_s: int) -> tuple[ChartBox, ...]:
    """The parts of every cell's bar, from the left; the longest is as wide as its day. Outlines lie below."""
    boxes: dict[str, list[ChartBox]] = {kind: [] for kind in _PARTS}
    for at, day in enumerate(shown):
        for row, group in enumerate(met.groups):
            for kind, low_s, high_s in _parts(day.cells.get(group.group)):
                low, high = (at - HALF + 2 * HALF * second / most_s for second in (low_s, high_s))
                boxes[kind].append(ChartBox(low, high, row + BAR[0], row + BAR[1], *_PARTS[kind]))
    return tuple(box for kind in boxes.values() for box in kind)


def _parts(cell: MetCell | None) -> list[tuple[str, int, int]]:
    """What a cell is made of, as (kind, from, to) in seconds at the table."""
    if cell is None:
        return []
    if cell.missed:
        parts = [("missed", 0, cell.planned_s)]
    else:
        known = "met" if cell.timed else "about"
        planned_s, met_s = cell.planned_s, cell.met_s
        parts = [("planned", 0, planned_s), (known, 0, min(met_s, planned_s)), ("more", planned_s, met_s)]
    return [part for part in parts if part[2] > part[1]]


def _dots(met: GroupsMet, shown: Sequence[MetDay]) -> tuple[Dots, ...]:
    """A ring where there was a lesson in which a group was not due."""
    points = tuple(
        (float(at), (row + BAR[0] + row + BAR[1]) / 2)
        for at, day in enumerate(shown)
        for row, group in enumerate(met.groups)
        if day.lessons and group.group not in day.cells
    )
    return (Dots(points, "ring", "quiet"),) if points else ()


def _spans(shown: Sequence[MetDay]) -> tuple[AxisSpan, ...]:
    return tuple(AxisSpan(at - 0.5, at + 0.5) for at, day in enumerate(shown) if not day.lessons)


def _lines(shown: Sequence[MetDay], rows: int) -> tuple[ChartLine, ...]:
    """Between rows, between weeks, and before what is owed."""
    across = len(shown) - 0.5 + _owed_room(shown)
    level = [
        ChartLine(((-0.5, row + 0.5), (across, row + 0.5)), "dotted", "quiet") for row in range(rows - 1)
    ]
    upright = [at - 0.5 for at in range(1, len(shown)) if _begins_week(shown, at)] + [len(shown) - 0.5]
    return (*level, *(ChartLine(((x, -0.5), (x, rows - 0.5)), "solid", "quiet") for x in upright))


def _owed(groups: Sequence[GroupSum], at: float) -> tuple[ChartWords, ...]:
    """What each group is owed after all that is shown, at the end of its row."""
    return tuple(
        ChartWords(at, float(row), format_duration(group.owed_s) if group.owed_s else _("none"), "centre")
        for row, group in enumerate(groups)
    )


def _off_words(shown: Sequence[MetDay], rows: int) -> tuple[ChartWords, ...]:
    """In a week, in words as well: that there was no lesson."""
    off = [at for at, day in enumerate(shown) if not day.lessons and len(shown) <= WHOLE_FIGURES]
    return tuple(ChartWords(float(at), (rows - 1) / 2, _("no lesson"), "centre") for at in off)


def _figures(met: GroupsMet, shown: Sequence[MetDay]) -> tuple[ChartWords, ...]:
    few = len(shown) <= WHOLE_FIGURES
    return tuple(
        ChartWords(
            at - HALF,
            row + FIGURE,
            _cell_words(cell, _("about {met}")) if few else _minutes(cell.met_s),
            together=True,
        )
        for at, day in enumerate(shown)
        for row, group in enumerate(met.groups)
        if (cell := day.cells.get(group.group)) is not None
    )


def _minutes(seconds: int) -> str:
    """Whole minutes, a half up; but what was met at all is never none."""
    return str(max((seconds + 30) // 60, int(seconds > 0)))


def _cell_words(cell: MetCell, about: str) -> str:
    """A visit that was missed, timed, or ``about`` where it is worked out."""
    words = _("missed {planned}") if cell.missed else _("{met} of {planned}") if cell.timed else about
    return words.format(met=format_duration(cell.met_s), planned=format_duration(cell.planned_s))


def _keys(
    boxes: Sequence[ChartBox], dots: Sequence[Dots], spans: Sequence[AxisSpan]
) -> tuple[LegendKey, ...]:
    texts = (
        _("planned visit"), _("at the table"), _("at the table, worked out and not timed"),
        _("more than planned"), _("missed visit"),
    )  # fmt: skip
    keys = box_keys(boxes, _PARTS.values(), texts)
    if dots:
        keys = (*keys, LegendKey(dots[0], _("lesson without a visit planned")))
    return (*keys, LegendKey(spans[0], _("no lesson"))) if spans else keys


def _summary(met: GroupsMet, *, one_week: bool) -> str:
    spent = format_duration(sum(group.kept_s for group in met.groups))
    planned = format_duration(sum(group.planned_s for group in met.groups))
    lessons = lessons_words(met.lessons)
    words = _("In {lessons} groups were at the table for {met} of {planned} planned; {owed}.")
    owed = owed_words(met.groups)
    if any(group.owed_s for group in met.groups):  # it goes on from week to week, so no week adds up to it
        owed = _("so far {owed}", owed=owed)
    parts = [words.format(lessons=lessons, met=spent, planned=planned, owed=owed)]
    last = met.weeks[-1]
    if last.unmet:
        names = ", ".join(last.unmet)
        if one_week:
            parts.append(_("Not met this week: {groups}.", groups=names))
        else:
            week = date_words(last.monday)
            parts.append(_("Not met in the week of {date}: {groups}.", date=week, groups=names))
    if len(met.weeks) > MOST_WEEKS:
        drawn = counted("The last {n} week is drawn", "The last {n} weeks are drawn", MOST_WEEKS)
        parts.append(_("{drawn}, the table has all {n}.", drawn=drawn, n=len(met.weeks)))
    if met.timed < met.with_groups:
        parts.append(timed_words(met.timed, met.with_groups))
    return " ".join(parts)


def _table(met: GroupsMet) -> Table:
    """Groups by days, week by week, then over all: a cell says what its picture shows."""
    days = max(len(week.days) for week in met.weeks)
    places = sorted({_weekday(day) for week in met.weeks for day in week.days}) or list(range(days))
    headings = (
        _("Week"), _("Group"), *(short_weekdays()[place] for place in places),
        _("Planned (m:ss)"), _("Met (m:ss)"), _("Owed after (m:ss)"),
    )  # fmt: skip
    rows: list[tuple[str, ...]] = []
    for week in met.weeks:
        for group in week.groups:
            cells = (_table_words(week, group.group, place) for place in places)
            rows.append((date_words(week.monday), group.group, *cells, *_sums(group)))
    if len(met.weeks) > 1:
        blank = [""] * len(places)
        rows += [(_("All"), group.group, *blank, *_sums(group)) for group in met.groups]
    return Table(headings, tuple(rows), tuple(range(2, len(headings))))


def _weekday(day: MetDay) -> int:
    return date.fromisoformat(day.date).weekday()


def _sums(group: GroupSum) -> tuple[str, ...]:
    return tuple(map(format_duration, (group.planned_s, group.kept_s, group.owed_s)))


def _table_words(week: MetWeek, group: str, place: int) -> str:
    day = next((day for day in week.days if _weekday(day) == place), None)
    if day is None or not day.lessons:
        return _("no lesson")
    cell = day.cells.get(group)
    return _("not due") if cell is None else _cell_words(cell, _("about {met} of {planned}"))
