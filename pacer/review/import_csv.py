"""Reads a table of past phase durations (CSV, RFC 4180): rows, or the problems with their lines."""

import csv
import io
import re
import unicodedata
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import get_args

from pacer.log.imported import ImportedEnding
from pacer.pace.forecasts.past import ABSURD_S
from pacer.plan.durations import parse_duration
from pacer.plan.file_text import NoTextError, text_of
from pacer.plan.kinds import KINDS
from pacer.plan.problems import Problem, WhatAndFix, clipped, did_you_mean, mean_words
from pacer.run.events import Ending
from pacer.text import _

COLUMNS = ("date", "phase", "kind", "planned_s", "actual_s", "ending")
ENDINGS: tuple[Ending, ...] = get_args(Ending)
MAX_BYTES = 10_000_000
MAX_ROWS = 100_000  # over fifty years of school days
MOST_PROBLEMS = 100  # who mends a hundred will ask again
LONGEST_NAME = 120
_EARLIEST = date(1970, 1, 1)
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_SECONDS = re.compile(r"[0-9]{1,9}(\.[0-9]{1,9})?")


def read_bytes(data: bytes, name: str, today: date | None = None) -> list[ImportedEnding] | list[Problem]:
    """Read the content of a file; ``name`` only says where a problem is. See `read_text`."""
    if len(data) > MAX_BYTES:
        fault = _("The file is larger than {size} MB.", size=f"{MAX_BYTES / 1e6:g}")
        return [Problem(name, None, fault, _("Split it into smaller files."))]
    try:
        return read_text(text_of(data, _("Save the table as CSV, in UTF-8.")), name, today)
    except NoTextError as error:
        return [error.problem(name)]


def read_text(text: str, name: str, today: date | None = None) -> list[ImportedEnding] | list[Problem]:
    """Read a table with a heading line. Returns all rows, or problems if there is a single one.

    Blank lines are passed over. With ``today``, a date after tomorrow is a problem (tomorrow: the file may
    come from another time zone).
    """
    records = _records(text.removeprefix("\ufeff"), name)
    heading = next(records, None)
    if heading is None:
        fix = _("Begin with a line: {columns}", columns=",".join(COLUMNS))
        return [Problem(name, 1, _("The file is empty."), fix)]
    if isinstance(heading, Problem):
        return [heading]
    columns = [cell.strip().lower() for cell in heading[1]]
    problems = [Problem(name, heading[0], *words) for words in _heading_words(columns)]
    if problems:
        return problems[:MOST_PROBLEMS]
    rows: list[ImportedEnding] = []
    for record in records:
        if isinstance(record, Problem):
            problems.append(record)
        elif len(rows) == MAX_ROWS:
            fault = _("The table has more than {most} rows.", most=MAX_ROWS)
            return [Problem(name, record[0], fault, _("Split it into smaller files."))]
        else:
            row = _row(columns, record[1], today)
            if isinstance(row, ImportedEnding):
                rows.append(row)
            else:
                problems += [Problem(name, record[0], *words) for words in row]
        if len(problems) >= MOST_PROBLEMS:
            break
    if not rows and not problems:
        fault = _("There is no row under the heading.")
        return [Problem(name, heading[0], fault, _("Write one row for each phase of each lesson."))]
    return problems[:MOST_PROBLEMS] or rows


def _records(text: str, name: str) -> Iterator[tuple[int, list[str]] | Problem]:
    """Records that are not blank, with the line each begins on; a problem ends them."""
    # newline="" keeps line ends inside quotes and knows all three kinds of them.
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    begin = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield begin, cells
            begin = reader.line_num + 1
    except csv.Error as error:
        if "unexpected end" in str(error):
            fault, fix = _('A " is opened here and never closed.'), _('Close it, or write "" for the sign.')
        else:
            fault, fix = (
                _("This row can't be taken apart."),
                _('Text with a comma or a " stands in "quotes".'),
            )
        yield Problem(name, begin, fault, fix)


def _heading_words(columns: Sequence[str]) -> list[WhatAndFix]:
    for sign, called in ((";", _("semicolons")), ("\t", _("tabs"))):
        if len(columns) == 1 and sign in columns[0]:
            fault = _("The columns are parted by {signs}.", signs=called)
            return [(fault, _("Save the table with commas between the columns."))]
    missing = [column for column in COLUMNS if column not in columns]
    problems: list[WhatAndFix] = []
    seen: set[str] = set()
    for column in columns:
        if len(problems) >= MOST_PROBLEMS:
            return problems
        if column not in COLUMNS:
            near = did_you_mean(column[:40], missing)
            fault = _('There is no column "{name}".', name=clipped(column))
            known = _("Take it out; the columns are: {columns}.", columns=", ".join(COLUMNS))
            problems.append((fault, mean_words(column, near) if near else known))
        elif column in seen:
            fault = _('The column "{name}" is there twice.', name=column)
            problems.append((fault, _("Take one of them out.")))
        seen.add(column)
    for column in missing:
        fault = _('The column "{name}" is missing.', name=column)
        problems.append((fault, _("The first line names all of: {columns}.", columns=", ".join(COLUMNS))))
    return problems


def _row(
    columns: Sequence[str], cells: Sequence[str], today: date | None
) -> ImportedEnding | list[WhatAndFix]:
    if len(cells) != len(columns):
        fault = _(
            "This row has {count} cells, the heading has {columns}.", count=len(cells), columns=len(columns)
        )
        return [(fault, _('A text with a comma in it stands in "quotes"; an empty cell keeps its comma.'))]
    at = dict(zip(columns, (cell.strip() for cell in cells), strict=True))
    kind = at["kind"].lower()
    ending = " ".join(re.split(r"[\s_-]+", at["ending"].lower())).strip()
    problems = [
        *_date_words(at["date"], today),
        *_phase_words(at["phase"]),
        *_choice_words("kind", at["kind"], kind, list(KINDS)),
        *_choice_words("ending", at["ending"], ending, ENDINGS),
        *_seconds_words("planned_s", at["planned_s"]),
    ]
    # A phase that was skipped took no time, which a table writes as 0 or not at all.
    is_skipped = ending == "skipped" and (not at["actual_s"] or re.fullmatch(r"0(\.0*)?", at["actual_s"]))
    if not is_skipped:
        problems += _seconds_words("actual_s", at["actual_s"])
    known = next((choice for choice in ENDINGS if choice == ending), None)
    if problems or known is None:
        return problems
    actual_s = 0.0 if is_skipped else float(at["actual_s"])
    return ImportedEnding(at["date"], at["phase"], kind, float(at["planned_s"]), actual_s, known)


def _date_words(written: str, today: date | None) -> list[WhatAndFix]:
    try:
        day = date.fromisoformat(written) if _DATE.fullmatch(written) else None
    except ValueError:
        day = None
    if day is None or day < _EARLIEST:
        return [
            (
                _('date "{written}" is not a date.', written=clipped(written)),
                _("Write year-month-day, like 2026-03-09."),
            )
        ]
    if today is not None and day > today + timedelta(days=1):
        return [(_("date {day} has not come yet.", day=written), _("Check the year."))]
    return []


def _phase_words(written: str) -> list[WhatAndFix]:
    if not written:
        return [(_("phase is empty."), _("Write the id of the phase, as in the outline."))]
    if len(written) > LONGEST_NAME:
        return [(_("phase is too long."), _("At most {most} characters.", most=LONGEST_NAME))]
    if any(unicodedata.category(char) in ("Cc", "Cf", "Cs", "Zl", "Zp") for char in written):
        return [(_("phase holds a character that can't be seen."), _("Delete it."))]
    return []


def _choice_words(column: str, written: str, value: str, choices: Sequence[str]) -> list[WhatAndFix]:
    if value in choices:
        return []
    near = did_you_mean(value[:40], choices)
    fault = _('{column} "{written}" is not one of the choices.', column=column, written=clipped(written))
    if near:
        return [(fault, mean_words(written, near))]
    return [(fault, _("Choose from: {choices}.", choices=", ".join(choices)))]


def _seconds_words(column: str, written: str) -> list[WhatAndFix]:
    shown = clipped(written)
    if not written:
        return [(_("{column} is missing.", column=column), _("Write seconds, like 180."))]
    if not _SECONDS.fullmatch(written):
        fault = _('{column} "{written}" is not a number of seconds.', column=column, written=shown)
        return [(fault, _seconds_fix(written))]
    seconds = float(written)
    if seconds < 1:
        fault = _('{column} "{written}" is not above 0.', column=column, written=shown)
        return [(fault, _('Write seconds, like 180; a phase that was left out ends "skipped".'))]
    if seconds >= ABSURD_S:
        fault = _("{column} {written} is {hours} hours or more.").format(
            column=column, written=shown, hours=ABSURD_S // 3600
        )
        return [(fault, _("Durations are in seconds; a clock left running is no lesson: take the row out."))]
    return []


def _seconds_fix(written: str) -> str:
    """Say the number that was likely meant, where the text is a duration of another form."""
    try:
        likely = parse_duration(written[:40]) if ":" in written or written[-1:].isalpha() else 0
    except ValueError:
        likely = 0
    if 1 <= likely < ABSURD_S:
        return _("Write seconds: {seconds}", seconds=likely)
    return _("Write seconds, like 180 or 187.5.")
