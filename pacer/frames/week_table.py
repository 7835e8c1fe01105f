"""The week's rotation as a table, the same in the window and on the terminal."""

from collections.abc import Sequence
from typing import NamedTuple

from pacer.plan.week.problem import Clash, WeekProblem, WeekRotation
from pacer.text import N_, _

_WEEKDAYS = (N_("Monday"), N_("Tuesday"), N_("Wednesday"), N_("Thursday"), N_("Friday"))


class WeekTable(NamedTuple):
    """Heads of the columns, and a row for each visit: its day, its number, and the group at each station."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def day_name(day: int) -> str:
    """A day of the week by its number, 0 for Monday."""
    return _(_WEEKDAYS[day])


def week_table(problem: WeekProblem, week: WeekRotation, weekdays: Sequence[int] = range(5)) -> WeekTable:
    """The group at each station in every visit of the week, whose days are ``weekdays`` (0 is Monday)."""
    stations = range(len(problem.stations))
    rows = (
        (
            day_name(weekdays[day]),
            str(number),
            *(problem.groups[visit.index(at)] if at in visit else "–" for at in stations),
        )
        for day, visits in enumerate(week.places)
        for number, visit in enumerate(visits, start=1)
    )
    return WeekTable((_("Day"), _("Visit"), *problem.stations), tuple(rows))


def clash_lines(clash: Clash) -> tuple[str, ...]:
    """That there is no such week, and what can't be kept together."""
    head = _("There is no such week. These can't be kept together; without any one of them the others can:")
    lines = [head, *(f"- {reason}" for reason in clash.reasons)]
    if not clash.is_smallest:
        lines.append(_("There may be a shorter list; the search for it was given up."))
    return tuple(lines)


def gave_up_words() -> str:
    """That the search for a week was too long."""
    return _("No week was found within the steps that are allowed. Try fewer groups, stations or days.")


def wall_words() -> str:
    """That the outlines hold less than the table."""
    return _(
        "The outlines hold who comes to the teacher's table, and when. Where the others are stands only "
        "here: the Wall lets them go round the stations in turn."
    )
