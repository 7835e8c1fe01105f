"""How long does it really take? The share of lessons still going, minute by minute, beside the budget."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from pacer.frames.pictures.chart import Axis, Chart, ChartLine, ChartWords, Dots, LegendKey, Table
from pacer.frames.pictures.shared import drawn_dots
from pacer.frames.words.choice import choice_words, date_words
from pacer.frames.words.kinds import kind_words
from pacer.frames.words.wording import ending_words, lessons_words
from pacer.plan.durations import format_duration
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.how_long import LEAST_LESSONS, SHARE, HowLong, how_long
from pacer.text import _, ngettext

OF = 10  # shares are told as so many of 10 lessons
FEW = 15  # up to so many endings, those that were done are dots, too
STEP_S = 15
MOST_TICKS = 12
TICK_STEPS_S = (15, 30, 60, 120, 300, 600, 1800)  # a phase lasts less than four hours
_OF_TEN = "{:.2f}"


def chart(days: Sequence[Day], choice: LessonChoice, phase: str = "") -> Chart:
    """The picture for a kind, or for a phase's id where one title is chosen; empty: the kind met most."""
    durations = how_long(days, choice, phase)
    title = _("How long does it really take?")
    if durations is None:
        missing = _(
            "Not enough lessons yet: there is none with such a phase. The curve appears with the first "
            "lesson, and what it says of most days after {needed}."
        ).format(needed=lessons_words(LEAST_LESSONS))
        in_force = replace(choice, kinds=(phase,)) if phase else choice
        return Chart("how_long", title, 0, missing, choice=choice_words(in_force, 0))
    name = _what(durations, days, choice)
    in_force = replace(choice, kinds=() if durations.by_id else (durations.name,))
    budget = durations.budget_s / 60
    curve = ChartLine(_curve(durations), steps=True)
    written = ChartLine(((budget, 0), (budget, OF)), "dashed", "over")
    dots, dot_keys = _dots(durations)
    enough, point, enough_keys, words = _enough(durations)
    return Chart(
        name="how_long",
        title=title,
        lessons=durations.lessons,
        summary=_summary(durations, name),
        x=_x_axis(durations, name),
        y=Axis(
            _("Still going, of 10 lessons"), 0, OF, tuple((float(n), str(n)) for n in range(0, OF + 1, 2))
        ),
        lines=(curve, written, *enough),
        dots=(*dots, *point),
        words=words,
        keys=(
            LegendKey(curve, _("still going")),
            LegendKey(written, _("written budget, {time}", time=format_duration(durations.budget_s))),
            *enough_keys,
            *dot_keys,
        ),
        table=_table(durations),
        choice=choice_words(in_force, durations.lessons),
    )


def _what(durations: HowLong, days: Sequence[Day], choice: LessonChoice) -> str:
    """The kind in words, or the title that the phase had last."""
    if not durations.by_id:
        return kind_words(durations.name)
    titles = [
        phase.title for day in choice.learning(days) for phase in day.mini if phase.id == durations.name
    ]
    return titles[-1] if titles else durations.name


def _x_axis(durations: HowLong, name: str) -> Axis:
    """Minutes, from 0 to a little more than the longest, or the budget; at most 12 round times are named."""
    longest = max(float(durations.took[-1].scaled_s), durations.budget_s)
    upper = ceil(longest * 1.05 / STEP_S) * STEP_S / 60
    step = next((s for s in TICK_STEPS_S if upper * 60 <= s * MOST_TICKS), TICK_STEPS_S[-1])
    ticks = tuple((s / 60, format_duration(s)) for s in range(0, int(upper * 60) + 1, step))
    label = _("{what}: time it takes (m:ss)")
    if durations.budgets_differ:
        label = _("{what}: time it takes (m:ss), scaled to the last budget")
    return Axis(label.format(what=_begun(name)), 0, upper, ticks)


def _begun(name: str) -> str:
    """Words as they begin a sentence."""
    return name[:1].upper() + name[1:]


def _curve(durations: HowLong) -> tuple[tuple[float, float], ...]:
    """Minutes and lessons of 10, a point for each length at which one was over or broken off."""
    points = {0.0: float(OF)}
    for ending, share in zip(durations.took, durations.still_going, strict=True):
        points[float(ending.scaled_s) / 60] = OF * share
    return tuple(points.items())


def _dots(durations: HowLong) -> tuple[tuple[Dots, ...], tuple[LegendKey, ...]]:
    """Rings where something was broken off; of a few lessons, dots where the work was done."""
    places: dict[bool, list[tuple[float, float]]] = {True: [], False: []}
    for ending, share in zip(durations.took, durations.still_going, strict=True):
        places[ending.complete].append((float(ending.scaled_s) / 60, OF * share))
    few = len(durations.took) <= FEW
    return drawn_dots(
        (Dots(tuple(places[False]), "ring"), _("not finished: it takes at least this long")),
        (Dots(tuple(places[True]) if few else ()), _("finished")),
    )


def _enough(
    durations: HowLong,
) -> tuple[tuple[ChartLine, ...], tuple[Dots, ...], tuple[LegendKey, ...], tuple[ChartWords, ...]]:
    """The point that 7 of 10 lessons stay within, with its line; nothing below 5 lessons or where unknown."""
    seconds, at_least = durations.enough_s if durations.enough else (0.0, True)
    if at_least:
        return (), (), (), ()
    minutes, level = seconds / 60, OF * (1 - SHARE)
    point = Dots(((minutes, level),), "square", "over")
    line = ChartLine(((0, level), (minutes, level)), "dotted", "quiet")
    text = _("7 of 10 are over by {time}", time=_whole(seconds))
    return (line,), (point,), (LegendKey(point, text),), (ChartWords(minutes, level + 0.5, _whole(seconds)),)


def _whole(seconds: float) -> str:
    """A length as ``m:ss``, a part of a second as a whole one: it must be enough."""
    return format_duration(ceil(seconds - 1e-6))


def _summary(durations: HowLong, name: str) -> str:
    if not durations.enough:
        return ngettext(
            "Not enough lessons yet to say how long it takes ({what}): {n} so far, {needed} are needed.",
            "Not enough lessons yet to say how long it takes ({what}): {n} so far, {needed} are needed.",
            durations.lessons,
        ).format(what=name, n=durations.lessons, needed=LEAST_LESSONS)
    return f"{_over_words(durations, name)}; {_enough_words(durations)}"


def _over_words(durations: HowLong, name: str) -> str:
    """How often it took longer than its own budget; at least so often where some were broken off."""
    least = durations.maybe_over > 0
    budget = _("its budget") if durations.budgets_differ else format_duration(durations.budget_s)
    if least and not durations.over:
        words = _("{what} was never seen to take longer than {budget} in {counted} ({n} unfinished)")
    elif durations.budgets_differ:
        words = (
            _("{what} took longer than its budget in at least {over} of {counted}")
            if least
            else _("{what} took longer than its budget in {over} of {counted}")
        )
    else:
        words = (
            _("{what} took longer than its {budget} in at least {over} of {counted}")
            if least
            else _("{what} took longer than its {budget} in {over} of {counted}")
        )
    return words.format(
        what=_begun(name),
        budget=budget,
        over=durations.over,
        counted=_counted(durations),
        n=durations.maybe_over,
    )


def _counted(durations: HowLong) -> str:
    """The lessons, or the times where a lesson has several."""
    times = len(durations.took)
    if times == durations.lessons:
        return lessons_words(times)
    return _("{n} times in {lessons} lessons", n=times, lessons=durations.lessons)


def _enough_words(durations: HowLong) -> str:
    seconds, at_least = durations.enough_s
    if at_least:
        return _("7 of 10 days need at least {time}, more is not known.", time=_whole(seconds))
    if durations.budgets_differ:
        return _("where {budget} is written, {time} is enough on about 7 of 10 days.").format(
            budget=format_duration(durations.budget_s), time=_whole(seconds)
        )
    return _("on about 7 of 10 days {time} is enough.", time=_whole(seconds))


def _table(durations: HowLong) -> Table:
    """Every ending, the shortest first, then what the lines and the square stand for."""
    headings = (
        _("Date"), _("Lesson"), _("Budget (m:ss)"), _("Actual (m:ss)"), _("Ended"), _("It takes"),
        _("Of a budget of {time} (m:ss)", time=format_duration(durations.budget_s)),
        _("Still going after it (of 10)"),
    )  # fmt: skip
    rows = [
        (
            date_words(ending.past.date), ending.title, format_duration(round(ending.past.planned_s)),
            format_duration(round(ending.past.actual_s)), ending_words(ending.past.ending),
            _("this long") if ending.complete else _("at least this long"),
            scaled_words(float(ending.scaled_s)), _OF_TEN.format(OF * share),
        )
        for ending, share in zip(durations.took, durations.still_going, strict=True)
    ]  # fmt: skip
    if durations.enough:
        seconds, at_least = durations.enough_s
        takes = _("at least this long") if at_least else _("this long")
        rows.append((_("7 of 10 lessons"), "", "", "", "", takes, scaled_words(seconds), _OF_TEN.format(3)))
    return Table(headings, tuple(rows), (2, 3, 6, 7))


def scaled_words(seconds: float) -> str:
    """Seconds that may have a part as ``m:ss`` to a tenth of a second, without it where there is none."""
    tenths = round(seconds * 10)
    whole, rest = divmod(tenths, 10)
    return format_duration(whole) + (f".{rest}" if rest else "")
