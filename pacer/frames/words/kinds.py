"""Phase kinds, talk modes and the standing of figures, in the language of the windows."""

from pacer.plan.kinds import Standing
from pacer.text import _


def kind_words(kind: str) -> str:
    """The name of a kind."""
    return {
        "warm-up": _("warm-up"),
        "review": _("review"),
        "modeling": _("modeling"),
        "vocabulary": _("vocabulary"),
        "partner-talk": _("partner talk"),
        "guided-practice": _("guided practice"),
        "look-back": _("look back"),
        "move": _("transition"),
        "group": _("group"),
        "share": _("share"),
        "other": _("other"),
    }.get(kind, kind)


def cause_words(cause: str) -> str:
    """A cause of lateness that is no phase, one of ``OTHER_CAUSES`` of review; empty for any other."""
    return {
        ":start": _("late start"),
        ":plan": _("budgets that do not fit"),
        ":pauses": _("pauses"),
        ":moves": _("transition"),
    }.get(cause, "")


def talk_words(talk: str) -> str:
    """Who talks."""
    return {
        "teacher": _("teacher"),
        "class": _("class"),
        "partners": _("partners"),
        "quiet": _("quiet"),
        "unmarked": _("unmarked"),
    }.get(talk, talk)


def fate_words(fate: str) -> str:
    """Where a phase goes when it leaves."""
    return {"table": _("table"), "tomorrow": _("tomorrow"), "dropped": _("dropped")}.get(fate, fate)


def choice_words(field: str, value: str) -> str:
    """A choice of an outline's field as it is shown; what is no choice is shown as it is written."""
    words = {"kind": kind_words, "movable": fate_words, "talk": talk_words}.get(field)
    return value if words is None else words(value)


def standing_words(standing: Standing) -> str:
    """Where a figure comes from."""
    return {"common practice": _("common practice"), "ours": _("a choice of ours")}[standing]
