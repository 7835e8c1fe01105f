"""Is it improving? One measure lesson by lesson, with the limits of the first ones; changes by rule alone."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil, floor

from pacer.frames.pictures.chart import Axis, Band, Chart, ChartLine, ChartWords, Dots, LegendKey, Table
from pacer.frames.pictures.shared import hundredths_words, late_words, lesson_axis
from pacer.frames.words.choice import choice_words, date_words
from pacer.frames.words.kinds import kind_words
from pacer.frames.words.wording import over_words
from pacer.plan.durations import format_duration
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.improving import BASELINE, LATE, SHARE_UNITS, Improving, OneSidedRun, improving
from pacer.review.statistics.run_chart import MEDIAN_LESSONS, RUN_LENGTH
from pacer.text import _, ngettext

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
    found = improving(days, choice, measure)
    count = len(found.values)
    kinds = () if measure == LATE else (measure,)
    return Chart(
        name="improving",
        title=title.format(kind=kind_words(measure)),
        lessons=count,
        summary=_summary(found),
        x=replace(lesson_axis([one.date for one in found.values]), upper=_right_end(found)),
        y=_y_axis(found),
        dots=_dots(found),
        lines=_lines(found),
        bands=(Band(-0.5, found.baseline - 0.5),) if count else (),
        words=tuple(
            ChartWords(_right_end(found), _drawn(found, value), value_words(found, value), "right")
            for _line, value in _levels(found)
        ),
        keys=_keys(found) if count else (),
        table=_table(found),
        choice=choice_words(replace(choice, kinds=kinds), count),
    )  # fmt: skip


def _drawn(found: Improving, value: float) -> float:
    """A value as it is drawn: minutes, or a multiple of the budget."""
    return value / (60 if found.measure == LATE else SHARE_UNITS)


def _dots(found: Improving) -> tuple[Dots, ...]:
    """Plain ones, those outside the limits, and those that make a run long enough."""
    called = dict(found.changes)
    shapes: dict[str, list[tuple[float, float]]] = {"": [], "outside": [], "run": []}
    for at, one in enumerate(found.values):
        shapes[called.get(at, "")].append((float(at), _drawn(found, one.value)))
    made = (
        Dots(tuple(shapes[""])),
        Dots(tuple(shapes["outside"]), "square", "over"),
        Dots(tuple(shapes["run"]), "triangle", "over"),
    )
    return tuple(dots for dots in made if dots.points)


def _right_end(found: Improving) -> float:
    """Where the x axis ends: the words at the levels have room behind the last lesson."""
    return max(len(found.values), LEAST_PLACES) * _ROOM - 0.5


def _lines(found: Improving) -> tuple[ChartLine, ...]:
    """The values joined, centre and limits across, the median over the lessons it is made from."""
    count = len(found.values)
    ends = (-0.5, _right_end(found))
    points = tuple((float(at), _drawn(found, one.value)) for at, one in enumerate(found.values))
    made = [replace(_JOINED, points=points)] if count > 1 else []
    for line, value in _levels(found):
        made.append(replace(line, points=tuple((x, _drawn(found, value)) for x in ends)))
    if found.median is not None and found.is_judged:
        y, first = _drawn(found, found.median), max(0, count - MEDIAN_LESSONS)
        made.append(replace(_MEDIAN, points=((first - 0.5, y), (count - 0.5, y))))
    return tuple(made)


def _levels(found: Improving) -> list[tuple[ChartLine, float]]:
    """Centre and limits; a share below 0 can't be, so a limit there is not drawn."""
    limits = found.limits
    if limits is None:
        return []
    levels = [(_CENTRE, limits.center), (_LIMIT, limits.upper), (_LIMIT, limits.lower)]
    return [(line, value) for line, value in levels if found.measure == LATE or value >= 0]


def _y_axis(found: Improving) -> Axis:
    """Zero is always on it; only lateness may lie below."""
    values = [_drawn(found, one.value) for one in found.values]
    values += [_drawn(found, value) for _line, value in _levels(found)]
    upper = max([LEAST_AXIS, *values])
    lower = min([0.0, *values])
    pad = 0.06 * (upper - lower)
    if found.measure != LATE:
        return Axis(_("Actual time as a multiple of the budget"), 0, ceil((upper + pad) * 4) / 4)
    label = _("Minutes that groups started late (below 0: early)")
    return Axis(label, floor(lower - pad) if lower < 0 else 0, ceil(upper + pad))


def value_words(found: Improving, value: float) -> str:
    """A value in words: ``+2:05`` minutes, or ``1.25`` of the budget."""
    if found.measure == LATE:
        return over_words(floor(value + 0.5))
    return hundredths_words(floor(value * 100 / SHARE_UNITS + 0.5))


def _keys(found: Improving) -> tuple[LegendKey, ...]:
    texts = {
        "dot": _("a lesson"),
        "square": _("outside the limits: a change"),
        "triangle": _("{n} or more in a row on one side: a change").format(n=RUN_LENGTH),
    }
    keys = [LegendKey(replace(dots, points=dots.points[:1]), texts[dots.shape]) for dots in _dots(found)]
    words = ngettext("baseline: the first lesson", "baseline: the first {n} lessons", found.baseline)
    keys.append(LegendKey(Band(0, 1), words.format(n=found.baseline)))
    if found.limits is not None:
        keys.append(LegendKey(_CENTRE, _("mean of the baseline")))
        keys.append(LegendKey(_LIMIT, _("limits of the usual ups and downs")))
    if found.is_judged:
        keys.append(LegendKey(_MEDIAN, _("median of the latest {n}").format(n=MEDIAN_LESSONS)))
    return tuple(keys)


def _summary(found: Improving) -> str:
    count = len(found.values)
    if not count:
        if found.measure == LATE:
            return _("Not enough lessons yet: one lesson in which groups started is needed.")
        words = _("Not enough lessons yet: one lesson with {kind} that was not cut off is needed.")
        return words.format(kind=kind_words(found.measure))
    if found.limits is None or found.median is None or not found.is_judged:
        return _(
            "Not enough lessons yet: {n} of {needed}. The first {baseline} are the baseline that later ones "
            "are held against."
        ).format(n=count, needed=BASELINE + 1, baseline=BASELINE)
    mean, median = found.limits.center, found.median
    told = _verdict_words(found, mean - median), _now_words(found, median, mean), _change_words(found)
    return " ".join(filter(None, (*told, _left_out_words(found))))


def _verdict_words(found: Improving, less: float) -> str:
    """The answer first. ``less``: how far the latest median lies below the baseline's mean."""
    late = found.measure == LATE
    match found.verdict:
        case "less" if late:
            words = _("Yes: groups start {time} earlier now than in the first {n} lessons.")
        case "more" if late:
            words = _("No: groups start {time} later now than in the first {n} lessons.")
        case "less":
            words = _("It takes less of its budget now than in the first {n} lessons.")
        case "more":
            words = _("It takes more of its budget now than in the first {n} lessons.")
        case "was":
            words = _("Not any more: there was a change, but the latest lessons don't keep it.")
        case "single":
            words = _("Not lasting: only single lessons stand out.")
        case _:
            words = _("Not so far.")
    return words.format(time=format_duration(floor(abs(less) + 0.5)), n=found.baseline)


def _left_out_words(found: Improving) -> str:
    """Lessons in which groups never started are not the good ones: they are told."""
    if not found.left_out or found.measure != LATE:
        return ""
    words = ngettext(
        "{n} lesson in which groups never started is left out.",
        "{n} lessons in which groups never started are left out.",
        found.left_out,
    )
    return words.format(n=found.left_out)


def _now_words(found: Improving, median: float, center: float) -> str:
    if found.measure == LATE:
        words = _(
            "At the median of the latest {n} lessons groups started {now}; the mean of the first {first} was "
            "{then} ({count} lessons)."
        )
        now, then = late_words(median), late_words(center)
    else:
        words = _(
            "At the median of the latest {n} lessons it took {now} times its budget; the mean of the first "
            "{first} was {then} ({count} lessons)."
        )
        now, then = value_words(found, median), value_words(found, center)
    return words.format(
        n=MEDIAN_LESSONS, now=now, first=found.baseline, then=then, count=len(found.values)
    )  # fmt: skip


def _change_words(found: Improving) -> str:
    """What the rule calls, and by which part of it; of several stretches the latest."""
    if not found.changes:
        return _("No change beyond the usual ups and downs.")
    parts = [_run_words(found, found.runs[-1])] if found.runs else []
    if found.outside:
        at = found.outside[-1]
        one = found.values[at]
        words = ngettext(
            "{n} lesson outside the limits ({value} on {date})",
            "{n} lessons outside the limits (the latest {value} on {date})",
            len(found.outside),
        )
        parts.append(
            words.format(n=len(found.outside), value=value_words(found, one.value), date=date_words(one.date))
        )
    return _("A change by the rule: {parts}.").format(parts="; ".join(parts))


def _run_words(found: Improving, run: OneSidedRun) -> str:
    words = (
        _("{n} lessons in a row above the mean from {since} to {until}")
        if run.side > 0
        else _("{n} lessons in a row below the mean from {since} to {until}")
    )
    since, until = (date_words(found.values[at].date) for at in (run.first, run.last))
    return words.format(n=run.lessons, since=since, until=until)


def _table(found: Improving) -> Table:
    """Every lesson, the newest first, then what the picture's lines stand for."""
    is_late = found.measure == LATE
    value = _("Groups late (m:ss)") if is_late else _("Actual, times the budget")
    headings = (_("Date"), _("Lesson"), value, _("Baseline or later"), _("Called a change"))
    words = {"outside": _("outside the limits"), "run": _("{n} in a row").format(n=RUN_LENGTH)}
    called = {at: words[change] for at, change in found.changes}
    rows = [
        (
            date_words(one.date), one.title, value_words(found, one.value),
            _("baseline") if at < found.baseline else _("later"), called.get(at, ""),
        )
        for at, one in enumerate(found.values)
    ][::-1]  # fmt: skip
    if found.limits is not None:
        limits = found.limits
        for name, level in (
            (_("Mean of the baseline"), limits.center),
            (_("Mean moving range"), limits.mean_range),
            (_("Upper limit"), limits.upper),
            (_("Lower limit"), limits.lower),
        ):
            rows.append((name, "", value_words(found, level), "", ""))
    if found.median is not None and found.is_judged:
        name = _("Median of the latest {n}").format(n=MEDIAN_LESSONS)
        rows.append((name, "", value_words(found, found.median), "", ""))
    if found.left_out:
        rows.append((_("Lessons left out"), "", str(found.left_out), "", ""))
    return Table(headings, tuple(rows), (2,))
