"""The verb read: what a pasted text was taken for, its phases and its doubts, for people and for scripts."""

import sys
from pathlib import Path
from typing import Any

from pacer.frames.words.kinds import kind_words
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.durations import format_duration
from pacer.plan.file_text import text_of as decoded
from pacer.plan.problems import ToldError
from pacer.plan.taken.read_file import PdfText, is_document, text_of_bytes
from pacer.plan.taken.taken import MOST_BYTES, Taken, TakenPart
from pacer.plan.typed.read_typed import Typed, read_typed
from pacer.settings.whole_file import is_stream
from pacer.text import _
from pacer.verbs.console import complain, refuse, say, say_json
from pacer.verbs.tables import table

MAX_BYTES = 5_000_000  # two thousand lines are read, of six thousand signs at most
STANDARD_INPUT = Path("-")


def read_verb(path: Path, as_json: bool, pdf_text: PdfText | None = None) -> int:
    """Print what a file is read as. Returns 0, or 1 after saying why the file can't be read.

    Of a document of several sheets or days the first is read, which is said; ``pdf_text`` finds a PDF's text.
    """
    try:
        taken = taken_of(path, pdf_text)
    except ToldError as error:
        return refuse(error.problem(path))
    typed = read_typed(taken.text)
    if len(taken.parts) > 1:
        first, *others = (part.name for part in taken.parts)
        complain(_("Read: {first}. Not read: {others}.", first=first, others=", ".join(others)))
    for words in taken.left_aside:
        complain(words)
    if as_json:
        say_json(as_values(typed))
    else:
        _say_plainly(typed)
    return 0


def taken_of(path: Path, pdf_text: PdfText | None = None) -> Taken:
    """The text that a file holds, ``-`` for standard input, where only text is taken.

    Raises UnreadableFileError, NoTextError and NotTakenError.
    """
    if path != STANDARD_INPUT:
        data = read_bounded(path, MOST_BYTES)
        if is_document(data, path.name):
            from dateutil.tz import tzlocal

            return text_of_bytes(data, path, tzlocal(), None if is_stream(path) else pdf_text)
    elif sys.stdin is None:
        raise UnreadableFileError(_("There is no input."), _("Hand a text over, or name a file."))
    else:
        data = sys.stdin.buffer.read(MAX_BYTES + 1)
    if len(data) > MAX_BYTES:
        what = _("The text is larger than {size} MB.", size=f"{MAX_BYTES / 1e6:g}")
        raise UnreadableFileError(what, _("Give a smaller one."))
    text = decoded(data, _("Name a text file: a phase a line, such as: Review 3"))
    return Taken((TakenPart("", text),))


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
