"""The text that a file's bytes hold; where none can be read, why, in which line, and what next."""

import codecs

from pacer.plan.problems import ToldError
from pacer.text import _

# Longest first: the mark of UTF-32 begins with that of UTF-16.
_MARKS = (
    (codecs.BOM_UTF32_LE, "UTF-32"),
    (codecs.BOM_UTF32_BE, "UTF-32"),
    (codecs.BOM_UTF16_LE, "UTF-16"),
    (codecs.BOM_UTF16_BE, "UTF-16"),
)
_LOOK_BYTES = 2000


class NoTextError(ToldError):
    """The bytes are no text that can be read."""


def text_of(data: bytes, kind: str) -> str:
    """The text of UTF-8 bytes, with or without a mark before it.

    ``kind`` says what the file should be, for one that is no text at all. Raises NoTextError.
    """
    encoding = _other_encoding(data)
    if encoding:
        what = _("The text is written as {encoding}.", encoding=encoding)
        raise NoTextError(what, _("Save it as UTF-8: in the editor, Save as, Encoding: UTF-8."), 1)
    if b"\0" in data:
        raise NoTextError(_("This is not a text file."), kind, data[: data.index(b"\0")].count(b"\n") + 1)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise NoTextError(_("The text is not UTF-8."), _("Save the file again as UTF-8."), line) from None


def _other_encoding(data: bytes) -> str:
    """``UTF-16`` or ``UTF-32`` where the bytes say so by a mark or by their zeros; else empty."""
    for mark, name in _MARKS:
        if data.startswith(mark):
            return name
    # Without a mark: of plain letters every second byte is zero, and no other.
    head = data[: min(len(data), _LOOK_BYTES) // 2 * 2]
    even, odd = head[::2], head[1::2]
    many = len(even) // 2
    if many and ((not any(even) and odd.count(0) == 0) or (odd.count(0) > many and even.count(0) == 0)):
        return "UTF-16"
    return ""
