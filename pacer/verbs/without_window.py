"""The verbs check, schema, log and replay. Exit codes: 0 fine, 1 a problem in a file, 2 no way to go on."""

import json
import os
import sys
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from pacer.frames.record import Record, record
from pacer.frames.words.wording import clock_words, local_time, mode_words
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.file.attachments import LookInto, attachment_problems
from pacer.plan.file.reader import read_outline
from pacer.plan.outline import Outline
from pacer.plan.problems import Problem, clipped
from pacer.run.events import Mode
from pacer.run.fold import fold
from pacer.settings.folders import folders
from pacer.text import _, counted
from pacer.verbs.console import no_records_words, refuse, say_unread
from pacer.verbs.replay import Moment, moment_json, replay
from pacer.verbs.script import MAX_BYTES, Script, parse_script
from pacer.verbs.tables import moment_line, record_lines, table

if TYPE_CHECKING:
    from pacer.log.day_records import DayRecords


def check(
    paths: list[Path], open_looker: Callable[[], AbstractContextManager[LookInto | None]] = nullcontext
) -> int:
    """Say what is wrong with outline files and with what is attached to them; 1 if anything is.

    ``open_looker`` opens what looks into attached files; without it they are only looked at from outside.
    """
    bad = 0
    with open_looker() as look_into:
        for path in paths:
            result = read_outline(path)
            if isinstance(result, Outline):
                problems = attachment_problems(path, result, look_into)
                fine = _fine_words(path, result)
            else:
                problems, fine = result, ""
            bad += bool(problems)
            print(*problems, sep="\n") if problems else print(fine)
    return 1 if bad else 0


def _fine_words(path: Path, outline: Outline) -> str:
    minutes = sum(phase.budget_s for phase in outline.phases) / 60
    count = counted("{n} phase", "{n} phases", len(outline.phases))
    return _("{path}: fine ({count}, {minutes:g} min)", path=path, count=count, minutes=minutes)


def schema() -> int:
    """Print the JSON Schema of the outline file."""
    from pacer.plan.file.model import json_schema

    print(json.dumps(json_schema(), indent=2, ensure_ascii=False))
    return 0


def load_pair(outline_path: Path, script_path: Path | None) -> tuple[Outline, Script | None] | None:
    """An outline and a script, or None after saying what is wrong with them."""
    outline = read_outline(outline_path)
    script = None if script_path is None else _read_script(script_path)
    for problems in (outline, script):
        if isinstance(problems, list):
            print(*problems, sep="\n", file=sys.stderr)
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
    for shown in replay(pair[0], pair[1], foresee):
        if isinstance(shown, Moment):
            print(json.dumps(moment_json(shown, ids), ensure_ascii=False) if as_json else moment_line(shown))
        else:
            _print_record(shown, as_json, before="\n")
    return code


def log_verb(data_dir: Path | None, run: str | None, as_json: bool) -> int:
    """List the day records, or show one of them."""
    from pacer.log.database import LogError
    from pacer.log.day_records import DayRecords

    where = folders(data_dir).data
    if not os.path.lexists(where):
        # Reading makes nothing: a folder that is not there is most likely a slip in its name.
        print(no_records_words(where))
        return 0 if run is None else 1
    try:
        with DayRecords.read(where) as records:
            code = say_unread(records.notice)
            return (_list_runs(records, as_json) if run is None else _show_run(records, run, as_json)) or code
    except LogError as error:
        return refuse(error, 2)


def _list_runs(records: "DayRecords", as_json: bool) -> int:
    rows = records.runs()
    if as_json:
        for row in rows:
            print(json.dumps({"run": row.id, "title": row.title, "subject": row.subject, "mode": row.mode,
                              "started_utc_ms": row.started_utc_ms}, ensure_ascii=False))  # fmt: skip
        return 0
    if not rows:
        if not records.notice:
            print(_("There are no day records yet."))
        return 0
    lines = [(_("run"), _("date"), _("start"), _("lesson"), "")]
    for row in rows:
        start = local_time(row.started_utc_ms, row.utc_offset_s)
        clock = clock_words(row.started_utc_ms, row.utc_offset_s)
        lines.append((str(row.id), start.date().isoformat(), clock, row.title, mode_words(row.mode)))
    print("\n".join(table(lines, right=(0, 2))))
    return 0


def _show_run(records: "DayRecords", run: str, as_json: bool) -> int:
    if run not in {str(row.id) for row in records.runs()}:
        return refuse(_('There is no day record "{run}". See: pacer log', run=clipped(run)))
    events = records.events(int(run))
    _print_record(record(fold(events), events[-1].t_ms), as_json)
    return 0


def _print_record(lesson: Record, as_json: bool, before: str = "") -> None:
    words = json.dumps({"record": lesson.as_json()}, ensure_ascii=False)
    print(words if as_json else before + "\n".join(record_lines(lesson)))


def _read_script(path: Path) -> Script | list[Problem]:
    try:
        text = read_bounded(path, MAX_BYTES).decode("utf-8-sig")
    except UnreadableFileError as error:
        return [Problem(str(path), None, error.what, error.fix)]
    except UnicodeDecodeError:
        return [Problem(str(path), None, _("The text is not UTF-8."), _("Save the file again as UTF-8."))]
    return parse_script(text, str(path))
