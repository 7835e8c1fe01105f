"""The text of an OpenDocument text or spreadsheet (ISO/IEC 26300): .odt and .ods."""

from collections.abc import Iterator
from typing import Any

from pacer.plan.taken.archive import member_bytes, opened, root_in, root_of
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
    body = next(iter(child for child in content if _name(child) == "body"), None)
    parts = [] if body is None else [part for of in body for part in read.parts(of)]
    aside = []
    if any(name.startswith(("Basic/", "Scripts/")) for name in names):
        aside.append(_("Its macros stay unopened."))
    if any(name.startswith("Pictures/") and len(name) > 9 for name in names):
        aside.append(_("Its pictures are left out. One that you show can be dropped on its phase."))
    return taken(parts, aside)


def _name(element: Any) -> str:
    tag = element.tag
    return tag.rpartition("}")[2] if isinstance(tag, str) else ""


def _value(element: Any, name: str) -> str:
    return next((value for key, value in element.items() if key.rpartition("}")[2] == name), "")


def _times(element: Any, name: str) -> int:
    """How often a cell or a row is repeated."""
    text = _value(element, name)
    return max(1, int(text)) if text.isascii() and text.isdigit() and len(text) < 9 else 1


class _Content:
    """Reads the body; styles say what is struck out and which lists count."""

    def __init__(self, *roots: Any) -> None:
        self._struck: set[str] = set()
        self._signs = 0
        self._numbered: dict[str, set[int]] = {}
        for root in roots:
            for holder in () if root is None else root:
                for style in holder if _name(holder) in ("automatic-styles", "styles") else ():
                    self._note_style(style)

    def _note_style(self, style: Any) -> None:
        if _name(style) == "list-style":
            self._numbered[_value(style, "name")] = {
                _times(level, "level") for level in style if _name(level) == "list-level-style-number"
            }
        for part in style:
            lined = _value(part, "text-line-through-style") or _value(part, "text-line-through-type")
            if _name(part) == "text-properties" and lined not in ("", "none"):
                self._struck.add(_value(style, "name"))

    def parts(self, of: Any) -> Iterator[tuple[str, str]]:
        """The text of a text document, or of each sheet of a spreadsheet."""
        if _name(of) == "spreadsheet":
            for sheet in of:
                if _name(sheet) == "table":
                    lines = Lines()
                    lines.add_rows(self._rows(sheet))
                    yield _value(sheet, "name"), lines.text
        else:
            lines = Lines()
            self._add(of, lines)
            yield "", lines.text

    def _add(self, element: Any, lines: Lines, level: int = 0, mark: str = "") -> None:
        for child in element:
            name = _name(child)
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
        style = _value(element, "style-name") or style
        numbers = self._numbered.get(style, set())
        count = 0
        for item in element:
            if _name(item) not in ("list-item", "list-header"):
                continue
            first = _value(item, "start-value")
            count = int(first) if first.isascii() and first.isdigit() and len(first) < 5 else count + 1
            mark = f"{count}." if level + 1 in numbers else BULLET
            for child in item:
                if _name(child) == "list":
                    self._add_list(child, lines, level + 1, style)
                elif _name(child) in ("p", "h"):
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
            if _name(child) in names:
                yield child
            elif _name(child) in ("table-header-rows", "table-rows", "table-row-group"):
                yield from self._through(child, *names)

    def _text(self, element: Any) -> str:
        return joined_struck("".join(self._pieces(element)))

    def _pieces(self, element: Any) -> Iterator[str]:
        is_struck = _name(element) in ("span", "p", "h") and _value(element, "style-name") in self._struck
        text = "".join(self._plain(element))
        yield struck(text) if is_struck else text

    def _plain(self, element: Any) -> Iterator[str]:
        yield element.text or ""
        for child in element:
            name = _name(child)
            if name == "s":
                yield " " * min(_MOST_BLANKS, _times(child, "c"))
            elif name == "tab":
                yield "\t"
            elif name == "line-break":
                yield "\n"
            elif name not in _LEFT_OUT and name != "frame":
                yield from self._pieces(child)
            yield child.tail or ""
