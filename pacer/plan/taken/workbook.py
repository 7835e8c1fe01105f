"""The text of a spreadsheet's .xlsx (ISO/IEC 29500): each sheet as rows, its figures as they are shown.

Taken apart here over lxml: to import the usual library alone takes a second of the processor.
"""

import re
import zipfile
from datetime import date, timedelta
from posixpath import normpath
from typing import Any

from pacer.plan.taken.archive import (
    check_tags,
    count_in,
    member_bytes,
    name_of,
    opened,
    root_in,
    root_of,
    value_of,
)
from pacer.plan.taken.lines import Lines, cell_text, struck
from pacer.plan.taken.taken import (
    MOST_CELLS,
    MOST_SIGNS,
    NotTakenError,
    Taken,
    broken,
    copy_one_lesson,
    taken,
    too_many_cells,
    too_many_lines,
    too_much_text,
)
from pacer.plan.typed.read_typed import MOST_LINES
from pacer.plan.typed.table.runs import MOST_CELLS as MOST_COLUMNS
from pacer.text import _

KIND = ".xlsx spreadsheet"
MOST_SHEETS = 30
_LONGEST_FORM = 255  # as the programs that write them allow
_MOST_PAINTED = 80_000  # cells, most of them without a word
_PLACE = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
_TALK = re.compile(r'"[^"]*"|\\.|\[\$[^\]]*\]|\[[A-Za-z]{3,}\]')  # what a form of numbers says in words
# Forms that have a number and no text of their own: ISO/IEC 29500-1, 18.8.30.
_OF_DAYS = frozenset((14, 15, 16, 17, 22))
_OF_TIMES = {18: "h:mm", 19: "h:mm:ss", 20: "h:mm", 21: "h:mm:ss", 45: "mm:ss", 46: "[h]:mm:ss", 47: "mm:ss"}
_DAY_S, _LAST_DAY = 86_400, 2_958_465


def text_of_workbook(data: bytes) -> Taken:
    """The text of a workbook's bytes, a part for each sheet. Raises NotTakenError. Macros stay unopened.

    Formulas give the value that was worked out last; what lies in another file is not looked for.
    """
    with opened(data, KIND) as archive:
        book = root_of(archive, "xl/workbook.xml", KIND)
        if book is None:
            raise broken(KIND)
        names = archive.namelist()
        shown = _Shown(archive, book)
        parts, left = list[tuple[str, str]](), list[str]()
        for name, member in _sheets(archive, book):
            data = member_bytes(archive, member, KIND)
            if parts and shown.tags + data.count(b"<") > 2 * _MOST_PAINTED:
                left.append(name)
            else:
                parts.append((name, shown.sheet_text(data)))
    aside = [_("Its macros stay unopened.")] if any(name.endswith("vbaProject.bin") for name in names) else []
    if left:
        aside.append(_("Too much for one time, and not read: {sheets}.", sheets=", ".join(left)[:300]))
    return taken(parts, aside)


def _number(element: Any, name: str) -> int:
    return count_in(value_of(element, name), 7)


def _children(root: Any, name: str) -> list[Any]:
    holder = None if root is None else root.find(f"{{*}}{name}")
    return [] if holder is None else list(holder)


def _sheets(archive: zipfile.ZipFile, book: Any) -> list[tuple[str, str]]:
    """The name and the member of each sheet that is not hidden, in order."""
    relations = root_of(archive, "xl/_rels/workbook.xml.rels", KIND)
    targets = {
        value_of(one, "Id"): value_of(one, "Target") for one in (() if relations is None else relations)
    }
    sheets = []
    for sheet in _children(book, "sheets")[:MOST_SHEETS]:
        target = targets.get(value_of(sheet, "id"), "")
        member = target[1:] if target.startswith("/") else normpath(f"xl/{target}")
        if value_of(sheet, "state") not in ("hidden", "veryHidden") and "worksheets" in member:
            sheets.append((value_of(sheet, "name"), member))
    return sheets


class _Shown:
    """Shows the cells of a workbook: its words that are written once, its forms of numbers."""

    def __init__(self, archive: zipfile.ZipFile, book: Any) -> None:
        styles = root_of(archive, "xl/styles.xml", KIND)
        words = root_of(archive, "xl/sharedStrings.xml", KIND)
        self._words = [_rich(one) for one in (() if words is None else words.iterchildren("{*}si"))]
        own = {_number(one, "numFmtId"): value_of(one, "formatCode") for one in _children(styles, "numFmts")}
        lined = [any(value_of(each, "val") not in ("0", "false") for each in font.iterchildren("{*}strike"))
                 for font in _children(styles, "fonts")]  # fmt: skip
        self._styles: list[tuple[str, bool]] = []
        for each in _children(styles, "cellXfs"):
            form, font = _number(each, "numFmtId"), _number(each, "fontId")
            code = "yyyy" if form in _OF_DAYS else _OF_TIMES.get(form, own.get(form, ""))
            self._styles.append(
                (_TALK.sub("", code[:_LONGEST_FORM]).lower()[:60], font < len(lined) and lined[font])
            )
        properties = book.find("{*}workbookPr")
        is_1904 = properties is not None and value_of(properties, "date1904") in ("1", "true")
        self.tags = self._signs = 0
        self._first_day = date(1904, 1, 1) if is_1904 else date(1899, 12, 30)

    def sheet_text(self, data: bytes) -> str:
        """The rows of a sheet's XML; columns that are empty from top to bottom are left out."""
        _weigh(data)
        self.tags += data.count(b"<")
        if not data:
            return ""
        rows = []
        for row in _children(root_in(data, KIND), "sheetData"):
            cells = self._row(row)
            if cells:
                rows.append(cells)
            if len(rows) > MOST_LINES:
                raise too_many_lines()
        used = sorted({at for row in rows for at in row})
        lines = Lines()
        lines.add_rows([[[row[at]] if at in row else [] for at in used] for row in rows])
        return lines.text

    def _row(self, row: Any) -> dict[int, str]:
        """The cells of a row that say something, by column."""
        cells: dict[int, str] = {}
        at = -1
        for cell in row:
            place = _PLACE.fullmatch(value_of(cell, "r"))
            at = at + 1 if place is None else _column(place[1])
            text = self._cell(cell) if len(cell) else ""
            if text:
                cells[at] = text
            if len(cells) > MOST_COLUMNS:
                raise NotTakenError(
                    _("A row has more than {most} cells.", most=MOST_COLUMNS), copy_one_lesson()
                )
        return cells

    def _cell(self, cell: Any) -> str:
        kind, style = value_of(cell, "t"), _number(cell, "s")
        form, is_struck = self._styles[style] if style < len(self._styles) else ("", False)
        value = cell.findtext("{*}v") or ""
        if kind == "s":
            text = self._words[at] if (at := count_in(value, 7)) < len(self._words) else ""
        elif kind == "inlineStr":
            text = "".join(map(_rich, cell.iterchildren("{*}is")))
        elif kind in ("b", "e"):
            text = ""
        else:
            text = value if kind in ("str", "d") else self._figure(value, form)
        # One text may stand in very many cells.
        self._signs += len(text)
        if self._signs > MOST_SIGNS:
            raise too_much_text()
        text = cell_text([text])
        return struck(text) if text and is_struck else text

    def _figure(self, value: str, form: str) -> str:
        """A number as the sheet shows it, as far as lessons need it: figures, times of day, lengths, days."""
        try:
            figure = float(value)
        except ValueError:
            return value
        if not abs(figure) < 1e12:
            return ""
        is_time = "h" in form or "s" in form
        if figure < 0 or not (is_time or "y" in form or "d" in form) or figure > _LAST_DAY:
            return f"{figure:.10g}"
        seconds = round(figure * _DAY_S)
        if not ("y" in form or "d" in form):
            return _time_shown(seconds, form)
        day = str(self._first_day + timedelta(days=min(int(figure), _LAST_DAY - 2_000)))
        return f"{day} {_time_shown(seconds % _DAY_S, form)}" if is_time and seconds % _DAY_S else day


def _time_shown(seconds: int, form: str) -> str:
    if "h" not in form:
        return f"{seconds // 60}:{seconds % 60:02}"
    hours = seconds // 3600 if "[h" in form else seconds // 3600 % 24
    behind = f":{seconds % 60:02}" if "s" in form and (seconds % 60 or "[h" in form) else ""
    return f"{hours}:{seconds // 60 % 60:02}{behind}"


def _rich(element: Any) -> str:
    """The text of runs; what is struck out is marked, how letters are pronounced is left out."""
    pieces = []
    for one in element.iterchildren("{*}t", "{*}r"):
        texts = (one,) if name_of(one) == "t" else one.iterchildren("{*}t")
        text = "".join(each.text or "" for each in texts)
        pieces.append(struck(text) if one.find("{*}rPr/{*}strike") is not None else text)
    return "".join(pieces)


def _weigh(data: bytes) -> None:
    """Raises NotTakenError for a sheet of more cells than a lesson's, before it is taken apart."""
    cells = data.count(b"<v>") + data.count(b"<is>")
    if cells > MOST_CELLS and data.count(b"<row") > MOST_LINES:
        raise too_many_lines()
    if cells > MOST_CELLS:
        raise too_many_cells()
    check_tags(data, KIND, 2 * _MOST_PAINTED)


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number - 1
