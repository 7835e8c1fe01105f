"""The verbs on past lessons: log import, budgets, backtest. Exit codes as of the other verbs."""

import hashlib
import json
import os
import sys
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
from pacer.pace.past import PastEnding
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.durations import format_duration
from pacer.plan.file.reader import read_outline
from pacer.plan.outline import Outline
from pacer.plan.problems import Problem
from pacer.review import import_csv
from pacer.review.learning.past_endings import LIVE, History, history
from pacer.run.clock import Clock
from pacer.run.events import Mode
from pacer.settings.folders import folders
from pacer.text import _, ngettext
from pacer.verbs.tables import table

if TYPE_CHECKING:
    from pacer.review.learning.backtest import Backtest, Scores
    from pacer.review.learning.budgets import Proposal, WholePlan

DEMO: tuple[Mode, ...] = ("demo",)


def load_history(
    folder: Path, modes: Collection[Mode] = LIVE, without: Collection[int] = ()
) -> list[PastEnding]:
    """The past endings in a data folder, in order of time. See `read_history`; raises LogError."""
    return list(read_history(folder, modes, without).endings)


def read_history(folder: Path, modes: Collection[Mode] = LIVE, without: Collection[int] = ()) -> History:
    """Read a data folder's history. Reading makes nothing; raises LogError, also where nothing is there."""
    if not os.path.lexists(folder / database.FILE_NAME):
        raise LogError(_("There are no day records yet in {path}").format(path=folder))
    with DayRecords.open(folder) as records:
        if records.notice:
            print(records.notice, file=sys.stderr)
        return history(records, modes, without)


def import_verb(data_dir: Path | None, path: Path, clock: Clock) -> int:
    """Import a table of past durations: all of it, or nothing after saying what is wrong with it."""
    now_ms = clock.now().utc_ms
    try:
        data = read_bounded(path, import_csv.MAX_BYTES)
    except UnreadableFileError as error:
        print(Problem(str(path), None, error.what, error.fix), file=sys.stderr)
        return 1
    found = import_csv.read_bytes(data, str(path), datetime.fromtimestamp(now_ms / 1000, UTC).date())
    rows = [row for row in found if not isinstance(row, Problem)]
    problems = [row for row in found if isinstance(row, Problem)]
    if problems:
        print(*problems, sep="\n", file=sys.stderr)
        if len(problems) >= import_csv.MOST_PROBLEMS:
            print(_("There may be more; these are the first."), file=sys.stderr)
        print(_("Nothing was imported."), file=sys.stderr)
        return 1
    try:
        with DayRecords.open(folders(data_dir).data) as records:
            if records.notice and records.can_write:
                print(records.notice, file=sys.stderr)
            came = records.imported().add(rows, path.name, hashlib.sha256(data).hexdigest(), now_ms)
            where = records.path
    except LogError as error:
        print(error, file=sys.stderr)
        return 2
    print(_import_words(came, path, where))
    return 0


def _import_words(came: Imported, path: Path, where: Path) -> str:
    if came.twice:
        return _("{path} was imported before (as {file}). Nothing was imported.").format(
            path=path, file=came.earlier_file
        )
    if came.added == 0:
        return _("All rows of {path} were imported before. Nothing was imported.").format(path=path)
    done = ngettext("Imported {n} row into {where}.", "Imported {n} rows into {where}.", came.added).format(
        n=came.added, where=where
    )
    if not came.known:
        return done
    known = ngettext(
        "{n} row was left out: it was imported before.",
        "{n} rows were left out: they were imported before.",
        came.known,
    ).format(n=came.known)
    return f"{done} {known}"


def budgets_verb(data_dir: Path | None, outline_path: Path | None, as_json: bool, demo: bool = False) -> int:
    """Print the budgets that past lessons propose, for an outline or for all that is known."""
    from pacer.review.learning.accepted_past import AcceptedPast
    from pacer.review.learning.budgets import lessons_in, plan_of, proposals

    outline = None if outline_path is None else read_outline(outline_path)
    if isinstance(outline, list):
        print(*outline, sep="\n", file=sys.stderr)
        return 1
    past = _history_or_none(data_dir, demo)
    if past is None:
        return 2
    plan = None
    if isinstance(outline, Outline):
        plan = plan_of(AcceptedPast(past.endings, past.accepted), outline)
    made = list(plan.proposals) if plan is not None else proposals(past.endings)
    if as_json:
        for one in made:
            print(json.dumps({"proposal": asdict(one)}, ensure_ascii=False))
        if plan is not None:
            print(json.dumps({"plan": _plan_json(plan)}, ensure_ascii=False))
        return 0
    print(_lessons_words(lessons_in(past.endings)))
    if not any(one.proposed_s is not None for one in made):
        print(too_few_words())
        return 0
    print()
    print("\n".join(_proposal_table(made)))
    if plan is not None:
        print()
        print("\n".join(plan_words(plan)))
    return 0


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


def _proposal_table(made: "list[Proposal]") -> list[str]:
    return table([proposal_heads(), *map(proposal_cells, made)], right=RIGHT)


def backtest_verb(data_dir: Path | None, as_json: bool, demo: bool = False) -> int:
    """Print how good the forecasts of past lessons would have been, each seen only from earlier ones."""
    from pacer.review.learning.backtest import FIRST_LESSON, backtest
    from pacer.review.learning.budgets import lessons_in

    past = _history_or_none(data_dir, demo)
    if past is None:
        return 2
    found, lessons = backtest(past.endings), lessons_in(past.endings)
    if as_json:
        print(json.dumps({"backtest": {"history": lessons, **asdict(found)}}, ensure_ascii=False))
        return 0
    print(_lessons_words(lessons))
    if found.pacer is None:
        print(
            _(
                "Not enough lessons yet: forecasts are tried from lesson {first} on, where each phase still "
                "to come has a past of 6 lessons and nothing was cut off after it."
            ).format(first=FIRST_LESSON)
        )
        return 0
    print("\n".join(_backtest_lines(found)))
    return 0


def _backtest_lines(found: "Backtest") -> list[str]:
    ways = (
        (_("Pacer"), found.pacer),
        (_("the written plan"), found.written_plan),
        (_("plain mean of the past"), found.plain_mean),
    )
    tried = _("{borders} forecasts at phase borders of {lessons} lessons, {scored} of them scored.").format(
        borders=found.borders, lessons=found.lessons, scored=found.scored
    )
    lines = [tried]
    if found.scored < found.borders:
        lines.append(_("After the others a phase was cut off, so nobody knows what would have come."))
    scores = [(_("forecast by"), _("error of the predicted end"), _("Brier score"))]
    scores += [_score_row(name, score) for name, score in ways if score is not None]
    tenths = [(_("said"), _("forecasts"), _("came true"))]
    for row in found.calibration:
        said = _("{mean} of 10").format(mean=f"{row.mean * 10:.1f}")
        tenths.append((said, str(row.count), _("{mean} of 10").format(mean=f"{row.came_true * 10:.1f}")))
    return [*lines, "", *table(scores, right=(1, 2)), "", *table(tenths, right=(0, 1, 2))]


def _score_row(name: str, score: "Scores") -> tuple[str, str, str]:
    return name, format_duration(round(score.error_s)), f"{score.brier:.3f}"


def _history_or_none(data_dir: Path | None, demo: bool) -> History | None:
    """The history asked for, or None after saying why there is none that can be read."""
    where = folders(data_dir).data
    if not os.path.lexists(where / database.FILE_NAME):
        # Reading makes nothing; no records yet is no fault.
        print(_("There are no day records yet in {path}").format(path=where), file=sys.stderr)
        return History((), 0, 0)
    try:
        past = read_history(where, DEMO if demo else LIVE)
    except LogError as error:
        print(error, file=sys.stderr)
        return None
    if past.kept_apart and not demo:
        words = ngettext(
            "{n} rehearsed or invented lesson is kept apart.",
            "{n} rehearsed or invented lessons are kept apart.",
            past.kept_apart,
        )
        print(words.format(n=past.kept_apart), file=sys.stderr)
    if past.set_aside:
        words = ngettext(
            "{n} flagged or repaired lesson is left out.",
            "{n} flagged or repaired lessons are left out.",
            past.set_aside,
        )
        print(words.format(n=past.set_aside), file=sys.stderr)
    if past.damaged:
        words = ngettext(
            "{n} day record can't be read and is left out.",
            "{n} day records can't be read and are left out.",
            past.damaged,
        )
        print(words.format(n=past.damaged), file=sys.stderr)
    return past


def _lessons_words(lessons: int) -> str:
    return ngettext("{n} past lesson", "{n} past lessons", lessons).format(n=lessons)
