"""The few words that follow a cue in the teacher's ear, all known before a lesson and rendered then."""

from pacer.earpiece.cues import EarCue
from pacer.pace.reading import Reading
from pacer.plan.outline import Outline
from pacer.text import _

TITLE_WORDS = 3  # of a payer's title
NEARLY_A_MINUTE_MS, NEARLY_HALF_MS = 45_000, 20_000


def ear_words(cue: EarCue, reading: Reading) -> str:
    """What a cue says; empty where there is nothing to add to its tones."""
    if cue == "closing":
        return _left_words(reading.left_ms)
    if cue == "borrowing":
        return _payer_words(reading)
    return _move_on() if cue == "move_on" else _time_is_up()


def all_ear_words(outline: Outline) -> tuple[str, ...]:
    """All that may be said in a lesson with this outline, each once."""
    left = (_left_words(ms) for ms in (NEARLY_A_MINUTE_MS, NEARLY_HALF_MS, 0))
    payers = (_pays(phase.title) for phase in outline.phases)
    return tuple(dict.fromkeys((*left, _move_on(), _time_is_up(), *_others().values(), *payers)))


def _left_words(left_ms: int) -> str:
    if left_ms >= NEARLY_A_MINUTE_MS:
        return _("one minute")
    return _("half a minute") if left_ms >= NEARLY_HALF_MS else _("a few seconds")


def _payer_words(reading: Reading) -> str:
    """Who pays most for one more minute."""
    if reading.half is not None:
        paying = next((p.payer for p in reading.half.price if p.payer != "spare"), "spare")
        return _others().get(paying, "")
    cost = reading.price
    payer = cost.payments[0].payer if cost is not None and cost.payments else "spare"
    if isinstance(payer, int):
        return _pays(reading.state.plan.phases[payer].title)
    return _others().get(payer, "")


def _pays(title: str) -> str:
    return _("{phase} pays", phase=" ".join(title.split()[:TITLE_WORDS]))


def _others() -> dict[str, str]:
    """Who pays but phases: the groups, in both halves, what comes after them, and nobody."""
    groups = _("the groups pay")
    return {
        "groups": groups,
        "visits": groups,
        "share": _pays(_("share")),
        "clean_up": _pays(_("clean-up")),
        "over": _("past the end"),
    }


def _move_on() -> str:
    return _("move on")


def _time_is_up() -> str:
    return _("time is up")
