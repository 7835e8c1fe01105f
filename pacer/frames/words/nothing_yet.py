"""What a view of Look back will show, said while there is no lesson to show."""

from pacer.text import _


def nothing_yet(view: str) -> str:
    """One sentence for a view, by its name."""
    return {
        "lesson": _("Here each lesson you taught will stand: what you planned over what it took."),
        "where_time": _("Here you will see where the time of your lessons went."),
        "late_steps": _("Here you will see why groups started late."),
        "over_usually": _("Here you will see which phases run over, and by how much."),
        "how_long": _("Here you will see how long each kind of phase takes you."),
        "lost_minutes": _("Here you will see which groups lost minutes with you."),
        "groups_met": _("Here you will see which group met you on which day."),
        "talk_share": _("Here you will see how much of each lesson you talked."),
        "review_kept": _("Here you will see whether reviewing stayed small."),
        "improving": _("Here you will see what gets better over the weeks."),
        "not_taught": _("Here you will see what was planned and not taught."),
        "odds_truth": _("Here you will see whether the odds on the Desk came true."),
        "week": _("Here the lessons of a week will stand side by side."),
        "unit": _("Here the lessons of a unit will stand together."),
        "rehearsal": _("Here you will see your rehearsals beside the lessons."),
        "warnings": _("Here you will see lessons with warnings beside those without."),
        "budgets": _("Here past lessons will propose budgets, for you to accept one by one."),
        "records": _("Here your day records will stand, to export, to put away, to delete."),
    }[view]
