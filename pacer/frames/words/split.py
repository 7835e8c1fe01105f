"""What a split comes to, in plain words: how much reaches a child, what nobody gets, what is saved."""

from collections.abc import Sequence

from pacer.plan.durations import brief_duration, format_duration
from pacer.plan.split.sheet import SplitOutcome, SplitSheet
from pacer.plan.split.split import Where
from pacer.text import _, ngettext


def where_words(where: Where) -> str:
    """A place in the language of the windows."""
    return {
        "whole group": _("Whole group"),
        "table": _("Table"),
        "station": _("Station"),
        "extension": _("Extension"),
        "not taught": _("Not taught"),
    }[where]


def column_words(where: Where, sheet: SplitSheet, outcome: SplitOutcome) -> str:
    """How full a column is."""
    seconds = sum(p.seconds for p, fate in zip(sheet.parts, outcome.fates, strict=True) if fate == where)
    if where in ("whole group", "table"):
        room = sheet.whole_group_s if where == "whole group" else sheet.table_s
        return _("{taken} of {room} min", taken=brief_duration(seconds), room=brief_duration(room))
    return _("{taken} min", taken=brief_duration(seconds))


def part_words(sheet: SplitSheet, at: int, fate: Where) -> str:
    """A part in its column, a line each: title, minutes, what it is worth and needs, what it saves."""
    part = sheet.parts[at]
    about = [_("{minutes} min", minutes=brief_duration(part.seconds)), value_words(part.value)]
    lines = [f"{at + 1}  {part.title}", " · ".join(filter(None, about))]
    if part.needs:
        lines.append(_("needs {parts}", parts=_titles(sheet, part.needs)))
    lines += filter(
        None, [saving_words(sheet, at, fate), _("stays: put here by hand") if part.moved_to else ""]
    )
    return "\n".join(lines)


def value_words(value: int) -> str:
    """What a value means; of the usual one nothing is said."""
    return {3: _("core"), 1: _("extra")}.get(value, "")


def saving_words(sheet: SplitSheet, at: int, fate: Where) -> str:
    """What it saves to say a part once to all, or would save where it is said at every table."""
    saved = brief_duration(sheet.parts[at].seconds * (sheet.tables - 1))
    if sheet.tables < 2 or fate not in ("whole group", "table"):
        return ""
    if fate == "whole group":
        return _("said once: saves {saved} min", saved=saved)
    return _("said {n} times; once would save {saved} min", n=sheet.tables, saved=saved)


def line_words(sheet: SplitSheet, at: int, fate: Where) -> str:
    """A part explained beside its line: what its value, its needs and its tag say of it."""
    part = sheet.parts[at]
    values = {
        3: _("Value 3: core, it goes first."),
        2: _("Value 2: as much as most."),
        1: _("Value 1: an extra, it goes last."),
    }
    tags = {
        "everyone": _("All hear it, and what it needs."),
        "materials": _("It needs materials: at the table."),
        "extension": _("It goes further: for those who are done."),
        "independent": _("Children do it without you: at a station."),
    }
    words = [f"{part.title}: {where_words(fate)}.", values[part.value], tags.get(part.tag or "", "")]
    if part.needs:
        words.append(_("It makes no sense without {parts}.", parts=_titles(sheet, part.needs)))
    if part.moved_to:
        words.append(_("You put it there; Delete lets the split decide."))
    return " ".join(filter(None, words))


def _titles(sheet: SplitSheet, numbers: Sequence[int]) -> str:
    return ", ".join(f"“{sheet.parts[number - 1].title}”" for number in numbers)


def verdict(sheet: SplitSheet, outcome: SplitOutcome) -> tuple[str, ...]:
    """The outcome, the most important line first."""
    if not sheet.parts:
        return (_("Type or paste the lesson's parts, one a line: Mark thirds 10"),)
    lines = [
        _("{percent} % of the lesson reaches each child with you.", percent=outcome.percent),
        *_too_long(outcome),
    ]
    lost = [p.title for p, fate in zip(sheet.parts, outcome.fates, strict=True) if fate == "not taught"]
    if lost:
        words = ngettext(
            "{minutes} min no child gets: {titles}.", "{minutes} min no child gets: {titles}.", len(lost)
        )
        lines.append(words.format(minutes=brief_duration(outcome.lost_s), titles=", ".join(lost)))
    for number in outcome.orphans:
        lines.append(_("“{title}” is taught without what it needs.", title=sheet.parts[number - 1].title))
    if outcome.whole_s and sheet.tables > 1:
        words = _("Said once to all and not at {n} tables: {saved} min of yours saved.")
        saved = brief_duration(outcome.whole_s * (sheet.tables - 1))
        lines.append(words.format(n=sheet.tables, saved=saved))
    if outcome.table_s and sheet.tables > 1:
        words = _("The table parts cost {all} min at {n} tables; said once to all, {once} min.")
        lines.append(
            words.format(
                all=brief_duration(outcome.tables_s), n=sheet.tables, once=brief_duration(outcome.table_s)
            )
        )
    return tuple(lines)


def _too_long(outcome: SplitOutcome) -> list[str]:
    """What does not fit, and by how much."""
    lines = []
    if outcome.over_s:
        words = _("The whole group is {length} too long: move a part or take one out.")
        lines.append(words.format(length=format_duration(outcome.over_s)))
    if outcome.table_over_s:
        words = _("The table is {length} too long for one visit.")
        lines.append(words.format(length=format_duration(outcome.table_over_s)))
    return lines
