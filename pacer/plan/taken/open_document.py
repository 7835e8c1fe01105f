"""The text of an OpenDocument text or spreadsheet (ISO/IEC 26300): .odt and .ods."""

from collections.abc import Iterator
from typing import Any

from pacer.plan.taken.archive import count_in, member_bytes, name_of, opened, root_in, root_of, value_of
from pacer.plan.taken.lines import MOST_SPAN, Lines, joined_struck, struck, tight
from pacer.plan.taken.taken import MOST_SIGNS, Taken, broken, locked, taken, too_much_text
from pacer.plan.typed.read_typed import MOST_LINES
from pacer.text import _

KIND = ".odt or .ods file"
BULLET = "•"
_LEFT_OUT = frozenset(
    {"note", "annotation", "tracked-changes", "forms", "sequence-decls", "deletion", "bookmark"}
)
_MOST_BLANKS = 40


def text_of_open_document(data: bytes) -> Taken:
    """The text of a file's bytes, a part for each sheet. Raises NotTakenError. Macros stay unopened."""
    with opened(data, KIND) as archive:
        manifest = member_bytes(archive, "META-INF/manifest.xml", KIND)
        if b"encryption-data" in manifest:
            raise locked()
        content = root_of(archive, "content.xml", KIND)
        styles = member_bytes(archive, "styles.xml", KIND)
        names = archive.namelist()
    if content is None:
        raise broken(KIND)
    read = _Content(content, root_in(styles, KIND) if styles else None)
    body = content.find("{*}body")
    parts = [] if body is None else [part for of in body for part in read.parts(of)]
    aside = []
    if any(name.startswith(("Basic/", "Scripts/")) for name in names):
        aside.append(_("Its macros stay unopened."))
    if any(name.startswith("Pictures/") and len(name) > 9 for name in names):
        aside.append(_("Its pictures are left out. One that you show can be dropped on its phase."))
    return taken(parts, aside)


def _times(element: Any, name: str) -> int:
    """How often a cell or a row is repeated."""
    return max(1, count_in(value_of(element, name), 8))


class _Content:
    """Reads the body; styles say what is struck out and which lists count."""

    def __init__(self, *roots: Any) -> None:
        self._struck: set[str] = set()
        self._signs = 0
        self._numbered: dict[str, set[int]] = {}
        for root in roots:
            for holder in () if root is None else root.iterchildren("{*}automatic-styles", "{*}styles"):
                for style in holder:
                    self._note_style(style)

    def _note_style(self, style: Any) -> None:
        if name_of(style) == "list-style":
            levels = style.iterchildren("{*}list-level-style-number")
            self._numbered[value_of(style, "name")] = {_times(level, "level") for level in levels}
        for part in style.iterchildren("{*}text-properties"):
            lined = value_of(part, "text-line-through-style") or value_of(part, "text-line-through-type")
            if lined not in ("", "none"):
                self._struck.add(value_of(style, "name"))

    def parts(self, of: Any) -> Iterator[tuple[str, str]]:
        """The text of a text document, or of each sheet of a spreadsheet."""
        if name_of(of) == "spreadsheet":
            for sheet in of.iterchildren("{*}table"):
                lines = Lines()
                lines.add_rows(self._rows(sheet))
                yield value_of(sheet, "name"), lines.text
        else:
            lines = Lines()
            self._add(of, lines)
            yield "", lines.text

    def _add(self, element: Any, lines: Lines, level: int = 0, mark: str = "") -> None:
        for child in element:
            name = name_of(child)
            if name in ("p", "h"):
                lines.add(self._text(child).strip(), level, mark)
                mark = " " * len(mark) if mark else ""
                for box in child.iter("{*}text-box"):
                    self._add(box, lines)
            elif name == "list":
                self._add_list(child, lines, level if not mark else level + 1)
            elif name == "table":
                lines.add_rows(self._rows(child))
            elif name not in _LEFT_OUT:
                self._add(child, lines, level, mark)

    def _add_list(self, element: Any, lines: Lines, level: int, style: str = "") -> None:
        style = value_of(element, "style-name") or style
        numbers = self._numbered.get(style, set())
        count = 0
        for item in element.iterchildren("{*}list-item", "{*}list-header"):
            count = count_in(value_of(item, "start-value"), 4, count + 1)
            mark = f"{count}." if level + 1 in numbers else BULLET
            for child in item:
                if name_of(child) == "list":
                    self._add_list(child, lines, level + 1, style)
                elif name_of(child) in ("p", "h"):
                    lines.add(self._text(child).strip(), level, mark)
                    mark = " "

    def _rows(self, table: Any) -> list[list[list[str]]]:
        """Rows of cells; empty ones, which a sheet repeats to its very end, are left out."""
        rows: list[list[list[str]]] = []
        for row in self._through(table, "table-row"):
            cells: list[list[str]] = []
            for cell in self._through(row, "table-cell", "covered-table-cell"):
                within = Lines()
                self._add(cell, within)
                texts = [tight(line) for line in within.lines if line.strip()]
                self._signs += sum(map(len, texts))
                if self._signs > MOST_SIGNS:
                    raise too_much_text()
                cells += [texts] * min(MOST_SPAN, _times(cell, "number-columns-repeated"))
            while cells and not cells[-1]:
                cells.pop()
            again = min(_times(row, "number-rows-repeated"), MOST_LINES + 1) if cells else 1
            rows += [cells] * again
            if len(rows) > 3 * MOST_LINES:
                break  # more than are taken, which is told where they are put together
        while rows and not rows[-1]:
            rows.pop()
        return rows

    def _through(self, element: Any, *names: str) -> Iterator[Any]:
        for child in element:
            if name_of(child) in names:
                yield child
            elif name_of(child) in ("table-header-rows", "table-rows", "table-row-group"):
                yield from self._through(child, *names)

    def _text(self, element: Any) -> str:
        return joined_struck("".join(self._pieces(element)))

    def _pieces(self, element: Any) -> Iterator[str]:
        is_struck = name_of(element) in ("span", "p", "h") and value_of(element, "style-name") in self._struck
        text = "".join(self._plain(element))
        yield struck(text) if is_struck else text

    def _plain(self, element: Any) -> Iterator[str]:
        yield element.text or ""
        for child in element:
            name = name_of(child)
            if name == "s":
                yield " " * min(_MOST_BLANKS, _times(child, "c"))
            elif name == "tab":
                yield "\t"
            elif name == "line-break":
                yield "\n"
            elif name not in _LEFT_OUT and name != "frame":
                yield from self._pieces(child)
            yield child.tail or ""
