"""Wishes for a week as they are typed: a number or a time for every group, or for one by its name."""

from collections.abc import Callable, Sequence

from pacer.plan.durations import parse_duration
from pacer.plan.problems import clipped, did_you_mean
from pacer.text import _


def for_each_group(
    texts: Sequence[str], groups: Sequence[str], option: str, read: Callable[[str, str], int]
) -> tuple[int, ...]:
    """A number for each group: ``3`` is for all, ``Circle=4`` for one; 0 where nothing is said.

    ``option`` says in a message where it was typed. Raises ValueError in plain words.
    """
    numbers = dict.fromkeys(groups, 0)
    known = {name.casefold(): name for name in groups}
    for part in (part.strip() for text in texts for part in text.split(",")):
        name, is_one, value = part.rpartition("=")
        number = read(value, option)
        if not is_one:
            numbers = dict.fromkeys(groups, number)
            continue
        group = known.get(name.strip().casefold())
        if group is None:
            lower = {known.lower(): known for known in groups}
            near = did_you_mean(name.strip().lower(), lower)
            fix = _('Did you mean "{near}"?', near=lower[near]) if near else ", ".join(groups)
            raise ValueError(
                _('{option}: no group is called "{name}".', option=option, name=clipped(name)) + f" {fix}"
            )
        numbers[group] = number
    return tuple(numbers[group] for group in groups)


def whole_number(text: str, option: str) -> int:
    """A number from 0 to 999. Raises ValueError in plain words."""
    text = text.strip()
    if not (text.isascii() and text.isdecimal() and len(text) < 4):
        raise ValueError(_('{option}: "{text}" is no number.', option=option, text=clipped(text)))
    return int(text)


def seconds(text: str, option: str) -> int:
    """A time, in seconds. Raises ValueError in plain words."""
    try:
        return parse_duration(text)
    except ValueError:
        what = _(
            '{option}: "{text}" is no time. Write 13:00, for instance.', option=option, text=clipped(text)
        )
        raise ValueError(what) from None
