"""Did the odds tell the truth? What was said across, what came true upwards; on the diagonal they agree."""

from collections.abc import Sequence
from dataclasses import replace

from pacer.frames.pictures.chart import Axis, Chart, ChartLine, ChartWords, Dots, LegendKey, Table
from pacer.frames.words.choice import choice_words
from pacer.frames.words.wording import lessons_words
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.odds_truth import OddsGroup, OddsTruth, odds_truth
from pacer.text import _, counted, ngettext

LEAST_FORECASTS = 20
WIDE = 0.05  # a range of what was said is drawn from this width on
TEN = 10  # shares are told as so many of ten
_ROOM = 0.4  # beyond 0 and 10, for dots at the very ends
_DIAGONAL = ChartLine(((0, 0), (TEN, TEN)), "dashed", "quiet")
_MAY_BE = ChartLine(((0, 0), (0, TEN)), "solid", "second")
_SAID = ChartLine(((0, 0), (TEN, 0)), "dotted", "main")


def chart(days: Sequence[Day], choice: LessonChoice) -> Chart:
    """The forecasts of the lessons that are shown; chosen kinds choose at which phases they were made."""
    calibration = odds_truth(days, choice)
    lessons = 0 if calibration.whole is None else calibration.whole.lessons
    groups = [tenth.group for tenth in calibration.tenths]
    dots = Dots(tuple((TEN * group.said, TEN * group.share) for group in groups))
    ticks = tuple((float(at), str(at)) for at in range(TEN + 1))
    # Upright through each dot: where the true share may lie.
    may_be = [
        replace(_MAY_BE, points=tuple((TEN * group.said, TEN * end) for end in group.interval))
        for group in groups
    ]
    # Level through a dot: what was said as a range, where it was a wide one.
    ranges = [
        replace(_SAID, points=tuple((TEN * end, TEN * group.share) for end in (group.low, group.high)))
        for group in groups
        if group.high - group.low >= WIDE
    ]
    keys = (
        LegendKey(dots, _("a tenth of the odds, with the number of forecasts")),
        LegendKey(_MAY_BE, _("where the true share may lie (95 %)")),
        *([LegendKey(_SAID, _("the odds were a range"))] if ranges else []),
        LegendKey(_DIAGONAL, _("odds that come true as said")),
    )
    return Chart(
        name="odds_truth",
        title=_("Did the odds tell the truth?"),
        lessons=lessons,
        summary=_summary(calibration),
        x=Axis(_("Said: on so many of 10 such days groups start on time"), -_ROOM, TEN + _ROOM, ticks),
        y=Axis(_("Came true: so many of 10"), -_ROOM, TEN + _ROOM, ticks),
        dots=(dots,) if calibration.tenths else (),
        lines=(_DIAGONAL, *may_be, *ranges) if calibration.tenths else (),
        words=tuple(
            ChartWords(TEN * group.said, TEN * group.share, f" {group.count}", "left") for group in groups
        ),
        keys=keys if calibration.tenths else (),
        table=_table(calibration),
        choice=choice_words(choice, lessons),
    )


def _summary(calibration: OddsTruth) -> str:
    whole = calibration.whole
    if whole is None or whole.count < LEAST_FORECASTS:
        first = _("Not enough forecasts yet: {n} of {needed} whose end is known.").format(
            n=0 if whole is None else whole.count, needed=LEAST_FORECASTS
        )
        return f"{first} {_unknown_words(calibration)}".strip()
    first = _(
        "The odds said {said} of 10 on average and {share} of 10 came true: "
        "{came} of {n} forecasts in {lessons}",
        said=of_ten(whole.said, 1), share=of_ten(whole.share, 1), came=whole.came, n=whole.count,
        lessons=lessons_words(whole.lessons),
    )  # fmt: skip
    if calibration.unknown:
        first += _(" ({n} more can't be checked: the mini lesson was cut short)", n=calibration.unknown)
    second = ngettext(
        "What came true fits what was said in {n} of {all} tenth of the odds.",
        "What came true fits what was said in {n} of {all} tenths of the odds.",
        len(calibration.tenths),
    ).format(n=sum(tenth.group.is_truthful for tenth in calibration.tenths), all=len(calibration.tenths))
    return f"{_leaning_words(whole)} {first}. {second}"


def _leaning_words(whole: OddsGroup) -> str:
    """The answer first, from all forecasts together."""
    if whole.leaning == "hopeful":
        return _("The odds were too hopeful.")
    if whole.leaning == "gloomy":
        return _("The odds were too gloomy.")
    return counted(
        "The odds were about right, as far as {n} lesson can tell.",
        "The odds were about right, as far as {n} lessons can tell.",
        whole.lessons,
    )


def _unknown_words(calibration: OddsTruth) -> str:
    if not calibration.unknown:
        return _("The odds are silent until six lessons are known.")
    return counted(
        "{n} more can't be checked: the mini lesson was cut short.",
        "{n} more can't be checked: the mini lesson was cut short.",
        calibration.unknown,
    )


def of_ten(share: float, decimals: int = 2) -> str:
    """A share of 1 as so many of ten."""
    return f"{TEN * share:.{decimals}f}"


def _table(calibration: OddsTruth) -> Table:
    """A row per tenth, then all together, then what was left out."""
    headings = (
        _("Odds said (of 10)"), _("Forecasts"), _("Lessons"), _("Said, mean (of 10)"),
        _("Range from, mean (of 10)"), _("Range to, mean (of 10)"), _("Came true"),
        _("Came true (of 10)"), _("At least, 95 % (of 10)"), _("At most, 95 % (of 10)"),
        _("Brier score (0 best, 1 worst)"),
    )  # fmt: skip
    rows = [
        _row(_("{low} to {high}", low=tenth.low, high=tenth.low + 1), tenth.group)
        for tenth in calibration.tenths
    ]
    if calibration.whole is not None:
        rows.append(_row(_("all"), calibration.whole))
    if calibration.unknown:
        rows.append((_("not known"), str(calibration.unknown), *[""] * 9))
    return Table(headings, tuple(rows), tuple(range(1, 11)))


def _row(name: str, group: OddsGroup) -> tuple[str, ...]:
    low, high = group.interval
    return (
        name, str(group.count), str(group.lessons), of_ten(group.said), of_ten(group.low), of_ten(group.high),
        str(group.came), of_ten(group.share), of_ten(low), of_ten(high), f"{group.brier:.3f}",
    )  # fmt: skip
