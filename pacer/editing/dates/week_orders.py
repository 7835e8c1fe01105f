"""Puts the order of each day of a week into that day's outline, or says why it can't."""

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import NamedTuple

from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.file.reader import MAX_BYTES
from pacer.plan.problems import Problem
from pacer.plan.week.in_outlines import with_order
from pacer.plan.week.problem import WeekProblem, WeekRotation
from pacer.settings.whole_file import plain_reason, real_path, write_whole
from pacer.text import N_, _, counted


class OrdersPut(NamedTuple):
    """Outlines that were changed, and what kept the others; ``is_unwritten``: a file could not be written."""

    changed: tuple[Path, ...] = ()
    problems: tuple[Problem, ...] = ()
    is_unwritten: bool = False


def put_orders(paths: Sequence[Path], problem: WeekProblem, week: WeekRotation) -> OrdersPut:
    """Write into the outline of each day who comes to the teacher's table, and when; each file whole or not.

    All are made ready before the first is written: what is wrong with one outline leaves all as they are.
    """
    ready: list[tuple[bytes, bytes]] = []
    problems: list[Problem] = []
    for day, path in enumerate(paths):
        try:
            data = read_bounded(path, MAX_BYTES)
        except UnreadableFileError as error:
            problems.append(error.problem(path))
            continue
        new = with_order(data, str(path), problem, week.order(day))
        if isinstance(new, list):
            problems += new
        else:
            ready.append((data, new))
    if problems:
        return OrdersPut(problems=tuple(problems))
    for at, (path, (before, data)) in enumerate(zip(paths, ready, strict=True)):
        what, fix = _("The file was changed meanwhile"), _("Look at it in Outline, then do it again.")
        try:
            if write_whole(real_path(path), data, partial(_is_still, path, before)):
                continue
        except (OSError, UnreadableFileError) as error:
            what, fix = plain_reason(error)
        return OrdersPut(tuple(paths[:at]), (Problem(str(path), None, f"{what}.", fix),), is_unwritten=True)
    return OrdersPut(tuple(paths))


def _is_still(path: Path, data: bytes) -> bool:
    return read_bounded(path, MAX_BYTES) == data


def not_all_words(outcome: OrdersPut) -> str:
    """How many outlines were changed although one could not be."""
    if not outcome.changed:
        return _("No outline was changed.")
    one, many = N_("{n} outline was changed before that."), N_("{n} outlines were changed before that.")
    return counted(one, many, len(outcome.changed))
