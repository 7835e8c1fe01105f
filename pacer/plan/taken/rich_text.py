"""The text of RTF, as word processors write it into files and onto the clipboard.

Read here, a control word at a time: the small libraries for it leave out the numbers of lists and say nothing
of what is struck out, and end the cells of a table with a sign that lessons use themselves.
"""

import codecs
import re
from dataclasses import dataclass, replace

from pacer.plan.taken.lines import Lines, joined_struck, struck, tight
from pacer.plan.taken.taken import NotTakenError, Taken, broken, copy_one_lesson, taken, too_much_text
from pacer.text import _

KIND = "RTF text"
MOST_BYTES = 12_000_000
MOST_PIECES = 100_000
_MOST_DEEP = 400
_PIECE = re.compile(
    rb"\\([a-zA-Z]{1,32})(-?[0-9]{1,9})? ?|\\'([0-9a-fA-F]{2})|\\([^a-zA-Z'])|([{}])|([^\\{}\r\n]+)|[\r\n]+"
)
# Groups that say something about the text and are none of it.
_ASIDE = frozenset(
    b"fonttbl colortbl stylesheet info pict object header headerl headerr headerf footer footerl footerr"
    b" footerf footnote annotation atnid atnauthor fldinst listtable listoverridetable rsidtbl themedata"
    b" generator datastore latentstyles xmlnstbl pgptbl revtbl filetbl nonshppict shprslt".split()
)
_SIGNS = {b"tab": "\t", b"line": "\n", b"emdash": "—", b"endash": "–", b"bullet": "•", b"lquote": "‘",
          b"rquote": "’", b"ldblquote": "“", b"rdblquote": "”", b"emspace": " ", b"enspace": " "}  # fmt: skip
_ENDS = frozenset((b"par", b"sect", b"page"))


@dataclass(frozen=True)
class _Group:
    """What holds until the end of a group."""

    is_aside: bool = False
    is_struck: bool = False
    is_hidden: bool = False
    skip: int = 1  # signs behind a \\u that stand for it
    is_mark: bool = False


def text_of_rtf(data: bytes) -> Taken:
    """The text of RTF bytes. Raises NotTakenError. Pictures and other programs' parts are passed over."""
    if not data.lstrip().startswith(b"{\\rtf"):
        raise broken(KIND)
    if len(data) > MOST_BYTES:
        raise NotTakenError(_("There is too much in it, or its pictures are too large."), copy_one_lesson())
    reader = _RtfReader()
    reader.read(data)
    return taken([("", reader.lines.text)])


class _RtfReader:
    def __init__(self) -> None:
        self.lines = Lines()
        self._codec = "cp1252"
        self._group = _Group()
        self._stack: list[_Group] = []
        self._text: list[str] = []
        self._bytes = bytearray()  # of signs that may take two
        self._cells: list[list[str]] = []
        self._cell: list[str] = []
        self._rows: list[list[list[str]]] = []
        self._in_table = False
        self._level = 0
        self._left_to_skip = 0
        self._high = 0  # the first half of a sign that takes two

    def read(self, data: bytes) -> None:
        at = pieces = 0
        while match := _PIECE.match(data, at):
            at = match.end()
            pieces += 1
            if pieces > MOST_PIECES:
                raise too_much_text()
            word, number, byte, sign, brace, plain = match.groups()
            if brace:
                self._brace(brace)
            elif word == b"bin":
                at += max(0, int(number or 0))
            elif word:
                self._word(word.lower() if word.isupper() else word, None if number is None else int(number))
            elif byte:
                self._byte(int(byte, 16))
            elif sign:
                self._sign(sign)
            elif plain:
                self._plain(plain)
        self._end_paragraph()
        self._end_table()

    def _brace(self, brace: bytes) -> None:
        self._flush()
        self._left_to_skip = 0
        if brace == b"{":
            if len(self._stack) >= _MOST_DEEP:
                raise broken(KIND)
            self._stack.append(self._group)
        elif self._stack:
            was_mark, self._group = self._group.is_mark, self._stack.pop()
            if was_mark and not self._group.is_mark:
                # What stands before an item of a list ends with a tab, which is none of a table.
                mark = "".join(self._text)
                self._text = [f"{mark.strip().replace(chr(0xB7), '•')} "] if mark.strip() else []

    def _word(self, word: bytes, number: int | None) -> None:
        is_on = number != 0
        if word in _ASIDE:
            self._flush()
            self._group = replace(self._group, is_aside=True)
        elif word in (b"listtext", b"pntext"):
            self._flush()
            self._group = replace(self._group, is_mark=True, is_aside=False)
        elif word in (b"strike", b"striked"):
            self._flush()
            self._group = replace(self._group, is_struck=is_on)
        elif word in (b"v", b"deleted"):
            self._flush()
            self._group = replace(self._group, is_hidden=is_on)
        elif word == b"plain":
            self._flush()
            self._group = replace(self._group, is_struck=False, is_hidden=False)
        elif word == b"ansicpg" and number is not None:
            self._codec = _codec(number)
        elif word == b"uc" and number is not None:
            self._group = replace(self._group, skip=min(max(number, 0), 9))
        elif word == b"u" and number is not None:
            self._unit(number % 65536)
            self._left_to_skip = self._group.skip
        elif not self._group.is_aside:
            self._layout(word, number)

    def _unit(self, code: int) -> None:
        """A UTF-16 unit: a sign, or a half of one; half of a sign alone can't be read."""
        if 0xDC00 <= code < 0xE000 and self._high:
            code, self._high = 0x10000 + (self._high - 0xD800 << 10) + (code - 0xDC00), 0
        if 0xD800 <= code < 0xDC00:
            self._flush()
            self._high = 0 if self._group.is_aside or self._group.is_hidden else code
        else:
            self._add("\ufffd" if 0xD800 <= code < 0xE000 else chr(code))

    def _layout(self, word: bytes, number: int | None) -> None:
        if word in _SIGNS:
            self._add(_SIGNS[word])
        elif word in _ENDS:
            self._end_paragraph()
        elif word == b"pard":
            self._in_table, self._level = False, 0
        elif word == b"intbl":
            self._in_table = True
        elif word in (b"cell", b"nestcell"):
            self._in_table = True
            self._end_paragraph()
            self._cells.append(self._cell)
            self._cell = []
        elif word in (b"row", b"nestrow"):
            self._rows.append(self._cells)
            self._cells = []
        elif word == b"ilvl" and number is not None:
            self._level = min(8, max(0, number))

    def _sign(self, sign: bytes) -> None:
        if sign == b"*":
            self._flush()
            self._group = replace(self._group, is_aside=True)
        elif sign in b"\r\n":
            self._end_paragraph()
        elif sign in b"~_{}\\":
            self._add({b"~": " ", b"_": "-"}.get(sign, sign.decode("ascii")))

    def _byte(self, byte: int) -> None:
        if self._left_to_skip:
            self._left_to_skip -= 1
        elif not self._group.is_aside and not self._group.is_hidden:
            self._end_half()
            self._bytes.append(byte)

    def _plain(self, plain: bytes) -> None:
        if self._left_to_skip:
            left, self._left_to_skip = self._left_to_skip, max(0, self._left_to_skip - len(plain))
            plain = plain[left:]
        if plain and not self._group.is_aside and not self._group.is_hidden:
            self._end_half()
            self._bytes += plain

    def _end_half(self) -> None:
        if self._high:
            self._flush()

    def _add(self, text: str) -> None:
        self._flush()
        if not self._group.is_aside and not self._group.is_hidden:
            self._text.append(struck(text) if self._group.is_struck else text)

    def _flush(self) -> None:
        if self._high:
            self._high = 0
            self._text.append("\ufffd")
        if self._bytes:
            text = self._bytes.decode(self._codec, "replace")
            self._bytes.clear()
            self._text.append(struck(text) if self._group.is_struck else text)

    def _end_paragraph(self) -> None:
        self._flush()
        text = joined_struck("".join(self._text))
        self._text.clear()
        if self._in_table:
            if text.strip():
                self._cell.append(tight(text))
            return
        self._end_table()
        self.lines.add(text.strip(" "), self._level)

    def _end_table(self) -> None:
        if self._cells or self._cell:  # cut off within a row
            self._rows.append([*self._cells, self._cell] if self._cell else self._cells)
            self._cells, self._cell = [], []
        if self._rows:
            self.lines.add_rows(self._rows)
            self._rows = []


def _codec(page: int) -> str:
    """The codec of a code page; Windows' western one where there is none such."""
    name = {65001: "utf-8", 10000: "mac_roman"}.get(page, f"cp{page}")
    try:
        return codecs.lookup(name).name
    except LookupError:
        return "cp1252"
