"""What one more minute costs, what the re-cut takes, what the groups keep and what the odds are, in words."""

from dataclasses import dataclass

from pacer.frames.words.wording import lessons_words, signed_change
from pacer.pace.groups import Rotations, groups_today
from pacer.pace.leave import Leaver
from pacer.pace.price import MINUTE_S, Payer, Payment, Price
from pacer.pace.reading import Changes, Reading
from pacer.pace.talk import TalkShares
from pacer.plan.durations import format_duration
from pacer.remember import identity_cache
from pacer.review.statistics.rounding import half_up
from pacer.run.events import Forecasted
from pacer.run.state import LessonState
from pacer.text import _, counted

NAMED_AT_MOST = 2
SENTENCE_NAMES = 4  # each gives a step of 15 s at the least, but for what is to spare: a fifth is rare
TITLE_WORDS = 4
OF = 10  # such days
NEARLY = 0.005  # nearer to none or to all it is said as that
WHOLE = 1000  # words: where a row is too short for a title, the Desk leaves some out


@dataclass(frozen=True)
class Outlook:
    """What a reading says of the time to come, all of it by one cut from now on.

    ``recut`` pairs phases with the seconds they gain (negative: give) against their written budgets;
    ``short_s`` is what is missing even then. ``talk`` and ``odds`` hold for some seconds.
    """

    price: Price
    recut: Changes
    leaving: tuple[Leaver, ...]
    short_s: int
    groups: Rotations | None
    talk: TalkShares
    odds: Forecasted | None


def outlook(reading: Reading, kept: Outlook | None = None) -> Outlook | None:
    """The outlook now; None when no phase is running. Talk and odds are those of ``kept``, where given."""
    cost, fitting = reading.price, reading.fitting
    if cost is None or fitting is None:
        return None
    return Outlook(
        price=cost,
        recut=reading.recut,
        leaving=fitting.leaving,
        short_s=fitting.short_s,
        groups=reading.groups,
        talk=reading.talk_shares if kept is None else kept.talk,
        odds=reading.odds if kept is None else kept.odds,
    )


@identity_cache
def payer_words(state: LessonState, cost: Price) -> tuple[str, ...]:
    """Who pays for one more minute, each with the amount first; a second is for all others, or instead."""
    paying = cost.payments
    if not paying or paying == (Payment("spare", MINUTE_S),):
        return (_("costs nothing yet"),)
    first = _payer_words(state, paying[0], WHOLE)
    if cost.or_leaves:
        whole = first if len(paying) == 1 else _others(MINUTE_S)
        return _leaves_words(state, cost.or_leaves, WHOLE), _("or {payer}", payer=whole)
    if len(paying) == 1:
        return (first,)
    rest_s = sum(payment.seconds for payment in paying[1:])
    second = _payer_words(state, paying[1], WHOLE) if len(paying) == NAMED_AT_MOST else _others(rest_s)
    return first, _("+ {payer}", payer=second)


def _others(seconds: int) -> str:
    return _("{time} others", time=format_duration(seconds))


@identity_cache
def price_words(state: LessonState, cost: Price, most: int = SENTENCE_NAMES) -> str:
    """Who pays for one more minute: up to ``most`` payers by name and one sum for any others, which add up
    to the minute; five words when one pays.
    """
    paying = cost.payments
    if not paying or paying == (Payment("spare", MINUTE_S),):
        return _("1 more min: costs nothing yet")
    told = [_payer_words(state, payment) for payment in paying[:most]]
    if len(paying) > most:
        told.append(_others(sum(payment.seconds for payment in paying[most:])))
    if cost.or_leaves and most > 1:
        leaves = _leaves_words(state, cost.or_leaves)
        return _("1 more min: {phases}, or {payer}", phases=leaves, payer=" + ".join(told))
    return _("1 more min: {payers}", payers=" + ".join(told))


def _payer_words(state: LessonState, payment: Payment, most: int = TITLE_WORDS) -> str:
    seconds = payment.seconds
    count = max(1, groups_today(state))
    # Rounded up it would not add up to a minute beside another payer.
    if payment.payer == "groups" and (seconds == MINUTE_S or seconds % count == 0):
        return _("{s} s a group", s=-(-seconds // count))
    return _("{time} {payer}", time=format_duration(seconds), payer=_payer_title(state, payment.payer, most))


def _leaves_words(state: LessonState, leaving: tuple[int, ...], most: int = TITLE_WORDS) -> str:
    """Who leaves so that nobody else need pay; more than one are counted."""
    if len(leaving) == 1:
        return _("{phase} leaves", phase=_payer_title(state, leaving[0], most))
    return counted("{n} phase leaves", "{n} phases leave", len(leaving))


def _payer_title(state: LessonState, payer: Payer, most: int) -> str:
    if isinstance(payer, int):
        words = state.plan.phases[payer].title.split()
        return " ".join(words[:most]) + ("…" if len(words) > most else "")
    return {
        "spare": _("to spare"),
        "groups": _("groups"),
        "share": _("share"),
        "over": _("past the end"),
    }[payer]


def recut_words(reading: Reading) -> str:
    """The shorter times as a question, as long as it has not been answered.

    It is asked at a border; what it names is what is taken from now on. That a phase must leave can come up
    later, and then it is asked again: what is named is what would leave if the cut were kept now.
    """
    state, fitting = reading.state, reading.fitting
    if fitting is None or not state.is_cut:
        return ""
    if fitting.leaving:
        gone = ", ".join(_leaver_words(state, leaver) for leaver in fitting.leaving)
        return _("Too short: {phases}. K keep, U undo.", phases=gone)
    if not reading.asks or not reading.taken:
        return ""
    words = ", ".join(f"{state.plan.phases[j].title} {signed_change(change)}" for j, change in reading.taken)
    return _("{cuts}: K keep, U undo", cuts=words)


def _leaver_words(state: LessonState, leaver: Leaver) -> str:
    title = state.plan.phases[leaver.index].title
    return {
        "table": _("{phase} to the table"),
        "tomorrow": _("{phase} to tomorrow"),
        "dropped": _("{phase} is dropped"),
    }[leaver.to].format(phase=title)


def groups_words(visits: Rotations | None) -> str:
    """What the mini lesson leaves to the groups."""
    if visits is None or visits.count == 0:
        return ""
    return _("Groups keep {count} × {length}", count=visits.count, length=format_duration(visits.timed_s))


def odds_words(odds: Forecasted | None) -> str:
    """The odds of starting groups on time in tens of such days; silent without them.

    All of ten, or none, is said alone only where it is so: where one day of twenty is not, it was said in 6
    to 12 of 100 cases.
    """
    if odds is None:
        return ""
    low, high = sorted((tens(odds.low), tens(odds.high)))
    lessons = lessons_words(odds.lessons)
    if low == high == OF and min(odds.low, odds.high) < 1 - NEARLY:
        return _("On time: over 9 of 10 such days ({lessons})", lessons=lessons)
    if low == high == 0 and max(odds.low, odds.high) > NEARLY:
        return _("On time: under 1 of 10 such days ({lessons})", lessons=lessons)
    days = _("{low} to {high}", low=low, high=high) if low != high else str(low)
    return _("On time: about {days} of 10 such days ({lessons})", days=days, lessons=lessons)


def tens(share: float) -> int:
    """A share as so many of ten, rounded half up."""
    return half_up(share * OF)
