"""The verb read: what a pasted text was taken for, its phases and its doubts, for people and for scripts."""

import sys
from pathlib import Path
from typing import Any

from pacer.frames.words.kinds import kind_words
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.durations import format_duration
from pacer.plan.file_text import NoTextError
from pacer.plan.file_text import text_of as decoded
from pacer.plan.problems import Problem
from pacer.plan.typed.read_typed import Typed, read_typed
from pacer.text import _
from pacer.verbs.console import complain, refuse, say, say_json
from pacer.verbs.tables import table

MAX_BYTES = 5_000_000  # two thousand lines are read, of six thousand signs at most
STANDARD_INPUT = Path("-")


def read_verb(path: Path, as_json: bool) -> int:
    """Print what a file is read as. Returns 0, or 1 after saying why the file can't be read."""
    try:
        typed = read_typed(text_of(path))
    except UnreadableFileError as error:
        return refuse(Problem(str(path), None, error.what, error.fix))
    except NoTextError as error:
        return refuse(Problem(str(path), error.line, error.what, error.fix))
    if as_json:
        say_json(as_values(typed))
    else:
        _say_plainly(typed)
    return 0


def text_of(path: Path) -> str:
    """The text that a file holds, ``-`` for standard input. Raises UnreadableFileError and NoTextError."""
    data = _standard_input() if path == STANDARD_INPUT else read_bounded(path, MAX_BYTES)
    return decoded(data, _("Name a text file: a phase a line, such as: Review 3"))


def _standard_input() -> bytes:
    data = sys.stdin.buffer.read(MAX_BYTES + 1)
    if len(data) > MAX_BYTES:
        what = _("The text is larger than {size} MB.", size=f"{MAX_BYTES / 1e6:g}")
        raise UnreadableFileError(what, _("Give a smaller one."))
    return data


def as_values(typed: Typed) -> dict[str, Any]:
    """Phases with budgets in seconds, null where none are written, and doubts; lines count from 1."""
    return {
        "phases": [
            {
                "title": phase.title,
                "budget_s": phase.seconds,
                "kind": phase.kind,
                "class_line": phase.class_line,
                "notes": phase.notes,
                "line": line.number,
            }
            for line in typed.lines
            for phase in line.phases
        ],
        "doubts": [
            {"line": line.number, "text": line.raw, "why": line.why} for line in typed.lines if line.why
        ],
    }


def _say_plainly(typed: Typed) -> None:
    rows = [
        (
            str(line.number),
            "?" if phase.seconds is None else format_duration(phase.seconds),
            phase.title,
            kind_words(phase.kind),
        )
        for line in typed.lines
        for phase in line.phases
    ]
    if rows:
        say(*table([(_("line"), _("budget"), _("phase"), _("kind")), *rows], right=(0, 1)))
    else:
        say(_("No phases are read in this text. Write one a line, such as: Review 3"))
    for line in typed.lines:
        if line.why:
            complain(
                _("Line {number}: {text}: {why}", number=line.number, text=line.raw.strip(), why=line.why)
            )
