"""Phase kinds, talk modes and the standing of figures, in the language of the windows."""

from pacer.plan.kinds import KindName, Standing, Talk
from pacer.text import _


def kind_words(kind: KindName) -> str:
    """The name of a kind."""
    return {
        "warm-up": _("warm-up"),
        "review": _("review"),
        "modeling": _("modeling"),
        "vocabulary": _("vocabulary"),
        "partner-talk": _("partner talk"),
        "guided-practice": _("guided practice"),
        "look-back": _("look back"),
        "move": _("move"),
        "group": _("group"),
        "share": _("share"),
        "other": _("other"),
    }[kind]


def talk_words(talk: Talk) -> str:
    """Who talks."""
    return {
        "teacher": _("teacher"),
        "class": _("class"),
        "partners": _("partners"),
        "quiet": _("quiet"),
        "unmarked": _("unmarked"),
    }[talk]


def standing_words(standing: Standing) -> str:
    """Where a figure comes from."""
    return {"common practice": _("common practice"), "ours": _("a choice of ours")}[standing]
