"""The names of an outline's fields, as its page, its undo steps and its problems say them."""

from pacer.text import _


def head_words(name: str) -> str:
    """The name of a field of the outline or of its block."""
    return {
        "title": _("Title"),
        "subject": _("Subject"),
        "unit": _("Unit"),
        "minutes": _("Block"),
        "mini_lesson": _("Mini lesson"),
        "move": _("Transition"),
        "groups": _("Groups"),
        "swap": _("Swap"),
        "clean_up": _("Clean-up"),
        "share": _("Share"),
        "table_list": _("Finished at the table"),
        "named_groups": _("Groups and their places"),
        "stations": _("Stations"),
        "order": _("First to the table"),
        "share_prompt": _("Prompt of the share"),
        "move_words": _("Words of the transition"),
        "move_picture": _("Picture of the transition"),
        "share_floor": _("Share keeps"),
        "visit_floor": _("Least visit"),
    }.get(name, name)


def phase_words(name: str) -> str:
    """The name of a field of a phase, and of the column of past lessons beside them."""
    return {
        "title": _("Phase"),
        "kind": _("Kind"),
        "budget": _("Budget"),
        "floor": _("Floor"),
        "cap": _("Cap"),
        "cut_tier": _("Gives"),
        "movable": _("Goes to"),
        "talk": _("Talk"),
        "usually": _("Usually"),
        "class_line": _("Line for the class"),
        "second_line": _("In a second language"),
        "problem": _("Problem on the Wall"),
        "notes": _("Notes, for you alone"),
        "bursts": _("Partner talks"),
        "attach": _("Picture or PDF"),
        "page": _("Page"),
        "examples": _("Examples"),
        "wall": _("Wall turns to"),
        "cap_group": _("Cap group"),
        "id": _("Id"),
    }.get(name, name)
