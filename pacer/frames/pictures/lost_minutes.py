"""Which groups lost minutes? Groups by days, each cell a small bar of its time at the table."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from pacer.frames.pictures.chart import Chart, ChartBox, ChartLine, ChartWords, LegendKey, Table
from pacer.frames.pictures.shared import FillLook, box_keys, lesson_axis, row_axis
from pacer.frames.words.choice import choice_words, date_words
from pacer.frames.words.wording import lessons_words, over_words
from pacer.plan.durations import format_duration
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.lost_minutes import Cell, GroupSum, Lost, LostDay, lost_minutes
from pacer.text import _, counted, ngettext

HALF = 0.4  # of a cell: half the width of a bar
BASE, HIGH = 0.38, 0.7  # where a row's bars stand below its middle, and how high the longest is
ROW_LINES = 2.4  # of type, so that bars of a group differ in height
LEAST_DAYS = 6  # so many cells are left room for
FIGURES = 8  # up to so many days, each cell has its figure
_PARTS: dict[str, FillLook] = {
    "kept": ("quiet", "filled"),
    "lost": ("over", "hatched"),
    "dropped": ("over", "outline"),
    "more": ("second", "dotted"),
}


def chart(days: Sequence[Day], choice: LessonChoice) -> Chart:
    """The picture of the lessons that are shown; kinds of phases don't matter to it."""
    losses = lost_minutes(choice.days(days))
    in_force, count = replace(choice, kinds=()), len(losses.days)
    groups = losses.groups
    most = _most_s(losses)
    boxes = _boxes(losses, most)
    return Chart(
        name="lost_minutes",
        title=_("Which groups lost minutes?"),
        lessons=count,
        summary=_summary(losses, groups),
        x=lesson_axis([day.date for day in losses.days], LEAST_DAYS),
        y=row_axis(
            _("Group; bars of minutes at the table, from 0 to {n}", n=most // 60),
            map(_row_words, groups),
        ),
        boxes=boxes,
        lines=_lines(len(groups), max(count, LEAST_DAYS)) if groups else (),
        words=_figures(losses, most) if count <= FIGURES else (),
        keys=_keys(boxes, most) if groups else (),
        table=_table(losses),
        choice=choice_words(in_force, count),
        row_lines=ROW_LINES,
    )


def _lines(groups: int, across: int) -> tuple[ChartLine, ...]:
    """Under each row its zero, over it the highest value of its scale."""
    ends = (-0.5, across - 0.5)
    zero = [ChartLine(tuple((x, row + BASE) for x in ends), "solid", "quiet") for row in range(groups)]
    top = [ChartLine(tuple((x, row + BASE - HIGH) for x in ends), "dotted", "quiet") for row in range(groups)]
    return (*zero, *top)


def _keys(boxes: Sequence[ChartBox], most_s: int) -> tuple[LegendKey, ...]:
    texts = (
        _("time at the table"), _("lost of the planned visit"), _("no visit: all of it lost"),
        _("more than planned"),
    )  # fmt: skip
    scale = ngettext("{n} minute at the table", "{n} minutes at the table", most_s // 60)
    line = ChartLine(((0, 0), (1, 0)), "dotted", "quiet")
    return (*box_keys(boxes, _PARTS.values(), texts), LegendKey(line, scale.format(n=most_s // 60)))


def _row_words(group: GroupSum) -> str:
    if not group.owed_s:
        return group.group
    return _("{group}, owed {time}", group=group.group, time=format_duration(group.owed_s))


def _most_s(losses: Lost) -> int:
    """The longest visit, planned or kept, in whole minutes up."""
    longest = max((max(c.planned_s, c.kept_s) for day in losses.days for c in day.cells), default=0)
    return max(60, -(-longest // 60) * 60)


def _boxes(losses: Lost, most_s: int) -> tuple[ChartBox, ...]:
    """The parts of every cell's bar, from zero up."""
    boxes: list[ChartBox] = []
    rows = _rows(losses)
    for at, day in enumerate(losses.days):
        for cell in day.cells:
            for kind, low_s, high_s in _parts(cell):
                row = rows[cell.group] + BASE
                low, high = (row - HIGH * second / most_s for second in (low_s, high_s))
                boxes.append(ChartBox(at - HALF, at + HALF, low, high, *_PARTS[kind]))
    return tuple(boxes)


def _rows(losses: Lost) -> Mapping[str, int]:
    """The row of each group, from the top."""
    return {group.group: row for row, group in enumerate(losses.groups)}


def _parts(cell: Cell) -> list[tuple[str, int, int]]:
    """What a cell is made of, as (kind, from, to) in seconds at the table."""
    if cell.dropped:
        parts = [("dropped", 0, cell.planned_s)]
    elif cell.lost_s >= 0:
        parts = [("kept", 0, cell.kept_s), ("lost", cell.kept_s, cell.planned_s)]
    else:
        parts = [("kept", 0, cell.planned_s), ("more", cell.planned_s, cell.kept_s)]
    return [part for part in parts if part[2] > part[1]]


def _figures(losses: Lost, most_s: int) -> tuple[ChartWords, ...]:
    """What each group lost on each day, above its bar."""
    rows = _rows(losses)
    return tuple(
        ChartWords(
            float(at),
            rows[cell.group] + BASE - HIGH * max(cell.planned_s, cell.kept_s) / most_s - 0.1,
            over_words(-cell.lost_s),  # lost as −1:20, had beyond the plan as +0:30
            "centre",
        )
        for at, day in enumerate(losses.days)
        for cell in day.cells
    )


def _summary(losses: Lost, groups: Sequence[GroupSum]) -> str:
    left_out = _left_out(losses)
    if not groups:
        missing = _(
            "Not enough lessons yet: one lesson with small groups, that went as far as the groups, is needed."
        )
        return f"{missing} {left_out}".strip()
    worked = timed_words(losses.timed, len(losses.days))
    if left_out:
        worked = _("{known}; {left_out}").format(
            known=worked.removesuffix("."), left_out=left_out[:1].lower() + left_out[1:]
        )
    return f"{_lost_words(losses, groups)} {worked}"


def timed_words(timed: int, lessons: int) -> str:
    """Whether the visits of lessons were timed or are worked out."""
    if not timed:
        return _("Worked out from when groups really started, not from timed visits.")
    if timed == lessons:
        return _("All visits were timed.")
    words = _("Visits of {timed} were timed, those of {others} worked out from when groups really started.")
    return words.format(timed=lessons_words(timed), others=lessons_words(lessons - timed))


def _lost_words(losses: Lost, groups: Sequence[GroupSum]) -> str:
    lessons = lessons_words(len(losses.days))
    lost = sum(group.lost_s for group in groups)
    if not lost:
        return _("In {lessons} the groups lost no time at the table.", lessons=lessons)
    words = _("In {lessons} the groups lost {time} at the table")
    parts = [words.format(lessons=lessons, time=format_duration(lost))]
    if dropped := sum(group.dropped for group in groups):
        parts.append(counted("{n} visit fell away", "{n} visits fell away", dropped))
    return "; ".join([*parts, owed_words(groups)]) + "."


def owed_words(groups: Sequence[GroupSum]) -> str:
    """Who is owed most after the last lesson; all of them where nobody is owed more than another."""
    most = max(group.owed_s for group in groups)
    if not most:
        return _("none is owed any now")
    due = [group for group in groups if group.owed_s == most]
    if len(due) == len(groups) > 1:
        return _("each group is owed {time}", time=format_duration(most))
    *others, last = (group.group for group in due)
    names = _("{names} and {last}", names=", ".join(others), last=last) if others else last
    return ngettext("{groups} is owed most, {time}", "{groups} are owed most, {time}", len(due)).format(
        groups=names, time=format_duration(most)
    )


def _left_out(losses: Lost) -> str:
    """How many lessons are left out and why; empty where none is."""
    parts = []
    if n := losses.without_groups:
        parts.append(counted("{n} lesson without groups", "{n} lessons without groups", n))
    if n := losses.never_begun:
        parts.append(counted("{n} that never left the mini lesson", "{n} that never left the mini lesson", n))
    return _("Left out: {list}.", list=", ".join(parts)) if parts else ""


def _table(losses: Lost) -> Table:
    """Every cell, then each week's sums, then those of all."""
    headings = (
        _("Date"), _("Lesson"), _("Groups started late (m:ss)"), _("Group"), _("Planned visit (m:ss)"),
        _("Met (m:ss)"), _("Lost (m:ss)"), _("Had more (m:ss)"), _("Visits dropped"), _("Owed after (m:ss)"),
        _("Timed or worked out"),
    )  # fmt: skip
    rows: list[tuple[str, ...]] = []
    for monday, days, groups in losses.weeks:
        for day in days:
            rows += [_cell_row(day, cell) for cell in day.cells]
        week = _("Week of {date}", date=date_words(monday))
        rows += [_sum_row(week, len(days), group) for group in groups]
    rows += [_sum_row(_("All"), len(losses.days), group) for group in losses.groups]
    return Table(headings, tuple(rows), (2, 4, 5, 6, 7, 8, 9))


def _cell_row(day: LostDay, cell: Cell) -> tuple[str, ...]:
    lost, more = max(0, cell.lost_s), max(0, -cell.lost_s)
    title = day.title
    if day.bell:
        title = _("{title} (bell before groups)", title=title)
    elif day.cut_off:
        title = _("{title} (groups cut off)", title=title)
    late = over_words(day.late_s)
    return (
        date_words(day.date), title, late, cell.group, format_duration(cell.planned_s),
        format_duration(cell.kept_s), format_duration(lost), format_duration(more), str(int(cell.dropped)),
        format_duration(cell.owed_s), _("timed") if day.timed else _("worked out"),
    )  # fmt: skip


def _sum_row(words: str, count: int, group: GroupSum) -> tuple[str, ...]:
    figures = (group.planned_s, group.kept_s, group.lost_s, group.gained_s)
    return (
        words, lessons_words(count), "", group.group, *map(format_duration, figures),
        str(group.dropped), format_duration(group.owed_s), "",
    )  # fmt: skip
