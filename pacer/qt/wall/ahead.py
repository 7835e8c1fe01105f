"""Large words drawn before they are wanted: to fill the outlines of their letters takes most of a press."""

import zlib
from collections.abc import Callable
from typing import NamedTuple

from PySide6.QtCore import QPoint, QPointF, QRect, QSize
from PySide6.QtGui import QImage, QPainter

from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import Setting
from pacer.qt.wall.marks import Words

LARGE_PX = 64  # of the screen: Qt keeps pictures of letters up to that size itself
MOST = 96  # texts, of some ten kilobytes each: a lesson of thirty phases

TextKey = tuple[Setting, bool, str, int, int, float]


class _Packed(NamedTuple):
    """A picture of the ink as one byte a pixel, packed, and the colours that the bytes stand for.

    ``at`` is where the ink begins in the words' box, in pixels of the screen.
    """

    at: QPoint
    bits: bytes
    size: QSize
    line_bytes: int
    colours: list[int]


class DrawnAhead:
    """Pictures of large words on paper, pixel for pixel as they would be drawn, packed to a fiftieth.

    Words that lie down a strip, that reach out of their box, that another font must write, or that are wanted
    at a broken scale are left to be drawn when wanted.
    """

    def __init__(self) -> None:
        self._kept: dict[TextKey, _Packed | None] = {}

    def draw(self, words: Words, ratio: float, paint: Callable[[QPainter, Words], None]) -> bool:
        """Draw words by ``paint`` and keep that, for a screen of a ratio. True where that was to do."""
        key = _key(words, ratio)
        if words.turned or words.setting.px * ratio <= LARGE_PX or ratio % 1 or key in self._kept:
            return False
        # Letters of other fonts are not the same at every place.
        if not all(theme.in_lexend(line) for line in words.setting.lines):
            return False
        self._kept[key] = _packed(words, round(ratio), paint)
        if len(self._kept) > MOST:
            del self._kept[next(iter(self._kept))]
        return True

    def paint(self, painter: QPainter, words: Words, ratio: float) -> bool:
        """Paint words from their picture; False where there is none."""
        found = None if words.turned else self._kept.get(_key(words, ratio))
        if found is None:
            return False
        bits, size = zlib.decompress(found.bits), found.size
        image = QImage(bits, size.width(), size.height(), found.line_bytes, QImage.Format.Format_Indexed8)
        image.setColorTable(found.colours)
        # Qt takes four times as long to paint bytes with a table of colours itself.
        image = image.convertToFormat(QImage.Format.Format_RGB32)
        image.setDevicePixelRatio(ratio)
        painter.drawImage(words.box.rect_f().topLeft() + QPointF(found.at) / ratio, image)
        return True


def _key(words: Words, ratio: float) -> TextKey:
    return words.setting, words.quiet, words.align, words.box.width, words.box.height, ratio


def _packed(words: Words, ratio: int, paint: Callable[[QPainter, Words], None]) -> _Packed | None:
    """The packed picture; None where ink lies beside the box, or a shade would be lost."""
    inner = _drawn_in_box(words, ratio, paint)
    if inner is None:
        return None
    indexed = inner.convertToFormat(QImage.Format.Format_Indexed8)
    if indexed.convertToFormat(QImage.Format.Format_RGB32) != inner:
        return None
    place = _inked(indexed)
    indexed = indexed.copy(place)  # a line's box is as wide as the Wall: most of it is paper
    bits = zlib.compress(indexed.constBits(), 1)
    return _Packed(place.topLeft(), bits, indexed.size(), indexed.bytesPerLine(), indexed.colorTable())


def _inked(indexed: QImage) -> QRect:
    """The part of a picture that is not paper, or all of it where that is not its first pixel."""
    bits, wide, high = bytes(indexed.constBits()), indexed.width(), indexed.height()
    paper = bits[:1]
    if indexed.pixelColor(0, 0) != theme.PAPER:
        return indexed.rect()
    starts = range(0, high * indexed.bytesPerLine(), indexed.bytesPerLine())
    rows = [bits[start : start + wide] for start in starts]
    inked = [number for number, row in enumerate(rows) if row.strip(paper)]
    if not inked:
        return QRect(0, 0, 1, 1)
    left = min(wide - len(rows[number].lstrip(paper)) for number in inked)
    right = max(len(rows[number].rstrip(paper)) for number in inked)
    return QRect(left, inked[0], right - left, inked[-1] + 1 - inked[0])


def _drawn_in_box(words: Words, ratio: int, paint: Callable[[QPainter, Words], None]) -> QImage | None:
    """The words on paper. As few large pictures at a time as may be: memory once taken is not given back."""
    for place in _beside(words):
        indexed = _drawn(words, place, ratio, paint).convertToFormat(QImage.Format.Format_Indexed8)
        if indexed.colorCount() != 1:
            return None
    return _drawn(words, words.box.rect(), ratio, paint)


def _beside(words: Words) -> tuple[QRect, ...]:
    """All around the box, as far as its letters may reach."""
    x, y, wide, high = words.box
    spill = words.spill
    above, below = QRect(x, y - spill, wide, spill), QRect(x, y + high, wide, spill)
    return above, below, QRect(x - spill, y, spill, high), QRect(x + wide, y, spill, high)


def _drawn(words: Words, place: QRect, ratio: int, paint: Callable[[QPainter, Words], None]) -> QImage:
    image = QImage(place.size() * ratio, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(ratio)
    image.fill(theme.PAPER)
    with QPainter(image) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(-place.topLeft())
        paint(painter, words)
    return image
