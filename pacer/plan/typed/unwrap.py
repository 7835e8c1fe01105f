"""Takes off what other programs put around a plan: marks of mail, stamps of a chat, struck-out words."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from pacer.plan.typed.vocabulary import CLASS_LABELS, DAYS, MAIL_LABELS, NOTE_LABELS, ORDINALS, phrase
from pacer.text import _

_QUOTE = re.compile(r"\s{0,3}(?:>\s?){1,6}")
_QUOTED_LIST = re.compile(r"\s{0,3}>\s?(?:>|[-•*+]\s|\d{1,2}[.)]\s)")
_WROTE = re.compile(r"(?:wrote|schrieb|a écrit|escribió|escreveu|ha scritto)\b[^:]{0,60}:$")
_STROKE = re.compile("(?:[^\u0335\u0336][\u0335\u0336])++")
_STRUCK = re.compile(r"~~[^~]{1,400}~~|<(s|del|strike)>[^<>]{1,400}</\1>", re.IGNORECASE)
_NAME = r"(?P<name>[^\W\d_][\w.'’-]{0,15}(?: [\w.'’-]{1,15})?)"
_TIME = r"\d{1,2}[:.]\d{2}(?::\d{2})?(?:\s?[ap]\.?m\b\.?)?"
_DATE = r"(?:\d{1,4}[/.-]\d{1,2}(?:[/.-]\d{2,4})?,? )"
_STAMP = re.compile(
    rf"\s{{0,3}}(?P<sure>[\[(]{_DATE}?|{_DATE})?{_TIME}[\])]?\s?(?:[-–—]\s)?{_NAME}:\s(?P<rest>.*)", re.I
)
_STAMP_AFTER = re.compile(rf"\s{{0,3}}{_NAME} ?(?P<sure>[(\[,]) ?{_DATE}?{_TIME}[)\]]?:\s(?P<rest>.*)", re.I)
_STAMP_WITHIN = re.compile(rf"\s{{0,3}}{_NAME}:\s?(?P<sure>[(\[]){_DATE}?{_TIME}[)\]]:?\s(?P<rest>.*)", re.I)
_STAMP_ALONE = re.compile(rf"\s{{0,3}}{_NAME}[ ,\u2013-]{{1,4}}{_DATE}?{_TIME}\s{{0,3}}", re.I)
_STAMPS = (_STAMP, _STAMP_AFTER, _STAMP_WITHIN)
_NAME_ALONE = re.compile(rf"\s{{0,3}}{_NAME}:\s(?P<rest>.*)")
_ORDINAL = re.compile(
    r"[\s*_#•-]{0,8}(?P<word>[^\W\d_]{4,10}) (?P<at>\d{1,2})[*_]{0,2}(?:\s?[:.)–—-]\s{1,3}(?P<rest>.*))?\s*"
)
_DAY = re.compile(r"[\s*•-]{0,4}(?P<day>[^\W\d_]{2,10})\.?:\s{1,3}(?P<rest>.+)")
_TAG = re.compile(r"</?(?:br|p|li|b|i|u|em|strong|td|th|tr|ul|ol|div|span)\s?/?>", re.IGNORECASE)
_BOLD_NUMBER = re.compile(r"\*\*(\d[^*]{0,20})\*\*")
_LED_IN = re.compile(
    r"^\s{0,3}(?:(?:ok|okay|yes|so|and|then|next|luego|y|dann|und|puis|depois)[ ,]{1,3}){1,3}", re.IGNORECASE
)
_CLAUSE = re.compile(r"\s{0,3}\w{1,8} (?:i|we|they|you|he|she|the)\b", re.IGNORECASE)
_FEWEST, _LONGEST_LABEL = 3, 31
_EXPLICIT = re.compile(r'\s*".*" (?:\d|\?)')


@dataclass
class Inner:
    """What a line says inside its wrapping. ``is_talk``: beside a plan, unless it has minutes of its own.

    ``lead`` counts the parts of a plan, "Step 1: ": it stands before the title and is not read.
    """

    text: str
    lead: str = ""
    is_outside: bool = False
    is_talk: bool = False
    doubts: list[str] = field(default_factory=list)


def unwrap(raws: Sequence[str]) -> list[Inner]:
    """What each line of a text says, without quote marks, stamps and what is struck out."""
    inners = [Inner(raw) for raw in raws]
    _take_quotes(inners)
    _take_stamps(inners)
    led = [inner for inner in inners if _LED_IN.match(inner.text)]
    for inner in led:
        if inner.is_talk or (len(led) > 1 and not _CLAUSE.match(inner.text)):
            inner.text = _LED_IN.sub("", inner.text, 1)
    _take_ordinals(inners)
    _take_days(inners)
    for inner in inners:
        _take_struck(inner)
        _take_markup(inner)
    return inners


def _is_explicit(text: str) -> bool:
    """Lines in the form that is never read in another way, and labelled notes, hers as they stand."""
    label = phrase(text.partition(":")[0]) if ":" in text[:_LONGEST_LABEL] else ""
    return label in NOTE_LABELS or label in CLASS_LABELS or _EXPLICIT.match(text) is not None


def _take_quotes(inners: list[Inner]) -> None:
    """``> `` before lines: a quoted mail where most lines with figures have it, else a bullet of hers."""
    telling = [inner for inner in inners if any(map(str.isdigit, inner.text))]
    quoted = [inner for inner in inners if _QUOTE.match(inner.text)]
    heads = sum(phrase(inner.text.partition(":")[0]) in MAIL_LABELS for inner in inners if ":" in inner.text)
    if any(_WROTE.search(inner.text) for inner in quoted) or heads > 1:
        pass
    elif not any(_QUOTED_LIST.match(inner.text) for inner in quoted) and (
        len(quoted) < _FEWEST
        or 2 * sum(_QUOTE.match(inner.text) is not None for inner in telling) < len(telling)
    ):
        quoted = []
    for inner in inners:
        match = _QUOTE.match(inner.text) if quoted else None
        if match is not None:
            inner.text = inner.text[match.end() :]
        elif quoted or heads > 1:
            inner.is_talk = True
        inner.is_outside = _WROTE.search(inner.text.strip()) is not None


def _take_stamps(inners: list[Inner]) -> None:
    stamped = [
        (inner, match)
        for inner in inners
        if (match := next(filter(None, (form.fullmatch(inner.text) for form in _STAMPS)), None))
    ]
    names = {match["name"] for _inner, match in stamped}
    if len(stamped) > 1 and (all(match["sure"] for _inner, match in stamped) or len(names) < len(stamped)):
        for inner, match in stamped:
            inner.text, inner.is_talk = match["rest"], True
        return
    heads = [(inner, match) for inner in inners if (match := _STAMP_ALONE.fullmatch(inner.text))]
    names = {match["name"] for _inner, match in heads}
    if len(heads) > 1 and len(names) < len(heads):
        for inner in inners:
            inner.is_talk = True
        for inner, _match in heads:
            inner.is_outside = True
        return
    filled = [inner for inner in inners if inner.text.strip()]
    named = [(inner, match) for inner in filled if (match := _NAME_ALONE.fullmatch(inner.text))]
    names = {match["name"] for _inner, match in named}
    if len(named) == len(filled) >= _FEWEST and len(names) > 1 and 2 * len(names) <= len(named):
        for inner, match in named:
            inner.text, inner.is_talk = match["rest"], True
            inner.doubts.append(_("Read as {name} speaking.", name=match["name"]))


def _take_ordinals(inners: list[Inner]) -> None:
    """ "Step 1: Launch" and "Slide 2" on a line of its own, where they count up from one."""
    marks = [(inner, match) for inner in inners if (match := _ORDINAL.fullmatch(inner.text))]
    marks = [(inner, match) for inner, match in marks if phrase(match["word"]) in ORDINALS]
    if len(marks) < 2 or [int(match["at"]) for _inner, match in marks] != list(range(1, len(marks) + 1)):
        return
    for inner, match in marks:
        if match["rest"] is None:
            inner.is_outside = True
        elif any(map(str.isalpha, match["rest"])):
            inner.lead = f"{match['word']} {match['at']}: "
            inner.text = inner.text[: match.start("word")] + match["rest"]


def _take_days(inners: list[Inner]) -> None:
    """ "Mon: spelling 10 min", "Tue: …": the days of a week before their lines."""
    days = [(inner, match) for inner in inners if (match := _DAY.fullmatch(inner.text))]
    days = [(inner, match) for inner, match in days if phrase(match["day"]) in DAYS]
    if len(days) > 1 and len({match["day"] for _inner, match in days}) == len(days):
        for inner, match in days:
            inner.text = inner.text[: match.start("day")] + match["rest"]
            inner.doubts.append(_("The day before it is left out."))


def _take_markup(inner: Inner) -> None:
    """Line breaks and tags of a page, and stars around a number, which are no part of a title."""
    if ("<" in inner.text or "**" in inner.text) and not _is_explicit(inner.text):
        inner.text = _BOLD_NUMBER.sub(r"\1", _TAG.sub(" ", inner.text))


def _take_struck(inner: Inner) -> None:
    text = inner.text
    if "~~" not in text and "<" not in text and "\u0336" not in text and "\u0335" not in text:
        return
    if _is_explicit(text):
        return
    kept = _STROKE.sub("", _STRUCK.sub("", text))
    if kept == text:
        return
    inner.doubts.append(_("What is struck out is left out."))
    inner.text = kept
    inner.is_outside = inner.is_outside or not any(map(str.isalnum, kept))
