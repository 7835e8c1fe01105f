"""The text of a word processor's .docx (ISO/IEC 29500): paragraphs, lists with their numbers, tables.

Taken apart here over lxml, as the usual library for it leaves out what stands in fields of templates, text
boxes and tracked changes, and says no list's number: of a lesson nothing may be lost.
"""

from collections.abc import Iterator
from typing import Any

from pacer.plan.taken.archive import count_in, name_of, opened, root_of, value_of
from pacer.plan.taken.lines import MOST_SPAN, Lines, joined_struck, struck, tight
from pacer.plan.taken.taken import Taken, broken, taken
from pacer.text import _

KIND = ".docx document"
BULLET = "•"
_LEFT_OUT = frozenset({"del", "moveFrom", "instrText", "delText", "delInstrText", "rPr", "pPr", "pict",
                       "object", "annotationRef", "footnoteReference", "endnoteReference",
                       "Fallback"})  # fmt: skip
_MOST_STYLES_DEEP = 12
_LONGEST_PATTERN = 60
_ROMAN = ((1000, "m"), (900, "cm"), (500, "d"), (400, "cd"), (100, "c"), (90, "xc"), (50, "l"), (40, "xl"),
          (10, "x"), (9, "ix"), (5, "v"), (4, "iv"), (1, "i"))  # fmt: skip


def text_of_word(data: bytes) -> Taken:
    """The text of a document's bytes. Raises NotTakenError. Macros and what lies elsewhere stay unopened."""
    with opened(data, KIND) as archive:
        root = root_of(archive, "word/document.xml", KIND)
        if root is None:
            raise broken(KIND)
        lists = _Lists(
            root_of(archive, "word/numbering.xml", KIND), root_of(archive, "word/styles.xml", KIND)
        )
        names = archive.namelist()
    body = root.find("{*}body")
    if body is None:
        raise broken(KIND)
    lines = Lines()
    _add_blocks(body, lines, lists)
    aside = []
    if any(name.endswith("vbaProject.bin") for name in names):
        aside.append(_("Its macros stay unopened."))
    if any(name.startswith("word/media/") for name in names):
        aside.append(_("Its pictures are left out. One that you show can be dropped on its phase."))
    return taken([("", lines.text)], aside)


def _value(element: Any) -> str:
    """What a property says."""
    return "" if element is None else value_of(element, "val")


def _child(element: Any, *names: str) -> Any:
    """A child, or a child's child; None where there is none."""
    return None if element is None else element.find("/".join(f"{{*}}{name}" for name in names))


def _is_on(properties: Any, *names: str) -> bool:
    """Whether a property is there and not said to be off."""
    wanted = () if properties is None else properties.iterchildren(*(f"{{*}}{name}" for name in names))
    return any(_value(each) not in ("false", "0", "off", "none") for each in wanted)


def _blocks(element: Any) -> Iterator[Any]:
    """Paragraphs and tables in order, through whatever is wrapped around them."""
    for child in element:
        name = name_of(child)
        if name in ("p", "tbl"):
            yield child
        elif name not in _LEFT_OUT and name not in ("sdtPr", "sectPr", "tblPr", "tcPr", "trPr"):
            yield from _blocks(child)


def _add_blocks(element: Any, lines: Lines, lists: "_Lists") -> None:
    for block in _blocks(element):
        if name_of(block) == "tbl":
            lines.add_rows([_row(row, lists) for row in _parts(block, "tr")])
            continue
        level, mark = lists.mark(_child(block, "pPr"))
        text = _text(block)
        if text.strip() or not mark:
            lines.add(text.strip(" ") if not mark else text.strip(), level, mark)
        for box in _boxes(block):
            _add_blocks(box, lines, lists)


def _parts(element: Any, name: str) -> Iterator[Any]:
    """Rows of a table or cells of a row, through fields and tracked changes, not into tables within."""
    for child in element:
        if name_of(child) == name:
            if name != "tr" or not _is_on(_child(child, "trPr"), "del"):
                yield child
        elif name_of(child) in ("sdt", "sdtContent", "customXml", "ins", "smartTag"):
            yield from _parts(child, name)


def _row(row: Any, lists: "_Lists") -> list[list[str]]:
    cells: list[list[str]] = []
    for cell in _parts(row, "tc"):
        within = Lines()
        _add_blocks(cell, within, lists)
        cells.append([tight(line) for line in within.lines])
        span = count_in(_value(_child(cell, "tcPr", "gridSpan")), 3)
        cells += [[] for _more in range(min(span, MOST_SPAN) - 1)]
    return cells


def _boxes(element: Any) -> Iterator[Any]:
    """Text boxes that hang on a paragraph; each is written twice, and once is enough."""
    for child in element:
        if name_of(child) == "txbxContent":
            yield child
        elif name_of(child) != "Fallback" and name_of(child) not in ("del", "moveFrom"):
            yield from _boxes(child)


def _text(paragraph: Any) -> str:
    """A paragraph's text; what is struck out stands between ``~~``, what is hidden or deleted is left out."""
    return joined_struck("".join(_pieces(paragraph)))


def _pieces(element: Any) -> Iterator[str]:
    for child in element:
        name = name_of(child)
        if name == "r":
            properties = _child(child, "rPr")
            if not _is_on(properties, "vanish"):
                text = "".join(_run(child))
                yield struck(text) if _is_on(properties, "strike", "dstrike") else text
        elif name not in _LEFT_OUT and name not in ("txbxContent", "sdtPr"):
            yield from _pieces(child)


def _run(run: Any) -> Iterator[str]:
    for child in run:
        name = name_of(child)
        if name == "t":
            yield child.text or ""
        elif name in ("tab", "ptab"):
            yield "\t"
        elif name in ("br", "cr"):
            yield "\n"
        elif name == "noBreakHyphen":
            yield "-"


class _Lists:
    """Counts the lists of a document: what stands before each of its paragraphs."""

    def __init__(self, numbering: Any, styles: Any) -> None:
        self._levels: dict[str, dict[int, tuple[str, str, int]]] = {}
        self._abstract: dict[str, str] = {}
        self._styles: dict[str, tuple[Any, str]] = {}
        self._counts: dict[str, dict[int, int]] = {}
        for each in () if numbering is None else numbering:
            if name_of(each) == "abstractNum":
                self._levels[value_of(each, "abstractNumId")] = {
                    count_in(value_of(level, "ilvl"), 4): _level(level)
                    for level in each.iterchildren("{*}lvl")
                }
            elif name_of(each) == "num" and (to := _child(each, "abstractNumId")) is not None:
                self._abstract[value_of(each, "numId")] = _value(to)
        for style in () if styles is None else styles.iterchildren("{*}style"):
            place = _child(style, "pPr", "numPr"), _value(_child(style, "basedOn"))
            self._styles[value_of(style, "styleId")] = place

    def mark(self, properties: Any) -> tuple[int, str]:
        """A paragraph's level from 0, and its bullet or number; empty where it is of no list."""
        place = _child(properties, "numPr")
        if place is None and (style := _child(properties, "pStyle")) is not None:
            place = self._of_style(_value(style))
        number = _child(place, "numId")
        level = min(8, count_in(_value(_child(place, "ilvl")), 4))
        abstract = self._abstract.get(_value(number), "")
        form, pattern, start = self._levels.get(abstract, {}).get(level, ("", "", 1))
        if number is None or not form or form == "none":
            return 0, ""
        counts = self._counts.setdefault(abstract, {})
        counts[level] = counts.get(level, start - 1) + 1
        for deeper in [at for at in counts if at > level]:
            del counts[deeper]
        return level, BULLET if form == "bullet" else self._numbered(abstract, pattern)

    def _of_style(self, name: str) -> Any:
        for _step in range(_MOST_STYLES_DEEP):
            place, name = self._styles.get(name, (None, ""))
            if place is not None:
                return place
        return None

    def _numbered(self, abstract: str, pattern: str) -> str:
        for at in range(9):
            form, _pattern, start = self._levels[abstract].get(at, ("decimal", "", 1))
            pattern = pattern.replace(f"%{at + 1}", _figure(self._counts[abstract].get(at, start), form))
        return pattern.strip()[:20]


def _level(level: Any) -> tuple[str, str, int]:
    """A level's form of number, its pattern, and its first number."""
    form, pattern, start = (_child(level, name) for name in ("numFmt", "lvlText", "start"))
    first = 1 if start is None else count_in(_value(start), 4)
    return "decimal" if form is None else _value(form), _value(pattern)[:_LONGEST_PATTERN], first


def _figure(n: int, form: str) -> str:
    """A number as a list writes it."""
    if form in ("lowerLetter", "upperLetter") and n > 0:
        letters = chr(ord("a") + (n - 1) % 26) * min(5, (n - 1) // 26 + 1)
        return letters.upper() if form == "upperLetter" else letters
    if form in ("lowerRoman", "upperRoman"):
        roman, left = "", min(n, 4999)
        for value, sign in _ROMAN:
            roman += sign * (left // value)
            left %= value
        return roman.upper() if form == "upperRoman" else roman
    return str(n)
