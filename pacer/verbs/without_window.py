"""The verbs check, schema, log and replay. Exit codes: 0 fine, 1 a problem in a file, 2 no way to go on."""

import json
import os
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from pacer.frames.legibility import Measure, small_words
from pacer.frames.record import Record, record
from pacer.frames.words.shelf import phase_counts
from pacer.frames.words.wording import clock_words, local_time, mode_words
from pacer.plan.bounded_file import read_bounded
from pacer.plan.durations import format_duration
from pacer.plan.file.attachments import LookInto, attachment_problems
from pacer.plan.file.plan_problems import plan_problems
from pacer.plan.file.reader import read_outline
from pacer.plan.file_text import text_of
from pacer.plan.outline import Outline
from pacer.plan.problems import Problem, ToldError, clipped
from pacer.run.events import Mode
from pacer.run.fold import fold
from pacer.settings.folders import folders
from pacer.settings.store import only_read
from pacer.text import _, counted
from pacer.verbs.console import complain, no_records_words, refuse, say, say_json, say_unread
from pacer.verbs.replay import Moment, Replay, moment_json, new_replay
from pacer.verbs.script import MAX_BYTES, Script, parse_script
from pacer.verbs.tables import moment_line, record_lines, table

_MOST_DIGITS = 18  # of the number of a day record

if TYPE_CHECKING:
    from pacer.log.day_records import DayRecords


def check(
    paths: list[Path],
    open_looker: Callable[[], AbstractContextManager[LookInto | None]] = nullcontext,
    measure: Measure | None = None,
    data_dir: Path | None = None,
) -> int:
    """Say what is wrong with outline files, with their plans and with what is attached; 1 if anything is.

    What is only unwise in a plan is told, too, and is no fault, as is what the back row can't read on the
    Wall by the settings of this computer. ``open_looker`` opens what looks into attached files; without it
    they are only looked at from outside. ``measure`` measures words; without it nothing is said of them.
    """
    bad = 0
    with open_looker() as look_into:
        for path in paths:
            notes, fine = list[Problem](), ""
            result = _check_calendar(path) if path.suffix.lower() == ".ics" else read_outline(path)
            if isinstance(result, str):
                problems, fine = [], result
            elif isinstance(result, Outline):
                here = only_read(folders(data_dir).settings_file)
                small = () if measure is None else small_words(result, here, measure)
                impossible, notes = plan_problems(path, result, [each.finding for each in small])
                problems = [*impossible, *attachment_problems(path, result, look_into)]
                fine = _fine_words(path, result)
            else:
                problems = result
            bad += bool(problems)
            say(*(problems or (fine,)), *notes)
    return 1 if bad else 0


def _check_calendar(path: Path) -> str | list[Problem]:
    """What can't be read of a calendar's next year, each with its line; else that it is fine."""
    from datetime import datetime, timedelta

    from dateutil.tz import tzlocal

    from pacer.plan.calendar_file import CalendarDays, read_calendar

    first = datetime.now(tzlocal()).date()
    read = read_calendar(path, first, first + timedelta(days=365), tzlocal())
    if not isinstance(read, CalendarDays):
        return read
    problems = []
    for each in read.unread:
        name = clipped(each.summary) or _("An event without a title")
        what = _("{name}: {why}", name=name, why=each.why)
        problems.append(Problem(str(path), each.line, what, _("Look the day up.")))
    days = counted("{n} day", "{n} days", len({entry.day for entry in read.entries}))
    return problems or _("{path}: fine (a calendar; {days} in the next year)", path=path, days=days)


def _fine_words(path: Path, outline: Outline) -> str:
    counts = ", ".join(phase_counts([(phase.kind, phase.budget_s) for phase in outline.phases]))
    return _("{path}: fine ({counts})", path=path, counts=counts)


def schema() -> int:
    """Print the JSON Schema of the outline file."""
    from pacer.plan.file.model import json_schema

    say(*json.dumps(json_schema(), indent=2, ensure_ascii=False).splitlines())
    return 0


def load_pair(outline_path: Path, script_path: Path | None) -> tuple[Outline, Script | None] | None:
    """An outline and a script, or None after saying what is wrong with them."""
    outline = read_outline(outline_path)
    script = None if script_path is None else _read_script(script_path)
    for problems in (outline, script):
        if isinstance(problems, list):
            complain(*problems)
    return None if isinstance(outline, list) or isinstance(script, list) else (outline, script)


def replay_verb(outline_path: Path, script_path: Path, as_json: bool, past: Path | None = None) -> int:
    """Replay a script on the real engine and print what the windows would have shown.

    ``past`` is a data folder whose day records give the odds.
    """
    pair = load_pair(outline_path, script_path)
    if pair is None or pair[1] is None:
        return 1
    ids = [phase.id for phase in pair[0].phases]
    foresee, code = None, 0
    if past is not None:
        from pacer.forecaster import forecaster
        from pacer.log.database import LogError
        from pacer.verbs.history import read_history

        try:
            history, code = read_history(past, get_args(Mode))
            foresee = forecaster(history.endings)
        except LogError as error:
            return refuse(error, 2)
    run = new_replay(pair[0], pair[1], foresee)
    for shown in run.moments(pair[1]):
        if not isinstance(shown, Moment):
            _print_record(shown, as_json, before=("",))
        elif as_json:
            say_json(moment_json(shown, ids))
        else:
            say(moment_line(shown))
    return say_refused(run, script_path) or code


def say_refused(run: Replay, script_path: Path | None) -> int:
    """Name each step of a script that the lesson refused, with its line; 1 if there is any."""
    for number, step, reason in run.refused:
        pressed = f"{format_duration(step.at_s)} {step.command} {step.argument}".rstrip()
        what = _('Step {number}, "{pressed}", was refused.', number=number, pressed=clipped(pressed))
        complain(Problem(str(script_path), step.line, what, reason))
    return 1 if run.refused else 0


def log_verb(data_dir: Path | None, run: str | None, as_json: bool) -> int:
    """List the day records, or show one of them."""
    from pacer.log.database import LogError
    from pacer.log.day_records import DayRecords

    where = folders(data_dir).data
    if not os.path.lexists(where):
        # Reading makes nothing: a folder that is not there is most likely a slip in its name.
        say(no_records_words(where))
        return 0 if run is None else 1
    try:
        with DayRecords.read(where) as records:
            code = say_unread(records.notice)
            return (_list_runs(records, as_json) if run is None else _show_run(records, run, as_json)) or code
    except LogError as error:
        return refuse(error, 2)


def _list_runs(records: "DayRecords", as_json: bool) -> int:
    rows = records.runs()
    unlisted = records.count_unlisted()
    if unlisted:
        words = counted(
            "{n} day record in {path} is damaged or from a newer Pacer, and is not listed. "
            "Nothing was changed.",
            "{n} day records in {path} are damaged or from a newer Pacer, and are not listed. "
            "Nothing was changed.",
            unlisted,
            path=records.path,
        )
        complain(words)
    code = 1 if unlisted else 0
    if as_json:
        for row in rows:
            say_json({"run": row.id, "title": row.title, "subject": row.subject, "mode": row.mode,
                      "started_utc_ms": row.started_utc_ms})  # fmt: skip
        return code
    if not rows:
        if not unlisted and not records.notice:
            say(no_records_words(records.path.parent))
        return code
    lines = [(_("run"), _("date"), _("start"), _("lesson"), "")]
    for row in rows:
        start = local_time(row.started_utc_ms, row.utc_offset_s)
        clock = clock_words(row.started_utc_ms, row.utc_offset_s)
        lines.append((str(row.id), start.date().isoformat(), clock, row.title, mode_words(row.mode)))
    say(*table(lines, right=(0, 2)))
    return code


def _show_run(records: "DayRecords", run: str, as_json: bool) -> int:
    """Planned over actual as it was recorded, and where what was left over went as it was said since."""
    from pacer.review.left_over import left_over
    from pacer.run.corrections import effective
    from pacer.run.repair import repaired

    if run not in {str(row.id) for row in records.runs()}:
        return refuse(_why_not_shown(records, run))
    events = records.events(int(run))
    state, after = fold(events), effective(records.after().of(int(run)))
    left = left_over(state, repaired(state, after), after)
    _print_record(record(state, events[-1].t_ms, left), as_json)
    return 0


def _why_not_shown(records: "DayRecords", run: str) -> str:
    """Why a day record is not in the list: it can't be read, it is in the trash, or there is none."""
    from pacer.log.database import LogError

    if run.isascii() and run.isdigit() and len(run) <= _MOST_DIGITS:
        try:
            records.events(int(run))
        except LogError as error:
            return str(error)
        else:
            return _("Day record {run} in {path} is in the trash.", run=run, path=records.path)
    words = _('There is no day record "{run}" in {path}. See: pacer log')
    return words.format(run=clipped(run), path=records.path)


def _print_record(lesson: Record, as_json: bool, before: Sequence[str] = ()) -> None:
    if as_json:
        say_json({"record": lesson.as_json()})
    else:
        say(*before, *record_lines(lesson))


def _read_script(path: Path) -> Script | list[Problem]:
    kind = _("A script is plain text: a start, then one press a line.")
    try:
        return parse_script(text_of(read_bounded(path, MAX_BYTES), kind), str(path))
    except ToldError as error:
        return [error.problem(path)]
