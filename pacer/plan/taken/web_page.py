"""The text of a web page, or of what is copied as one: lists, tables, lines."""

import codecs
import re
from collections.abc import Iterator
from typing import Any

from pacer.plan.taken.archive import count_in
from pacer.plan.taken.lines import MOST_SPAN, Lines, joined_struck, struck, tight
from pacer.plan.taken.taken import (
    MOST_CELLS,
    NotTakenError,
    Taken,
    broken,
    copy_one_lesson,
    taken,
    too_many_cells,
)
from pacer.text import _

KIND = "web page"
BULLET = "•"
MOST_HTML_BYTES = 6_000_000
_MOST_TAGS = 80_000
_MOST_MADE = 4 * MOST_CELLS  # with those that only claim a place
_ASIDE = frozenset(
    ("script", "style", "head", "title", "template", "noscript", "object", "embed", "iframe", "svg", "canvas",
     "select", "button", "input", "textarea")
)  # fmt: skip
_BLOCKS = frozenset(
    ("p", "div", "h1", "h2", "h3", "h4", "h5", "h6", "section", "article", "header", "footer", "main",
     "aside", "nav", "blockquote", "pre", "address", "figure", "figcaption", "dl", "dt", "dd", "hr", "form",
     "fieldset", "center", "body", "html", "tbody")
)  # fmt: skip
_STRUCK = frozenset(("s", "strike", "del"))
_NAMED = re.compile(rb"""charset\s*=\s*["']?\s*([A-Za-z0-9_-]{2,30})""", re.IGNORECASE)
_KNOWN = ("utf-8", "utf-16", "cp1250", "cp1251", "cp1252", "cp1253", "cp1254", "iso8859-1", "iso8859-2",
          "iso8859-15", "koi8-r", "shift_jis", "gb18030", "gbk", "big5", "euc_jp", "euc_kr")  # fmt: skip
_LEVEL = re.compile(r"mso-list:[^;]{0,60}?level(\d)")
_LINE_THROUGH = re.compile(r"text-decoration[a-z-]*:[^;]*line-through")
_HIDDEN = re.compile(r"display:\s*none|mso-hide:\s*all")
# Two kinds of quotes, none of them open at the end: what is no tag is text.
_TAG = re.compile(r"""<(?:([A-Za-z][A-Za-z0-9:]{0,20})((?:[^"'<>]|"[^"]*"|'[^']*')*+)>|(?=[A-Za-z]))""")
_WANTED = re.compile(
    r"""\b(style|start|colspan|rowspan)\s{0,9}=\s{0,9}("[^"<>]{0,2000}"|'[^'<>]{0,2000}'|[\w-]{1,20})""",
    re.IGNORECASE,
)
_MOST_ATTRIBUTES = 4_000  # signs of a tag's attributes that are looked at
_SPACE = re.compile(r"[ \t\r\n\f]+")


def text_of_page(data: bytes) -> Taken:
    """The text of a page's bytes. Raises NotTakenError. Nothing is fetched, no script is run."""
    return taken([("", lines_of_html(_decoded(data)))])


def lines_of_html(html: str) -> str:
    """The lines of HTML text. Raises NotTakenError."""
    from lxml import etree

    if len(html) > MOST_HTML_BYTES or html.count("<") > _MOST_TAGS:
        raise NotTakenError(_("There is far more in it than a lesson."), copy_one_lesson())
    parser = etree.HTMLParser(
        encoding="utf-8", no_network=True, remove_comments=True, remove_pis=True, huge_tree=False
    )
    try:
        root = etree.fromstring(_plain_tags(html).encode("utf-8", "replace"), parser)
    except (etree.XMLSyntaxError, etree.ParserError, ValueError):
        raise broken(KIND) from None
    if root is None:
        return ""
    page = _Page()
    page.add(root)
    page.end_line()
    return page.lines.text


def _plain_tags(html: str) -> str:
    """The same with no attributes but those that are asked for: very many take the parser hours."""

    def plain(tag: re.Match[str]) -> str:
        if tag[1] is None:
            return "&lt;"
        attributes = tag[2][:_MOST_ATTRIBUTES]
        kept = "".join(f" {name.lower()}={value}" for name, value in _WANTED.findall(attributes)[:8])
        return f"<{tag[1]}{kept}>"

    return _TAG.sub(plain, html)


def _decoded(data: bytes) -> str:
    """The text of a page: by its mark, as UTF-8, or as it says itself."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", "replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        named = _NAMED.search(data[:4000])
        name = "cp1252" if named is None else named[1].decode("ascii")
        try:
            known = codecs.lookup(name).name
        except LookupError:
            known = "cp1252"
        return data.decode(known if known in _KNOWN else "cp1252", "replace")


class _Page:
    """Walks through a page and puts its lines together."""

    def __init__(self) -> None:
        self.lines = Lines()
        self._text: list[str] = []
        self._level, self._mark = 0, ""

    def add(
        self, element: Any, *, is_struck: bool = False, list_level: int = 0, in_pre: bool = False
    ) -> None:
        """Add what is in an element. libxml2 nests no deeper than 255."""
        tag = element.tag if isinstance(element.tag, str) else ""
        style = (element.get("style") or "").lower() if tag else ""
        if not tag or tag in _ASIDE or (style and _HIDDEN.search(style)):
            return
        is_struck = is_struck or tag in _STRUCK or bool(style and _LINE_THROUGH.search(style))
        if tag == "table":
            self.end_line()
            self.lines.add_rows(list(_rows(element)))
            return
        if tag == "br":
            self._text.append("\n")
            return
        if tag in ("ul", "ol"):
            self._add_list(element, list_level, is_struck=is_struck)
            return
        is_block = tag in _BLOCKS or tag in ("li", "tr")
        if is_block:
            self.end_line()
            if found := _LEVEL.search(style):
                self._level = max(0, int(found[1]) - 1)
        self._say(element.text, is_struck, in_pre)
        for child in element:
            self.add(child, is_struck=is_struck, list_level=list_level, in_pre=in_pre or tag == "pre")
            self._say(child.tail, is_struck, in_pre or tag == "pre")
        if tag in ("td", "th"):
            self._text.append(" ")
        if is_block:
            self.end_line()

    def _say(self, text: str | None, is_struck: bool, in_pre: bool) -> None:
        if text:
            plain = text if in_pre else _SPACE.sub(" ", text)
            self._text.append(struck(plain) if is_struck else plain)

    def _add_list(self, element: Any, level: int, *, is_struck: bool) -> None:
        self.end_line()
        count = count_in(element.get("start") or "", 4, 1) - 1
        for item in element:
            if item.tag in ("ul", "ol"):  # as some programs nest them
                self._add_list(item, level + 1, is_struck=is_struck)
                continue
            if item.tag != "li":
                self.add(item, is_struck=is_struck, list_level=level)
                continue
            count += 1
            self._level, self._mark = level, f"{count}." if element.tag == "ol" else BULLET
            style = (item.get("style") or "").lower()
            struck_item = is_struck or bool(_LINE_THROUGH.search(style))
            self._say(item.text, struck_item, False)
            for child in item:
                is_first = (
                    isinstance(child.tag, str) and child.tag in _BLOCKS and not "".join(self._text).strip()
                )
                if is_first:  # a paragraph that is the item: its line is the item's
                    self._text.clear()
                    self._inner(child, is_struck=struck_item, level=level + 1)
                else:
                    self.add(child, is_struck=struck_item, list_level=level + 1)
                self._say(child.tail, struck_item, False)
            self.end_line()
            self._level, self._mark = 0, ""

    def _inner(self, element: Any, *, is_struck: bool, level: int) -> None:
        self._say(element.text, is_struck, False)
        for child in element:
            self.add(child, is_struck=is_struck, list_level=level)
            self._say(child.tail, is_struck, False)

    def end_line(self) -> None:
        """What was said since the last line is a line, if it is anything."""
        text = joined_struck("".join(self._text).replace("\u00a0", " "))
        self._text.clear()
        lines = [line.strip(" ") if "\t" in line else tight(line) for line in text.split("\n")]
        whole = "\n".join(lines).strip("\n")
        if whole:
            self.lines.add(whole, self._level, self._mark)
            self._mark = " " if self._mark else ""
            if not self._mark:
                self._level = 0


def _rows(table: Any) -> Iterator[list[list[str]]]:
    """Rows of cells; below a cell that is several rows high stand empty ones, so that columns stay."""
    below: dict[int, int] = {}
    made = 0
    for row in _of(table, "tr"):
        cells: list[list[str]] = []
        for cell in _of(row, "td", "th"):
            _pass_below(cells, below)
            page = _Page()
            page.add(cell)
            page.end_line()
            wide, high = _span(cell, "colspan"), _span(cell, "rowspan")
            for at in range(len(cells), len(cells) + wide):
                if high > 1:
                    below[at] = high - 1
            cells.append([line for line in page.lines.lines if line.strip()])
            cells += [[] for _more in range(wide - 1)]
            if made + len(cells) > _MOST_MADE:
                raise too_many_cells()
        _pass_below(cells, below)
        made += len(cells)
        if made > _MOST_MADE:
            raise too_many_cells()
        if any(cells):
            yield cells


def _pass_below(cells: list[list[str]], below: dict[int, int]) -> None:
    while below.get(len(cells), 0):
        below[len(cells)] -= 1
        cells.append([])


def _of(element: Any, *tags: str) -> Iterator[Any]:
    for child in element:
        if child.tag in tags:
            yield child
        elif child.tag in ("tbody", "thead", "tfoot"):
            yield from _of(child, *tags)


def _span(cell: Any, name: str) -> int:
    return min(MOST_SPAN, max(1, count_in(cell.get(name) or "", 5)))
