"""What the questions share: axes of rows and of lessons, a legend's entries for boxes, figures in words."""

from collections.abc import Iterable, Sequence
from fractions import Fraction

from pacer.frames.pictures.chart import Axis, ChartBox, Dots, LegendKey, Pattern, Tone
from pacer.frames.pictures.day_ticks import day_ticks
from pacer.plan.durations import format_duration
from pacer.review.statistics.rounding import half_up, percent
from pacer.text import _

FillLook = tuple[Tone, Pattern]

LEAST_LESSONS = 5  # to say what is usual


def row_axis(label: str, rows: Iterable[str], least: int = 1) -> Axis:
    """Rows at 0, 1, 2, … from the top down, with room for ``least`` of them."""
    ticks = tuple((float(at), words) for at, words in enumerate(rows))
    return Axis(label, -0.5, max(len(ticks), least) - 0.5, ticks, upside_down=True)


def lesson_axis(dates: Sequence[str], least: int = 0) -> Axis:
    """Lessons at 0, 1, 2, … by their ISO dates, with room for ``least`` of them."""
    return Axis(_("Lessons in order, by date"), -0.5, max(len(dates), least) - 0.5, day_ticks(dates))


def box_keys(
    boxes: Sequence[ChartBox], looks: Iterable[FillLook], texts: Iterable[str]
) -> tuple[LegendKey, ...]:
    """An entry for each look that a box has, in the order of the looks."""
    drawn = {(box.tone, box.pattern) for box in boxes}
    return tuple(
        LegendKey(ChartBox(0, 1, 0, 1, *look), text)
        for look, text in zip(looks, texts, strict=True)
        if look in drawn
    )


def drawn_dots(*listed: tuple[Dots, str]) -> tuple[tuple[Dots, ...], tuple[LegendKey, ...]]:
    """Of dots and what they mean, those that have points, and an entry of the legend for each."""
    drawn = [(dots, text) for dots, text in listed if dots.points]
    return tuple(dots for dots, _text in drawn), tuple(LegendKey(dots, text) for dots, text in drawn)


def too_few_words(lessons: int) -> str:
    """That so many lessons are too few to say what is usual."""
    return _("Not enough lessons yet for what is usual: {n} of {needed}.", n=lessons, needed=LEAST_LESSONS)


def late_words(seconds: Fraction | float) -> str:
    """How late groups started, a half second up: ``2:10 late``, ``0:30 early``, ``on time``."""
    whole = half_up(seconds)
    if not whole:
        return _("on time")
    words = _("{time} late") if whole > 0 else _("{time} early")
    return words.format(time=format_duration(abs(whole)))


def range_words(low: Fraction, high: Fraction) -> str:
    """Shares in whole percent, ``44 % to 56 %``; one figure where both ends are the same."""
    least, most = percent(low), percent(high)
    if least == most:
        return _("{n} %", n=least)
    return _("{low} % to {high} %", low=least, high=most)


def hundredths_words(hundredths: int) -> str:
    """Hundredths as a number with two places: ``1.35``."""
    sign = "−" if hundredths < 0 else ""
    return f"{sign}{abs(hundredths) // 100}.{abs(hundredths) % 100:02d}"
