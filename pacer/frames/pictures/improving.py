"""Is it improving? One measure lesson by lesson, with the limits of the first ones; changes by rule alone."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil, floor

from pacer.frames.pictures.chart import Axis, AxisSpan, Chart, ChartLine, ChartWords, Dots, LegendKey, Table
from pacer.frames.pictures.shared import hundredths_words, late_words, lesson_axis
from pacer.frames.words.choice import choice_words, date_words
from pacer.frames.words.kinds import kind_words
from pacer.frames.words.wording import over_words
from pacer.plan.durations import format_duration
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.improving import BASELINE, LATE, SHARE_UNITS, Improving, OneSidedRun, improving
from pacer.review.statistics.rounding import half_up
from pacer.review.statistics.run_chart import MEDIAN_LESSONS, RUN_LENGTH, called_in_a_term
from pacer.text import _, counted, ngettext

LEAST_PLACES = 5  # so many lessons are left room for
LEAST_AXIS = 2.0
_ROOM = 1.08  # of the lessons' width
_CENTRE = ChartLine(((0, 0), (1, 0)), "solid", "quiet")
_LIMIT = ChartLine(((0, 0), (1, 0)), "dashed", "quiet")
_MEDIAN = ChartLine(((0, 0), (1, 0)), "dotted", "over")
_JOINED = ChartLine(((0, 0), (1, 0)), "solid", "second")


def chart(days: Sequence[Day], choice: LessonChoice, measure: str = LATE) -> Chart:
    """The measure of the lessons to learn from: lateness of the groups, or a kind's actual over its budget.

    Where the choice holds a single kind and no measure is asked for, that kind is the measure.
    """
    if measure == LATE and len(choice.kinds) == 1:
        measure = choice.kinds[0]
    title = _("Is it improving? How long it takes: {kind}")
    if measure == LATE:
        title = _("Is it improving? How late groups start")
    series = improving(days, choice, measure)
    count = len(series.values)
    kinds = () if measure == LATE else (measure,)
    return Chart(
        name="improving",
        title=title.format(kind=kind_words(measure)),
        lessons=count,
        summary=_summary(series),
        x=replace(lesson_axis([lesson.date for lesson in series.values]), upper=_right_end(series)),
        y=_y_axis(series),
        dots=_dots(series),
        lines=_lines(series),
        spans=(AxisSpan(-0.5, series.baseline - 0.5),) if count else (),
        words=tuple(
            ChartWords(_right_end(series), _drawn(series, value), value_words(series, value), "right")
            for _line, value in _levels(series)
        ),
        keys=_keys(series) if count else (),
        table=_table(series),
        choice=choice_words(replace(choice, kinds=kinds), count),
    )  # fmt: skip


def _drawn(series: Improving, value: float) -> float:
    """A value as it is drawn: minutes, or a multiple of the budget."""
    return value / (60 if series.measure == LATE else SHARE_UNITS)


def _dots(series: Improving) -> tuple[Dots, ...]:
    """Plain ones, those that stand out, and those that make a run long enough."""
    called = dict(series.changes)
    shapes: dict[str, list[tuple[float, float]]] = {"": [], "outside": [], "run": []}
    for at, lesson in enumerate(series.values):
        shapes[called.get(at, "")].append((float(at), _drawn(series, lesson.value)))
    drawn = (
        Dots(tuple(shapes[""])),
        Dots(tuple(shapes["outside"]), "square", "over"),
        Dots(tuple(shapes["run"]), "triangle", "over"),
    )
    return tuple(dots for dots in drawn if dots.points)


def _right_end(series: Improving) -> float:
    """Where the x axis ends: the words at the levels have room behind the last lesson."""
    return max(len(series.values), LEAST_PLACES) * _ROOM - 0.5


def _lines(series: Improving) -> tuple[ChartLine, ...]:
    """The values joined, centre and limits across, the median over the lessons it is made from."""
    count = len(series.values)
    ends = (-0.5, _right_end(series))
    points = tuple((float(at), _drawn(series, lesson.value)) for at, lesson in enumerate(series.values))
    lines = [replace(_JOINED, points=points)] if count > 1 else []
    for line, value in _levels(series):
        lines.append(replace(line, points=tuple((x, _drawn(series, value)) for x in ends)))
    if series.median is not None and series.is_judged:
        y, first = _drawn(series, series.median), max(0, count - MEDIAN_LESSONS)
        lines.append(replace(_MEDIAN, points=((first - 0.5, y), (count - 0.5, y))))
    return tuple(lines)


def _levels(series: Improving) -> list[tuple[ChartLine, float]]:
    """Centre and limits; a share below 0 can't be, so a limit there is not drawn."""
    limits = series.limits
    if limits is None:
        return []
    levels = [(_CENTRE, limits.median), (_LIMIT, limits.upper), (_LIMIT, limits.lower)]
    return [(line, value) for line, value in levels if series.measure == LATE or value >= 0]


def _y_axis(series: Improving) -> Axis:
    """Zero is always on it; only lateness may lie below."""
    values = [_drawn(series, lesson.value) for lesson in series.values]
    values += [_drawn(series, value) for _line, value in _levels(series)]
    upper = max([LEAST_AXIS, *values])
    lower = min([0.0, *values])
    pad = 0.06 * (upper - lower)
    if series.measure != LATE:
        return Axis(_("Actual time as a multiple of the budget"), 0, ceil((upper + pad) * 4) / 4)
    label = _("Minutes that groups started late (below 0: early)")
    return Axis(label, floor(lower - pad) if lower < 0 else 0, ceil(upper + pad))


def value_words(series: Improving, value: float) -> str:
    """A value in words: ``+2:05`` minutes, or ``1.25`` of the budget."""
    if series.measure == LATE:
        return over_words(half_up(value))
    return hundredths_words(half_up(value * 100 / SHARE_UNITS))


def _keys(series: Improving) -> tuple[LegendKey, ...]:
    texts = {
        "dot": _("a lesson"),
        "square": _("outside the limits: it stands out"),
        "triangle": _("{n} or more in a row clearly on one side: a change", n=RUN_LENGTH),
    }
    keys = [LegendKey(replace(dots, points=dots.points[:1]), texts[dots.shape]) for dots in _dots(series)]
    words = ngettext("baseline: the first lesson", "baseline: the first {n} lessons", series.baseline)
    keys.append(LegendKey(AxisSpan(0, 1), words.format(n=series.baseline)))
    if series.limits is not None:
        keys.append(LegendKey(_CENTRE, _("median of the baseline")))
        keys.append(LegendKey(_LIMIT, _("limits of the usual ups and downs")))
    if series.is_judged:
        keys.append(LegendKey(_MEDIAN, _("median of the latest {n}", n=MEDIAN_LESSONS)))
    return tuple(keys)


def _summary(series: Improving) -> str:
    count = len(series.values)
    if not count:
        if series.measure == LATE:
            return _("Not enough lessons yet: one lesson in which groups started is needed.")
        words = _("Not enough lessons yet: one lesson with {kind} that was not cut off is needed.")
        return words.format(kind=kind_words(series.measure))
    if series.limits is None or series.median is None or not series.is_judged:
        return _(
            "Not enough lessons yet: {n} of {needed}. The first {baseline} are the baseline that later ones "
            "are held against."
        ).format(n=count, needed=BASELINE + 1, baseline=BASELINE)
    then, now = series.limits.median, series.median
    sentences = (
        _verdict_words(series, then - now),
        _now_words(series, now, then),
        _change_words(series),
        _budget_words(series),
    )
    return " ".join(filter(None, (*sentences, _left_out_words(series))))


def _verdict_words(series: Improving, less: float) -> str:
    """The answer first. ``less``: how far the latest median lies below the baseline's."""
    late = series.measure == LATE
    match series.verdict:
        case "less" if late:
            words = _("It seems so: lately groups start about {time} earlier than in the first {n} lessons.")
        case "more" if late:
            words = _("It seems not: lately groups start about {time} later than in the first {n} lessons.")
        case "less":
            words = _("It seems to take less of its budget lately than in the first {n} lessons.")
        case "more":
            words = _("It seems to take more of its budget lately than in the first {n} lessons.")
        case "was":
            words = _("Not any more: there was a change, but the latest lessons don't keep it.")
        case "single":
            words = _("Not so far: only single lessons stand out.")
        case _:
            words = _("Not so far.")
    return words.format(time=format_duration(half_up(abs(less))), n=series.baseline)


def _left_out_words(series: Improving) -> str:
    """Lessons in which groups never started are not the good ones: they are told."""
    if not series.left_out or series.measure != LATE:
        return ""
    return counted(
        "{n} lesson in which groups never started is left out.",
        "{n} lessons in which groups never started are left out.",
        series.left_out,
    )


def _now_words(series: Improving, median: float, center: float) -> str:
    if series.measure == LATE:
        words = _(
            "At the median of the latest {n} lessons groups started {now}; that of the first {first} was "
            "{then} ({count} lessons)."
        )
        now, then = late_words(median), late_words(center)
    else:
        words = _(
            "At the median of the latest {n} lessons it took {now} times its budget; that of the first "
            "{first} was {then} ({count} lessons)."
        )
        now, then = value_words(series, median), value_words(series, center)
    return words.format(
        n=MEDIAN_LESSONS, now=now, first=series.baseline, then=then, count=len(series.values)
    )  # fmt: skip


def _change_words(series: Improving) -> str:
    """What the rule calls, and by which part of it; of several stretches the latest."""
    if not series.changes:
        return _("No change beyond the usual ups and downs.")
    parts = [_run_words(series, series.runs[-1])] if series.runs else []
    if series.outside:
        at = series.outside[-1]
        lesson = series.values[at]
        parts.append(
            counted(
                "{n} lesson outside the limits ({value} on {date})",
                "{n} lessons outside the limits (the latest {value} on {date})",
                len(series.outside),
                value=value_words(series, lesson.value),
                date=date_words(lesson.date),
            )
        )
    words = _("A change by the rule: {parts}.") if series.runs else _("No change: {parts}.")
    return words.format(parts="; ".join(parts))


def _budget_words(series: Improving) -> str:
    """That a change may be the budget's: told where one was called and budgets are not what they were."""
    if series.budgets_s is None or not series.runs:
        return ""
    then, now = (format_duration(half_up(budget_s)) for budget_s in series.budgets_s)
    return _("Its budget was {then} then and is {now} now: that alone can be why.", then=then, now=now)


def _run_words(series: Improving, run: OneSidedRun) -> str:
    words = (
        _("{n} lessons in a row clearly above the middle from {since} to {until}")
        if run.side > 0
        else _("{n} lessons in a row clearly below the middle from {since} to {until}")
    )
    since, until = (date_words(series.values[at].date) for at in (run.first, run.last))
    return words.format(n=run.lessons, since=since, until=until)


def _table(series: Improving) -> Table:
    """Every lesson, the newest first, then what the picture's lines stand for."""
    is_late = series.measure == LATE
    value = _("Groups late (m:ss)") if is_late else _("Actual, times the budget")
    headings = (_("Date"), _("Lesson"), value, _("Baseline or later"), _("Of note"))
    words = {"outside": _("outside the limits"), "run": _("{n} in a row", n=RUN_LENGTH)}
    called = {at: words[change] for at, change in series.changes}
    rows = [
        (
            date_words(lesson.date), lesson.title, value_words(series, lesson.value),
            _("baseline") if at < series.baseline else _("later"), called.get(at, ""),
        )
        for at, lesson in enumerate(series.values)
    ][::-1]  # fmt: skip
    if series.limits is not None:
        limits = series.limits
        for name, level in (
            (_("Median of the baseline"), limits.median),
            (_("Middle zone to"), limits.zone[1]),
            (_("Middle zone from"), limits.zone[0]),
            (_("Mean of the baseline"), limits.center),
            (_("Mean moving range"), limits.mean_range),
            (_("Upper limit"), limits.upper),
            (_("Lower limit"), limits.lower),
        ):
            rows.append((name, "", value_words(series, level), "", ""))
        for minutes in (1, 2, 3) if is_late else ():
            name = counted(
                "A lasting change of {n} min is noticed in a term",
                "A lasting change of {n} min is noticed in a term",
                minutes,
            )
            tenths = round(10 * called_in_a_term(limits, 60 * minutes))
            rows.append((name, "", _("{n} times in 10", n=tenths), "", ""))
    if series.median is not None and series.is_judged:
        name = _("Median of the latest {n}", n=MEDIAN_LESSONS)
        rows.append((name, "", value_words(series, series.median), "", ""))
    if series.left_out:
        rows.append((_("Lessons left out"), "", str(series.left_out), "", ""))
    return Table(headings, tuple(rows), (2,))
