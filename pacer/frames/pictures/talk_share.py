"""How much did I talk, and when longest? A ribbon per lesson; of many lessons, the range of each share."""

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from pacer.frames.pictures.chart import Axis, Chart, ChartBox, ChartLine, Dots, LegendKey, Table
from pacer.frames.pictures.shared import LEAST_LESSONS, FillLook, box_keys, lesson_axis, range_words, row_axis
from pacer.frames.words.choice import choice_words, date_words
from pacer.frames.words.kinds import talk_words
from pacer.plan.durations import format_duration
from pacer.plan.kinds import TalkMode
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.talk_share import TalkDay, TalkShareDays, talk_shares
from pacer.review.statistics.rounding import percent, whole_s
from pacer.text import _, ngettext

MOST_RIBBONS = 25
LEAST_ROWS = 3  # so many rows are left room for
HALF = 0.3  # of a row: half the height of a ribbon
MARK = 0.4  # below a row's middle: the longest stretch
_MODES: dict[TalkMode, FillLook] = {
    "teacher": ("main", "filled"),
    "class": ("second", "filled"),
    "partners": ("second", "dotted"),
    "quiet": ("quiet", "outline"),
    "unmarked": ("quiet", "hatched"),
}
_MARK_LINE = ChartLine(((0, 0), (1, 0)), "solid", "over")


def chart(days: Sequence[Day], choice: LessonChoice) -> Chart:
    """The picture of the lessons that are shown; kinds of phases don't matter to it."""
    shares = talk_shares(choice.days(days))
    count = len(shares.days)
    empty = Chart(
        name="talk_share",
        title=_("How much did I talk, and when longest?"),
        lessons=count,
        summary=_summary(shares),
        table=_table(shares, with_pieces=count <= MOST_RIBBONS),
        choice=choice_words(replace(choice, kinds=()), count),
    )
    if not count:
        return empty
    return _ribbons(shares, empty) if count <= MOST_RIBBONS else _ranges(shares, empty)


def _ribbons(shares: TalkShareDays, empty: Chart) -> Chart:
    """A row per lesson, the newest at the top; minutes since its start."""
    rows = shares.days[::-1]
    boxes, lines = list[ChartBox](), list[ChartLine]()
    for row, day in enumerate(rows):
        for begin, end, mode in day.pieces:
            if end > begin:
                boxes.append(ChartBox(begin / 60, end / 60, row - HALF, row + HALF, *_MODES[mode]))
        if day.talk.longest_ms:
            begin_min = day.talk.longest_from_ms / 60_000
            end_min = begin_min + day.talk.longest_ms / 60_000
            lines.append(replace(_MARK_LINE, points=((begin_min, row + MARK), (end_min, row + MARK))))
    names = (f"{date_words(day.date)}: {share_words(day)}" for day in rows)
    upper = max([1, *(ceil(end / 60) for day in rows for _begin, end, _mode in day.pieces)])
    keys = list(box_keys(boxes, _MODES.values(), map(talk_words, _MODES)))
    if lines:
        keys.append(LegendKey(_MARK_LINE, _("longest unbroken talk: from when, how long (pauses left out)")))
    return replace(
        empty,
        x=Axis(_("Minutes since the lesson began"), 0, upper),
        y=row_axis(_("Lesson; teacher talk in % of the mini lesson"), names, LEAST_ROWS),
        boxes=tuple(boxes),
        lines=tuple(lines),
        keys=tuple(keys),
    )


def _ranges(shares: TalkShareDays, empty: Chart) -> Chart:
    """A bar per lesson in order: what was surely talk, and on top of it what may have been."""
    sure, maybe = _MODES["teacher"], _MODES["unmarked"]
    boxes: list[ChartBox] = []
    for at, day in enumerate(shares.days):
        low, high = float(100 * day.low), float(100 * day.high)
        boxes += [ChartBox(at - 0.4, at + 0.4, 0, low, *sure)] if low else []
        boxes += [ChartBox(at - 0.4, at + 0.4, low, high, *maybe)] if high > low else []
    count = len(shares.days)
    low, high = float(100 * shares.low), float(100 * shares.high)
    low_line = ChartLine(((-0.5, low), (count - 0.5, low)), "dashed", "over")
    high_line = ChartLine(((-0.5, high), (count - 0.5, high)), "dotted", "over")
    keys = [LegendKey(ChartBox(0, 1, 0, 1, *sure), _("teacher talk"))]
    if shares.low == shares.high:
        keys.append(LegendKey(low_line, _("median, {n} %", n=percent(shares.low))))
    else:
        keys.append(LegendKey(ChartBox(0, 1, 0, 1, *maybe), _("unmarked: may have been talk")))
        keys.append(LegendKey(low_line, _("median without it, {n} %", n=percent(shares.low))))
        keys.append(LegendKey(high_line, _("median with it, {n} %", n=percent(shares.high))))
    dots: tuple[Dots, ...] = ()
    if (longest := shares.longest) is not None:
        above = min(98.0, float(100 * longest.high) + 3)
        dots = (Dots(((float(shares.days.index(longest)), above),), "triangle", "over"),)
        words = _("longest unbroken talk, {time}", time=_ms_words(longest.talk.longest_ms))
        keys.append(LegendKey(dots[0], words))
    ticks = tuple((float(n), str(n)) for n in range(0, 101, 20))
    return replace(
        empty,
        x=lesson_axis([day.date for day in shares.days]),
        y=Axis(_("Teacher talk in % of the mini lesson"), 0, 100, ticks),
        boxes=tuple(boxes),
        lines=(low_line,) if shares.low == shares.high else (low_line, high_line),
        dots=dots,
        keys=tuple(keys),
    )


def share_words(day: TalkDay) -> str:
    """A lesson's share: ``44 % to 56 %``, or ``44 %`` where nothing is unmarked."""
    return range_words(day.low, day.high)


def _summary(shares: TalkShareDays) -> str:
    if not shares.days:
        return _("Not enough lessons yet: one lesson with a mini lesson is needed.")
    count = len(shares.days)
    if count >= LEAST_LESSONS:
        share = _("Your talk was {share} of the mini lesson at the median of {n} lessons.").format(
            share=range_words(shares.low, shares.high), n=count
        )
    else:
        latest = shares.days[-1]
        share = ngettext(
            "Your talk was {share} of the mini lesson on {date}; not enough lessons yet for a median: "
            "{n} of {needed}.",
            "Your talk was {share} of the mini lesson on {date}; not enough lessons yet for a median: "
            "{n} of {needed}.",
            count,
        ).format(share=share_words(latest), date=date_words(latest.date), n=count, needed=LEAST_LESSONS)
    return f"{share} {_longest_words(shares)}"


def _longest_words(shares: TalkShareDays) -> str:
    day = shares.longest
    if day is None:
        return _("No time was marked as teacher talk.")
    talk = day.talk
    if len(shares.days) == 1:
        words = _("The longest stretch without a break was {time}, from {begin} into it")
    else:
        words = _("The longest stretch without a break was {time}, from {begin} into the lesson of {date}")
    longest_words = words.format(
        time=_ms_words(talk.longest_ms), begin=_ms_words(talk.longest_from_ms), date=date_words(day.date)
    )
    if talk.wide_ms > talk.longest_ms:
        longest_words += _(" (if unmarked time was talk: {time} from {begin})").format(
            time=_ms_words(talk.wide_ms), begin=_ms_words(talk.wide_from_ms)
        )
    return longest_words + "."


def _ms_words(ms: int) -> str:
    return format_duration(whole_s(ms))


def _table(shares: TalkShareDays, *, with_pieces: bool) -> Table:
    """Every lesson, the newest first as in the picture of ribbons, then the medians."""
    headings = [
        _("Date"), _("Lesson"), _("Teacher talk (m:ss)"), _("Unmarked (m:ss)"),
        _("Mini lesson without pauses (m:ss)"), _("Share at least (%)"), _("Share at most (%)"),
        _("Longest talk (m:ss)"), _("From (m:ss)"), _("Longest if unmarked was talk (m:ss)"),
        _("From (m:ss)"),
    ]  # fmt: skip
    rows = [_row(day, with_pieces=with_pieces) for day in shares.days[::-1]]
    if with_pieces:
        headings.append(_("In order, pauses included (m:ss)"))
    if len(shares.days) >= LEAST_LESSONS:
        medians = (str(percent(shares.low)), str(percent(shares.high)))
        rows.append((_("Median"), "", "", "", "", *medians, *[""] * (len(headings) - 7)))
    return Table(tuple(headings), tuple(rows), tuple(range(2, 11)))


def _row(day: TalkDay, *, with_pieces: bool) -> tuple[str, ...]:
    talk = day.talk
    row = (
        date_words(day.date), day.title, _ms_words(talk.teacher_ms), _ms_words(talk.unmarked_ms),
        _ms_words(talk.total_ms), str(percent(day.low)), str(percent(day.high)),
        *(_stretch_words(talk.longest_ms, talk.longest_from_ms)),
        *(_stretch_words(talk.wide_ms, talk.wide_from_ms)),
    )  # fmt: skip
    return (*row, _pieces_words(day)) if with_pieces else row


def _stretch_words(length_ms: int, begin_ms: int) -> tuple[str, str]:
    return (_ms_words(length_ms), _ms_words(begin_ms)) if length_ms else ("", "")


def _pieces_words(day: TalkDay) -> str:
    return ", ".join(
        f"{talk_words(mode)} {format_duration(begin)}–{format_duration(end)}"
        for begin, end, mode in day.pieces
    )
