"""What a split comes to, in plain words: how much reaches a child, what nobody gets, what is saved."""

from pacer.plan.durations import brief_duration, format_duration
from pacer.plan.split.sheet import Outcome, SplitSheet
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


def column_words(where: Where, sheet: SplitSheet, outcome: Outcome) -> str:
    """How full a column is."""
    seconds = sum(p.seconds for p, fate in zip(sheet.parts, outcome.fates, strict=True) if fate == where)
    if where in ("whole group", "table"):
        room = sheet.whole_group_s if where == "whole group" else sheet.table_s
        return _("{taken} of {room} min", taken=brief_duration(seconds), room=brief_duration(room))
    return _("{taken} min", taken=brief_duration(seconds))


def part_words(sheet: SplitSheet, at: int) -> str:
    """A part in its column: title, minutes, and that it was put there by hand."""
    part = sheet.parts[at]
    length = _("{minutes} min", minutes=brief_duration(part.seconds))
    hand = [_("by hand")] if part.moved_to else []
    needs = [_("needs {parts}", parts=", ".join(map(str, part.needs)))] if part.needs else []
    return f"{at + 1}  {part.title}\n" + " · ".join([length, *needs, *hand])


def verdict(sheet: SplitSheet, outcome: Outcome) -> tuple[str, ...]:
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
    if outcome.table_s and sheet.tables > 1:
        words = _("The table parts cost {all} min at {n} tables; said once to all, {once}.")
        lines.append(
            words.format(
                all=brief_duration(outcome.tables_s), n=sheet.tables, once=format_duration(outcome.table_s)
            )
        )
    return tuple(lines)


def _too_long(outcome: Outcome) -> list[str]:
    """What does not fit, and by how much."""
    lines = []
    if outcome.over_s:
        words = _("The whole group is {length} too long: move a part or take one out.")
        lines.append(words.format(length=format_duration(outcome.over_s)))
    if outcome.table_over_s:
        words = _("The table is {length} too long for one visit.")
        lines.append(words.format(length=format_duration(outcome.table_over_s)))
    return lines
