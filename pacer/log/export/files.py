"""Tables of the day records as text, CSV (RFC 4180) or JSON, and as whole files.

CSV: UTF-8 without a mark, lines end in CR LF, a heading line, text in quotes, numbers bare, true and false as
words, nothing where there is no value. A text that a spreadsheet would run as a formula gets an apostrophe
before it (see `harmless`); `as_it_was` takes it away again. Numbers are never touched, negative ones neither:
what counts is that a cell *is* a number, not how it looks.

JSON: one object. ``tables`` holds each table by its name, as a list of rows with their headings as keys;
texts are as they are in the records, without apostrophes.
"""

import json
import os
import re
import secrets
from collections.abc import Iterable, Sequence
from contextlib import suppress
from pathlib import Path

from pacer.log.export.tables import CellValue, ExportTable
from pacer.owner_only import keep_names, make_folder
from pacer.settings import whole_file
from pacer.settings.whole_file import plain_reason
from pacer.text import _

JSON_FORMAT = 1

# What may stand before a sign without making it harmless: blanks, also such as can't be seen, and quotes.
_BEFORE = r"[\s\"'\u200b\ufeff\x00]*"
# Common practice, from memory; the last four are the wide forms of the first, which some programs take, too.
_SIGN = r"[=+\-@\uff1d\uff0b\uff0d\uff20]"
# Where a cell begins: at the start of a text; and, in a program that parts cells at other signs than commas,
# after one of those. As an apostrophe is among what may stand before a sign, taking one away is exact.
_START = rf"(?={_BEFORE}(?:{_SIGN}|[\t\r]))"
_INSIDE = rf"(?={_BEFORE}{_SIGN})"
_RUNS = re.compile(rf"^{_START}|(?<=[;\t\r\n]){_INSIDE}")
_MADE_HARMLESS = re.compile(rf"^'{_START}|(?<=[;\t\r\n])'{_INSIDE}")


class ExportError(Exception):
    """It could not be written, and nothing was. The message says what, where and what next."""


def harmless(text: str) -> str:
    """A text that no spreadsheet runs: an apostrophe stands wherever a cell with a formula would begin.

    That is a sign = + - @, also after blanks and quotes, and a tab or carriage return at the start.
    """
    return _RUNS.sub("'", text)


def as_it_was(cell: str) -> str:
    """The text of a cell before it was made harmless."""
    return _MADE_HARMLESS.sub("", cell)


def csv_bytes(table: ExportTable) -> bytes:
    """A table as the content of a CSV file."""
    lines = [",".join(table.headings), *(",".join(map(_csv_cell, row)) for row in table.rows)]
    return "".join(f"{line}\r\n" for line in lines).encode("utf-8", "replace")


def _csv_cell(value: CellValue) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    return '"{}"'.format(harmless(value).replace('"', '""'))


def json_bytes(tables: Iterable[ExportTable]) -> bytes:
    """All tables as the content of one JSON file."""
    parts = ",\n".join(f"{json.dumps(table.name)}: [{_json_rows(table)}]" for table in tables)
    return f'{{"format": {JSON_FORMAT}, "tables": {{\n{parts}\n}}}}\n'.encode("utf-8", "replace")


def _json_rows(table: ExportTable) -> str:
    """The rows of a table, one a line."""
    rows = (dict(zip(table.headings, row, strict=True)) for row in table.rows)
    lines = ",\n".join(json.dumps(row, ensure_ascii=False, allow_nan=False) for row in rows)
    return f"\n{lines}\n" if lines else ""


def write_new(path: Path, data: bytes, called: Path | None = None) -> None:
    """Write a file that isn't there yet, whole or not at all; ``called`` is the name that errors tell.

    Raises ExportError.
    """
    try:
        written = whole_file.write_new(path, data)
    except (OSError, ValueError) as error:
        raise _unwritten(called or path, error) from error
    if not written:
        raise _taken([path])


def write_folder(folder: Path, tables: Sequence[ExportTable], *, over: bool = False) -> list[Path]:
    """Write a CSV file for each table into a folder, all or none; returns them. Raises ExportError.

    A folder that isn't there is made, and appears with all of them. In one that is there, files of the same
    name are only written over with ``over``.
    """
    paths = [folder / f"{table.name}.csv" for table in tables]
    existing = [path for path in paths if os.path.lexists(path)]
    if existing and not over:
        raise _taken(existing)
    is_new = not os.path.lexists(folder)
    # All are written under another name first: a disk that fills up changes nothing of what is there.
    name = f".pacer-{secrets.token_hex(4)}.partial"
    staged = folder.with_name(name) if is_new else folder / name
    placed: list[Path] = []
    try:
        os.lstat(staged.parent)  # a folder around it is never made: it is a slip, or a drive is gone
        make_folder(staged)
        for path, table in zip(paths, tables, strict=True):
            write_new(staged / path.name, csv_bytes(table), called=path)
        if is_new:
            keep_names(staged)
            staged.rename(folder)
        else:
            for path in paths:
                (staged / path.name).replace(path)
                placed.append(path)
            staged.rmdir()
            keep_names(folder)
        keep_names(folder.parent)
    except BaseException as error:
        # What was written over can't be taken back; a file that was not there before can.
        _take_back([path for path in placed if path not in existing], [staged / path.name for path in paths])
        if isinstance(error, (OSError, ValueError)):
            raise _unwritten(folder, error) from error
        raise
    return paths


def _take_back(placed: Sequence[Path], staged: Sequence[Path]) -> None:
    for path in (*placed, *staged):
        with suppress(OSError):
            path.unlink(missing_ok=True)
    for folder in {path.parent for path in staged}:
        with suppress(OSError):
            folder.rmdir()


def _taken(paths: Sequence[Path]) -> ExportError:
    words = _("Nothing was written, because {names} is there already. Choose another name or folder.")
    return ExportError(words.format(names=", ".join(str(path) for path in paths)))


def _unwritten(path: Path, error: Exception) -> ExportError:
    reason, next_step = plain_reason(error)
    words = _("{path} can't be written: {reason}. {next}")
    return ExportError(words.format(path=path, reason=reason, next=next_step))
