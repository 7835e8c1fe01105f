"""The verb rotation: an exact week of groups at stations, as a table or as JSON, and into the outlines."""

import argparse
from collections.abc import Iterator, Sequence
from pathlib import Path

from pacer.editing.dates.week_orders import not_all_words, put_orders
from pacer.frames.week_table import clash_lines, day_name, gave_up_words, wall_words, week_table
from pacer.plan.draft.fields import problem_with
from pacer.plan.file.plan_problems import plan_problems
from pacer.plan.file.reader import read_outline
from pacer.plan.outline import Outline, neutral_names
from pacer.plan.problems import Problem
from pacer.plan.week.in_outlines import groups_of, stations_of, unclear_lists, wall_agrees
from pacer.plan.week.integer_program import GaveUpError
from pacer.plan.week.problem import MOST_DAYS, MOST_GROUPS, Clash, WeekProblem, WeekRotation
from pacer.plan.week.solve import rotation
from pacer.plan.week.typed_wishes import for_each_group, seconds, whole_number
from pacer.settings.whole_file import real_path
from pacer.text import _
from pacer.verbs.console import complain, refuse, say, say_json
from pacer.verbs.tables import table


def rotation_verb(options: argparse.Namespace) -> int:
    """Print the week. 1: a problem with the input, or no such week; 2: an outline can't be written."""
    outlines = [read_outline(path) for path in options.outlines]
    problems = [problem for read in outlines if isinstance(read, list) for problem in read]
    if problems:
        complain(*problems)
        return 1
    read = [outline for outline in outlines if isinstance(outline, Outline)]
    problems = list(_wrong_lists(options.outlines, read))
    if problems:
        complain(*problems)
        return 1
    try:
        problem = asked_week(options, read)
        result = rotation(problem)
    except ValueError as error:
        return refuse(error)
    except GaveUpError:
        return refuse(gave_up_words())
    if isinstance(result, Clash):
        if options.json:
            say_json({"clash": list(result.reasons), "smallest": result.is_smallest})
        else:
            say(*clash_lines(result))
        return 1
    _print(problem, result, as_json=options.json)
    return _write(options.outlines, problem, result) if options.write else 0


def _wrong_lists(paths: Sequence[Path], outlines: Sequence[Outline]) -> Iterator[Problem]:
    for path, outline in zip(paths, outlines, strict=True):
        if unclear_lists(outline):
            yield from plan_problems(path, outline)[0]


def _print(problem: WeekProblem, week: WeekRotation, *, as_json: bool) -> None:
    if not as_json:
        shown = week_table(problem, week)
        say(*table([shown.heads, *shown.rows], right=(1,)))
        return
    for day, visits in enumerate(week.places):
        order = [problem.groups[group] for group in week.order(day)]
        places = [
            {group: problem.stations[at] for group, at in zip(problem.groups, visit, strict=True)}
            for visit in visits
        ]
        say_json({"day": day + 1, "order": order, "visits": places})


def asked_week(options: argparse.Namespace, outlines: Sequence[Outline]) -> WeekProblem:
    """What is asked, by options or else by the outlines. Raises ValueError in plain words."""
    days = options.days if options.days is not None else len(outlines) or MOST_DAYS
    days = min(max(days, 0), MOST_DAYS + 1)  # more are refused as any number out of bounds
    if outlines and options.days not in (None, len(outlines)):
        raise ValueError(_("Name an outline for each of the {n} days, or leave --days out.", n=options.days))
    if options.write and not outlines:
        raise ValueError(
            _("--write needs an outline for each day: pacer rotation --write MON.toml TUE.toml …")
        )
    real = [real_path(path) for path in options.outlines]
    if len(set(real)) < len(real):
        raise ValueError(_("An outline is named twice. Each day needs an outline of its own."))
    groups = _names(options.groups, neutral_names(), "--groups") or groups_of(outlines)
    if not groups:
        raise ValueError(_("Say who comes: --groups 4, or --groups Circle,Star,Moon"))
    numbered = (_("Teacher's table"), *(_("Station {n}", n=number) for number in range(1, MOST_GROUPS)))
    stations = _names(options.stations, numbered, "--stations") or stations_of(outlines, len(groups))
    visits = _visits(options.visits, days, [outline.block.groups for outline in outlines], len(groups))
    meets = for_each_group(options.meet, groups, "--meet", whole_number)
    owed_s = for_each_group(options.owed, groups, "--owed", seconds)
    return WeekProblem(groups, stations, visits, meets, owed_s, options.repeats)


def _names(text: str | None, usual: Sequence[str], option: str) -> tuple[str, ...]:
    """Names with commas between them, or so many of the usual ones."""
    if text is None:
        return ()
    if text.strip().isdecimal():
        count = int(text) if len(text.strip()) < 4 else len(usual) + 1
        if not 1 <= count <= len(usual):
            raise ValueError(_("{option} goes from 1 to {most}.", option=option, most=len(usual)))
        return tuple(usual[:count])
    names = tuple(name.strip() for name in text.split(","))
    if not all(names):
        raise ValueError(_("{option} has an empty name. Put one comma between two.", option=option))
    wrong = next(filter(None, (problem_with("name", name, "group") for name in names)), "")
    if wrong:  # as in an outline
        raise ValueError(f"{option}: {wrong}")
    return names


def _visits(text: str | None, days: int, written: Sequence[int], groups: int) -> tuple[int, ...]:
    """Visits of each day: one number for all, one for each, or what the outlines say."""
    if text is None:
        return tuple(written) or (groups,) * days
    numbers = tuple(whole_number(part, "--visits") for part in text.split(","))
    if len(numbers) == 1:
        return numbers * days
    if len(numbers) != days:
        raise ValueError(_("--visits has {n} numbers for {days} days.", n=len(numbers), days=days))
    return numbers


def _write(paths: Sequence[Path], problem: WeekProblem, week: WeekRotation) -> int:
    """Put the order of each day into its outline, and say so."""
    outcome = put_orders(paths, problem, week)
    for day, path in enumerate(outcome.changed):
        order = ", ".join(problem.groups[group] for group in week.order(day))
        say(_("{day}: {order} is in {path}", day=day_name(day), order=order, path=path))
    if outcome.problems:
        complain(*outcome.problems, not_all_words(outcome))
        return 2 if outcome.changed or outcome.is_unwritten else 1
    if not all(wall_agrees(problem, visits) for visits in week.places):
        say(wall_words())
    return 0
