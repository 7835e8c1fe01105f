"""How did this unit go? Week by week how late groups started and why; the rest of the unit in the table."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil, floor

from pacer.frames.pictures.chart import Axis, Chart, ChartBox, ChartWords, Dots, LegendKey, Table
from pacer.frames.pictures.not_taught import went_words, why_words
from pacer.frames.pictures.shared import FillLook, box_keys, hundredths_words, late_words, lesson_axis
from pacer.frames.words.choice import choice_words, date_words
from pacer.frames.words.kinds import cause_words, kind_words
from pacer.frames.words.wording import lessons_words, over_words
from pacer.pace.trim import whole_parts
from pacer.plan.durations import format_duration
from pacer.review.choice import LessonChoice
from pacer.review.days import OTHER_CAUSES, Day
from pacer.review.questions.units import LEAST_LESSONS, Trend, Unit, UnitTook, UnitWeek, unit_of
from pacer.review.statistics.rounding import half_up
from pacer.text import _, counted

HALF = 0.36  # of a week: half the width of a bar
LEAST_WEEKS = 4  # so many weeks are left room for
RAISED = 0.045  # of the picture's height: how far above its bar a figure stands
LEAST_TIMES = LEAST_LESSONS // 3  # below so many in a third, nothing is said of a change
FIGURES = 8  # up to so many weeks, the groups' minutes stand above each
_PARTS: dict[str, FillLook] = {
    "start": ("second", "filled"),
    "over": ("over", "hatched"),
    "short": ("second", "outline"),
    "rest": ("quiet", "dotted"),
}
_MEAN = Dots(((0, 0),), "square", "main")
_Row = tuple[str, str, str, str, str]


def chart(days: Sequence[Day], choice: LessonChoice) -> Chart:
    """The picture of the chosen lessons: a unit is chosen by its titles, its subject or its dates."""
    title, unit = _("How did this unit go?"), unit_of(days, choice)
    if unit is None:
        missing = _("Not enough lessons yet: choose a title, a subject or dates with one lesson at least.")
        return Chart("unit", title, 0, missing, choice=choice_words(choice, 0))
    titles, weeks = _titles(days, choice), unit.weeks
    boxes, dots = _boxes(weeks), _means(weeks)
    x = lesson_axis([week.monday for week in weeks], LEAST_WEEKS)
    y = _y_axis(boxes, dots)
    with_figures = len(weeks) <= FIGURES
    headings = _("What"), _("Which"), _("When"), _("Lessons"), _("Figure (m:ss, or times its budget)")
    above = _("Week, by its Monday; above it the minutes all groups had at the table")
    return Chart(
        name="unit",
        title=title,
        lessons=unit.lessons,
        summary=_summary(unit, titles),
        x=replace(x, label=above if with_figures else _("Week, by its Monday")),
        y=y,
        boxes=boxes,
        dots=dots,
        words=_figures(weeks, (y.upper - y.lower) * RAISED) if with_figures else (),
        keys=_keys(boxes) if dots else (),
        table=Table(headings, tuple(_rows(unit, titles)), (3, 4)),
        choice=choice_words(choice, unit.lessons),
    )


def _part(cause: str, seconds: Fraction) -> str:
    """Which part of a bar a cause belongs to."""
    if cause in OTHER_CAUSES:
        return "start" if cause == OTHER_CAUSES[0] else "rest"
    return "over" if seconds > 0 else "short"


def _shares(week: UnitWeek) -> dict[str, Fraction]:
    """The mean of each part of a week's bar, in seconds."""
    means = dict.fromkeys(_PARTS, Fraction())
    for cause, seconds in week.mean_parts_s:
        means[_part(cause, seconds)] += seconds
    return means


def _boxes(weeks: Sequence[UnitWeek]) -> tuple[ChartBox, ...]:
    """Parts that made groups late stand up from zero, parts that gained time hang down from it."""
    boxes = []
    for at, week in enumerate(weeks):
        ends = {True: Fraction(), False: Fraction()}
        for part, seconds in _shares(week).items():
            if seconds:
                low, ends[seconds > 0] = ends[seconds > 0], ends[seconds > 0] + seconds
                y0, y1 = sorted((float(low) / 60, float(ends[seconds > 0]) / 60))
                boxes.append(ChartBox(at - HALF, at + HALF, y0, y1, *_PARTS[part]))
    return tuple(boxes)


def _means(weeks: Sequence[UnitWeek]) -> tuple[Dots, ...]:
    points = tuple(
        (float(at), float(week.mean_late_s) / 60)
        for at, week in enumerate(weeks)
        if week.mean_late_s is not None
    )
    return (replace(_MEAN, points=points),) if points else ()


def _y_axis(boxes: Sequence[ChartBox], dots: Sequence[Dots]) -> Axis:
    values = [y for box in boxes for y in (box.y0, box.y1)]
    values += [y for dotted in dots for _x, y in dotted.points]
    label = _("Minutes groups started late, mean per lesson (below 0: time gained)")
    return Axis(label, min([0, *map(floor, values)]), max([2, *(ceil(y * 1.15) for y in values)]))


def _keys(boxes: Sequence[ChartBox]) -> tuple[LegendKey, ...]:
    texts = (
        _("late start"), _("kinds of phases that ran over"), _("kinds of phases that were shorter"),
        _("pauses, transition, budgets that do not fit"),
    )  # fmt: skip
    return (
        *box_keys(boxes, _PARTS.values(), texts),
        LegendKey(_MEAN, _("all together: how late groups started")),
    )


def _figures(weeks: Sequence[UnitWeek], raised: float) -> tuple[ChartWords, ...]:
    """What all groups together had at the table, above each week's bar."""
    figures = []
    for at, week in enumerate(weeks):
        up = sum((seconds for seconds in _shares(week).values() if seconds > 0), Fraction())
        if week.planned_s:
            text = _("groups {n} min", n=(week.kept_s + 30) // 60)
            figures.append(ChartWords(float(at), float(up) / 60 + raised, text, "centre"))
    return tuple(figures)


def _titles(days: Sequence[Day], choice: LessonChoice) -> dict[str, str]:
    """The last title of each phase by its id, where one outline is chosen and trends are told by phase."""
    if len(choice.titles) != 1:
        return {}
    return {phase.id: phase.title for day in choice.days(days) for phase in day.mini}


def _trend_words(name: str, titles: Mapping[str, str]) -> str:
    """What a trend is of: a phase by its title, or a kind."""
    return titles[name] if titles else kind_words(name)


def _summary(unit: Unit, titles: Mapping[str, str]) -> str:
    lessons = lessons_words(unit.lessons)
    missing = len(unit.not_taught)
    not_taught = counted("{n} phase was not taught", "{n} phases were not taught", missing)
    if unit.mean_late_s is None:
        first = _("In {lessons} groups never started, and {not_taught}.")
        return first.format(lessons=lessons, not_taught=not_taught)
    first = _("In {lessons} groups started {late} on average, and {not_taught}.").format(
        lessons=lessons, late=late_words(unit.mean_late_s), not_taught=not_taught
    )
    return f"{first} {_trend_summary(unit, titles)}"


def _trend_summary(unit: Unit, titles: Mapping[str, str]) -> str:
    """The phase whose medians differ most; not said of fewer than fifteen lessons."""
    if unit.learned < LEAST_LESSONS:
        words = _("Not enough lessons yet to compare its start with its end: {n} of {needed}.")
        return words.format(n=unit.learned, needed=LEAST_LESSONS)
    # Both medians known and with enough behind them: what is seldom taught swings by chance.
    known = [
        trend
        for trend in unit.trends
        if all(not took.at_least and took.times >= LEAST_TIMES for took in (trend.first, trend.last))
    ]
    most = max(known, key=_change, default=None)
    if most is None or not _change(most):
        return _("From its first to its last third no median is known to differ.")
    differed = _(
        "Between its first and last third {phase} differed most: {first} and {last} times its budget at the "
        "median ({behind}).",
        phase=_trend_words(most.name, titles),
        first=ratio_words(most.first),
        last=ratio_words(most.last),
        behind=_behind_words(most, unit.third),
    )
    return differed if most.is_called else differed + " " + _("So much can be chance.")


def _behind_words(trend: Trend, third: int) -> str:
    """How much is behind the two medians: every lesson of a third, or how often the phase was in each."""
    first, last = trend.first.times, trend.last.times
    if first == last == third:
        return _("{n} lessons in each", n=third)
    return _("it was in them {first} and {last} times", first=first, last=last)


def _change(trend: Trend) -> Fraction:
    first, last = trend.first.median, trend.last.median
    return Fraction() if first is None or last is None else abs(last - first)


def ratio_words(took: UnitTook) -> str:
    """A median of actual over budget to a hundredth: ``1.35``, or ``≥ 1.35`` where it may be more."""
    if took.median is None:
        return ""
    return ("≥ " if took.at_least else "") + hundredths_words(half_up(took.median * 100))


def _rows(unit: Unit, titles: Mapping[str, str]) -> list[_Row]:
    rows: list[_Row] = []
    for week in unit.weeks:
        rows += _week_rows(week)
    for trend in unit.trends:
        what, which = _("Actual of budget, median"), _trend_words(trend.name, titles)
        for when, took in ((_("first third"), trend.first), (_("last third"), trend.last)):
            rows.append((what, which, when, _times_words(took), ratio_words(took)))
    for phase in unit.not_taught:
        which = _("{title}: {phase} ({why}; goes to: {went})", title=phase.lesson, phase=phase.phase,
                  why=why_words(phase.why), went=went_words(phase.went))  # fmt: skip
        row = _("Not taught"), which, date_words(phase.date), "1", format_duration(phase.missing_s)
        rows.append(row)
    for change in unit.budgets:
        which = _("{title}: {phase}", title=change.title, phase=change.phase)
        since, until = date_words(change.since), date_words(change.until)
        when = _("{since} to {until}", since=since, until=until)
        old, new = format_duration(change.first_s), format_duration(change.last_s)
        figure = _("{old} to {new}", old=old, new=new)
        rows.append((_("Budget changed"), which, when, str(change.lessons), figure))
    return rows


def _times_words(took: UnitTook) -> str:
    if not took.cut_off:
        return str(took.times)
    return _("{n} ({cut} cut off)", n=took.times, cut=took.cut_off)


def _week_rows(week: UnitWeek) -> list[_Row]:
    when = _("Week of {date}", date=date_words(week.monday))
    rows: list[_Row] = []
    if week.mean_late_s is not None:
        count = str(len(week.lates))
        whole = half_up(week.mean_late_s)
        rows.append((_("Groups late, mean"), _("all together"), when, count, over_words(whole)))
        seconds = whole_parts([mean for _cause, mean in week.mean_parts_s])
        for (cause, _mean), shown in zip(week.mean_parts_s, seconds, strict=True):
            which = cause_words(cause) or kind_words(cause)
            rows.append((_("Groups late, mean"), which, when, count, over_words(shown)))
    never = week.lessons - len(week.lates)
    if never:
        rows.append((_("Groups never started"), "", when, str(never), ""))
    if week.planned_s:
        for which, spent in ((_("planned"), week.planned_s), (_("kept"), week.kept_s)):
            rows.append((_("Groups at the table"), which, when, str(week.lessons), format_duration(spent)))
    return rows
