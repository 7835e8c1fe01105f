"""The verbs on past lessons: log import, budgets, backtest. Exit codes as of the other verbs."""

import hashlib
import os
from collections.abc import Collection
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from pacer.frames.words.budgets import RIGHT, plan_words, proposal_cells, proposal_heads, too_few_words
from pacer.log import database
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.log.imported import Imported
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.durations import format_duration
from pacer.plan.file.reader import read_outline
from pacer.plan.outline import Outline
from pacer.plan.problems import Problem
from pacer.review import import_csv
from pacer.review.learning.past_endings import LIVE, PastEndings, history
from pacer.run.clock import Clock
from pacer.run.events import Mode
from pacer.settings.folders import folders
from pacer.text import N_, _, counted
from pacer.verbs.console import complain, no_records_words, refuse, say, say_json, say_left_out, say_unread
from pacer.verbs.tables import table

if TYPE_CHECKING:
    from pacer.review.learning.backtest import Backtest, Scores
    from pacer.review.learning.budgets import WholePlan

DEMO: tuple[Mode, ...] = ("demo",)


def read_history(folder: Path, modes: Collection[Mode]) -> tuple[PastEndings, int]:
    """Read a data folder's history; with it comes the exit code, 1 where some of it could not be read.

    Reading makes nothing; raises LogError, also where nothing is there.
    """
    if not os.path.lexists(folder / database.FILE_NAME):
        raise LogError(no_records_words(folder))
    with DayRecords.read(folder) as records:
        code = say_unread(records.notice)
        return history(records, modes), code


def import_verb(data_dir: Path | None, path: Path, clock: Clock) -> int:
    """Import a table of past durations: all of it, or nothing after saying what is wrong with it."""
    now_ms = clock.now().utc_ms
    try:
        data = read_bounded(path, import_csv.MAX_BYTES)
    except UnreadableFileError as error:
        return refuse(error.problem(path))
    read = import_csv.read_bytes(data, str(path), datetime.fromtimestamp(now_ms / 1000, UTC).date())
    rows = [row for row in read if not isinstance(row, Problem)]
    problems = [row for row in read if isinstance(row, Problem)]
    if problems:
        complain(*problems)
        if len(problems) >= import_csv.MOST_PROBLEMS:
            complain(_("There may be more; these are the first."))
        return refuse(_("Nothing was imported."))
    try:
        with DayRecords.open(folders(data_dir).data) as records:
            if records.notice and records.can_write:
                complain(records.notice)
            outcome = records.imported().add(rows, path.name, hashlib.sha256(data).hexdigest(), now_ms)
            where = records.path
    except LogError as error:
        return refuse(error, 2)
    say(_import_words(outcome, path, where))
    return 0


def _import_words(outcome: Imported, path: Path, where: Path) -> str:
    if outcome.twice:
        return _(
            "{path} was imported before (as {file}). Nothing was imported.",
            path=path,
            file=outcome.earlier_file,
        )
    if outcome.added == 0:
        return _("All rows of {path} were imported before. Nothing was imported.", path=path)
    done = counted(
        "Imported {n} row into {where}.", "Imported {n} rows into {where}.", outcome.added, where=where
    )
    if not outcome.known:
        return done
    known = counted(
        "{n} row was left out: it was imported before.",
        "{n} rows were left out: they were imported before.",
        outcome.known,
    )
    return f"{done} {known}"


def budgets_verb(data_dir: Path | None, outline_path: Path | None, as_json: bool, demo: bool = False) -> int:
    """Print the budgets that past lessons propose, for an outline or for all that is known."""
    from pacer.review.learning.accepted_past import AcceptedPast
    from pacer.review.learning.budgets import lessons_in, plan_of, proposals

    outline = None if outline_path is None else read_outline(outline_path)
    if isinstance(outline, list):
        complain(*outline)
        return 1
    past_and_code = _history_or_none(data_dir, demo)
    if past_and_code is None:
        return 2
    past, code = past_and_code
    plan = None
    if isinstance(outline, Outline):
        plan = plan_of(AcceptedPast(past.endings, past.accepted), outline)
    proposed = list(plan.proposals) if plan is not None else proposals(past.endings)
    if as_json:
        for proposal in proposed:
            say_json({"proposal": asdict(proposal)})
        if plan is not None:
            say_json({"plan": _plan_json(plan)})
        return code
    say(_lessons_words(lessons_in(past.endings)))
    if all(proposal.proposed_s is None for proposal in proposed):
        say(too_few_words())
        return code
    rows = table([proposal_heads(), *map(proposal_cells, proposed)], right=RIGHT)
    say("", *rows)
    if plan is not None:
        say("", *plan_words(plan))
    return code


def _plan_json(plan: "WholePlan") -> dict[str, object]:
    return {
        "mini_lesson_s": plan.mini_lesson_s,
        "needs_s": plan.needs_s,
        "at_least": plan.at_least,
        "fits": plan.fits,
        "unknown": list(plan.unknown),
        "level": None if plan.level is None else round(plan.level, 4),
        "level_at_most": plan.level_at_most,
    }


def backtest_verb(data_dir: Path | None, as_json: bool, demo: bool = False) -> int:
    """Print how good the forecasts of past lessons would have been, each seen only from earlier ones."""
    from pacer.review.learning.backtest import FIRST_LESSON, backtest
    from pacer.review.learning.budgets import lessons_in

    past_and_code = _history_or_none(data_dir, demo)
    if past_and_code is None:
        return 2
    past, code = past_and_code
    scored, lessons = backtest(past.endings), lessons_in(past.endings)
    if as_json:
        say_json({"backtest": {"history": lessons, **asdict(scored)}})
        return code
    say(_lessons_words(lessons))
    if not scored.is_enough:
        say(
            _(
                "Of {borders} forecasts, {unknown} were followed by something that cut the lesson off: too "
                "many to say how good the forecasts were."
            ).format(borders=scored.borders, unknown=scored.borders - scored.scored)
        )
        return code
    if scored.pacer is None:
        say(
            _(
                "Not enough lessons yet: forecasts are tried from lesson {first} on, where each phase still "
                "to come has a past of 6 lessons and nothing was cut off after it."
            ).format(first=FIRST_LESSON)
        )
        return code
    say(*_backtest_lines(scored))
    return code


def _backtest_lines(scored: "Backtest") -> list[str]:
    ways = (
        (_("Pacer"), scored.pacer),
        (_("the written plan"), scored.written_plan),
        (_("plain mean of the past"), scored.plain_mean),
    )
    tried = _("{borders} forecasts at phase borders of {lessons} lessons, {scored} of them scored.").format(
        borders=scored.borders, lessons=scored.lessons, scored=scored.scored
    )
    lines = [tried]
    if scored.scored < scored.borders:
        lines.append(_("After the others something was cut off in time: they count as come true and as not."))
    scores = [(_("forecast by"), _("error of the predicted end"), _("Brier score"))]
    scores += [_score_row(name, score) for name, score in ways if score is not None]
    tenths = [(_("said"), _("forecasts"), _("came true"))]
    for row in scored.calibration:
        mean_forecast = _("{mean} of 10", mean=f"{row.mean * 10:.1f}")
        came = _span(f"{row.came_true * 10:.1f}", f"{row.at_most * 10:.1f}")
        tenths.append((mean_forecast, str(row.count), _("{mean} of 10", mean=came)))
    return [*lines, "", *table(scores, right=(1, 2)), "", *table(tenths, right=(0, 1, 2))]


def _score_row(name: str, score: "Scores") -> tuple[str, str, str]:
    error = "" if score.error_s is None else format_duration(round(score.error_s))
    return name, error, _span(f"{score.least_brier:.3f}", f"{score.most_brier:.3f}")


def _span(low: str, high: str) -> str:
    """Two figures as one where they read the same."""
    return low if low == high else _("{low} to {high}", low=low, high=high)


def _history_or_none(data_dir: Path | None, demo: bool) -> tuple[PastEndings, int] | None:
    """The history asked for and the exit code, or None after saying why there is none that can be read."""
    where = folders(data_dir).data
    if not os.path.lexists(where / database.FILE_NAME):
        # Reading makes nothing; no records yet is no fault.
        refuse(no_records_words(where))
        return PastEndings((), 0, 0), 0
    try:
        past, code = read_history(where, DEMO if demo else LIVE)
    except LogError as error:
        complain(error)
        return None
    say_left_out(
        (
            0 if demo else past.kept_apart,
            N_("{n} rehearsed or invented lesson is kept apart."),
            N_("{n} rehearsed or invented lessons are kept apart."),
        ),
        (
            past.set_aside,
            N_("{n} flagged or repaired lesson is left out."),
            N_("{n} flagged or repaired lessons are left out."),
        ),
        damaged=past.damaged,
    )
    return past, code


def _lessons_words(lessons: int) -> str:
    return counted("{n} past lesson", "{n} past lessons", lessons)
