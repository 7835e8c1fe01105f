"""Setting text in a box: shrink, then wrap, then elide; plain text only and right-to-left aware."""

import re
import unicodedata
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPixmap, QTextLayout, QTextOption

from pacer.qt.kit.theme import CAP_SHARE, font

ELLIPSIS = "…"
_HELD_TOGETHER = re.compile(r" (?=[.,;:?!]+(?: |$))|(?<=\bPage) (?=(?:Up|Down)\b)")
LINE_EARNS = 1.3  # one line is preferred to a size that is only a little larger on two
WHOLE_EARNS = 1.1  # a tenth is not seen, and a row more is
MOST_LINES = 4  # of a text that may not be cut, at a size that can be read
ENDLESS = 40
TRIMMED = " ,;:–-("  # what ends no line from which words were left out
LEAST_KEPT = 0.45  # of what fits, for a cut between words; a long word is rather cut itself
LINE_SHARE = 1.16  # line height over pixel size
MEASURED_PX = 1000  # digits are measured at this size, once for all sizes
DIGIT_GAP = 0.07  # between the inks of the two widest digits, over the pixel size
MOST_BREADTH = 0.1
Align = Literal["start", "centre", "end"]


@dataclass(frozen=True)
class Setting:
    """Text that was fitted: its lines and their size in pixels. ``elided``: some of it had to go."""

    lines: tuple[str, ...]
    px: int
    weight: int
    width: float
    line_height: float
    ascent: float
    rtl: bool
    elided: bool

    @property
    def height(self) -> float:
        """Pixels from the top of the first line to the bottom of the last."""
        return self.line_height * len(self.lines)

    @property
    def cap_height(self) -> float:
        """Pixels of a capital letter."""
        return self.px * CAP_SHARE

    def first(self, count: int) -> "Setting":
        """The same with no more than its first lines."""
        return self if len(self.lines) <= count else replace(self, lines=self.lines[:count])


def clean(text: str) -> str:
    """One paragraph of printable text: line ends and control characters become spaces."""
    return " ".join("".join(" " if unicodedata.category(c) == "Cc" else c for c in text).split())


def is_right_to_left(text: str) -> bool:
    """Whether the first letter with a direction runs from right to left."""
    for char in text:
        direction = unicodedata.bidirectional(char)
        if direction in ("R", "AL", "L"):
            return direction != "L"
    return False


@lru_cache(maxsize=1024)
def fit(
    text: str,
    width: float,
    height: float,
    largest: int,
    least: int,
    weight: int,
    lines: int = 1,
    earns: float = LINE_EARNS,
) -> Setting:
    """The largest setting of a text within a box, in pixels, on at most so many lines.

    A further line must make the letters ``earns`` times as large. When even the least size does not fit,
    words are broken, and at last the end is elided.
    """
    text = clean(text)
    largest, least = max(1, largest), max(1, min(least, largest))
    best = _on_few_lines(text, width, height, largest, least, weight, lines, earns)
    return best or _elided(text, width, height, least, weight, lines)


@lru_cache(maxsize=256)
def fit_whole(
    text: str, width: float, height: float, largest: int, least: int, weight: int, lines: int = 2
) -> Setting:
    """A text of which no word may go: so many lines before it shrinks, then more, then under the least size.

    Nothing is elided, however long it is; how large it came out says whether it can still be read.
    """
    text = clean(text)
    largest, least = max(1, largest), max(1, min(least, largest))
    best = _on_few_lines(text, width, height, largest, least, weight, lines, WHOLE_EARNS)
    best = best or _largest(text, width, height, largest, least, weight, MOST_LINES)
    best = best or _largest(text, width, height, least, 1, weight, ENDLESS)
    # What is left is a word wider than the box at every size.
    best = best or _largest(text, width, height, least, 1, weight, ENDLESS, anywhere=True)
    return best or _elided(text, width, height, 1, weight, ENDLESS)


def is_whole(setting: Setting, text: str) -> bool:
    """Whether nothing of a text went; a word may have been parted at its hyphen."""
    return not setting.elided and "".join(setting.lines).replace(" ", "") == clean(text).replace(" ", "")


def _on_few_lines(
    text: str, width: float, height: float, largest: int, least: int, weight: int, lines: int, earns: float
) -> Setting | None:
    """On at most so many lines; a further one must earn its place, unless the text fits nowhere else."""
    best: Setting | None = None
    for count in range(1, lines + 1):
        setting = _largest(text, width, height, largest, least, weight, count)
        if setting is not None and (best is None or setting.px > best.px * earns):
            best = setting
    return best


def _largest(
    text: str,
    width: float,
    height: float,
    largest: int,
    least: int,
    weight: int,
    lines: int,
    anywhere: bool = False,
) -> Setting | None:
    low, high, best = least, largest, None
    while low <= high:
        px = high if best is None and high == largest else (low + high) // 2
        setting = _broken(text, width, px, weight, lines, anywhere)
        if setting is not None and setting.height <= height + 0.01:
            best, low = setting, px + 1
        else:
            high = px - 1
    return best


def _broken(
    text: str, width: float, px: int, weight: int, lines: int, anywhere: bool = False
) -> Setting | None:
    """The text at one size on at most so many lines, the lines about equally long; None: it needs more."""
    cut = _cut(text, width, px, weight, anywhere)
    if cut is None or len(cut.lines) > lines:
        return None
    if len(cut.lines) > 1:
        narrow, wide = width / 2, width
        while wide - narrow > px / 4:
            middle = (narrow + wide) / 2
            narrower = _cut(text, middle, px, weight, anywhere)
            if narrower is not None and len(narrower.lines) <= len(cut.lines):
                wide, cut = middle, narrower
            else:
                narrow = middle
    return cut


def _cut(text: str, width: float, px: int, weight: int, anywhere: bool, most: int = 40) -> Setting | None:
    """The text at one size, its lines filled one after the other; None when a word is wider than the box."""
    # A full stop or a question mark behind a blank to fill in may not begin a line, nor a key's second word.
    layout = QTextLayout(_HELD_TOGETHER.sub("\u00a0", text), font(px, weight))
    wrap = QTextOption.WrapMode.WrapAtWordBoundaryOrAnywhere if anywhere else QTextOption.WrapMode.WordWrap
    option = QTextOption()
    option.setWrapMode(wrap)
    rtl = is_right_to_left(text)
    if rtl:
        option.setTextDirection(Qt.LayoutDirection.RightToLeft)
    layout.setTextOption(option)
    lines: list[str] = []
    widest = ascent = descent = 0.0
    # Text positions of Qt count UTF-16 units.
    units = text.encode("utf-16-le", "surrogatepass")
    layout.beginLayout()
    while (line := layout.createLine()).isValid():
        line.setLineWidth(width)
        begin, length = line.textStart(), line.textLength()
        lines.append(units[2 * begin : 2 * (begin + length)].decode("utf-16-le", "surrogatepass").strip())
        lines[-1] = lines[-1].replace("\u00a0", " ")
        widest = max(widest, line.naturalTextWidth())
        # Lexend's own box is generous (1.25); only a fallback script that needs more gets more.
        ascent = max(ascent, line.ascent())
        descent = max(descent, line.descent())
        if len(lines) > most:
            break
    layout.endLayout()
    if widest > width + 0.01:
        return None
    own_ascent, own_descent = px * 1.0, px * 0.25
    extra_up, extra_down = max(0.0, ascent - own_ascent), max(0.0, descent - own_descent)
    line_height = px * LINE_SHARE + extra_up + extra_down
    return Setting(tuple(lines or [""]), px, weight, widest, line_height, px * 0.93 + extra_up, rtl, False)


def _too_wide(text: str, width: float, px: int, weight: int) -> Setting:
    """One line, though not even a letter of it fits the width."""
    rtl = is_right_to_left(text)
    return Setting((text,), px, weight, width, px * LINE_SHARE, px * 0.93, rtl, False)


def _elided(text: str, width: float, height: float, px: int, weight: int, lines: int) -> Setting:
    """The least size: as many lines as the box holds, the last one elided."""
    whole = _broken(text, width, px, weight, lines, anywhere=True)
    if whole is not None and whole.height <= height + 0.01:
        return whole
    cut = _cut(text, width, px, weight, anywhere=True) or _too_wide(text, width, px, weight)
    held = max(1, min(lines, int((height + 0.01) // max(1.0, cut.line_height))))
    kept = cut.lines[: held - 1]
    rest = text
    for line in kept:
        rest = rest.removeprefix(line).lstrip()
    metrics = QFontMetricsF(font(px, weight))
    last = between_words(metrics.elidedText(rest, Qt.TextElideMode.ElideRight, width), rest)
    widest = max(metrics.horizontalAdvance(line) for line in (*kept, last))
    return replace(cut, lines=(*kept, last), width=min(widest, width), elided=True)


@lru_cache(maxsize=256)
def flow(text: str, width: float, px: int, weight: int, most: int = 400) -> Setting:
    """A paragraph at one size, its lines filled one after the other, at most about so many of them."""
    text = clean(text)
    return _cut(text, width, px, weight, True, most) or _too_wide(text, width, px, weight)


@lru_cache(maxsize=512)
def whole_words(
    text: str, width: float, px: int, weight: int, least: int = 1, trimmed: str = TRIMMED
) -> Setting | None:
    """As many of the first words as a line of one size holds; None where not even so many do.

    Nothing shows that there were more, so it is for what is read in passing and stands whole elsewhere.
    ``trimmed`` are the signs that go with the words left out.
    """
    words = clean(text).split()
    for count in range(len(words), min(least, len(words)) - 1, -1):
        shown = " ".join(words[:count])
        cut = _cut(shown if count == len(words) else shown.rstrip(trimmed), width, px, weight, False)
        if cut is not None and len(cut.lines) == 1:
            return replace(cut, rtl=is_right_to_left(text))
    return None


def between_words(shortened: str, text: str) -> str:
    """A text that was cut short, cut between two words where that leaves most of it."""
    kept = shortened.removesuffix(ELLIPSIS)
    if kept == shortened or not text.startswith(kept) or text[len(kept) : len(kept) + 1].isspace():
        return shortened
    at = kept.rfind(" ")
    return f"{kept[:at].rstrip(' ,;:–-')} {ELLIPSIS}" if at >= len(kept) * LEAST_KEPT else shortened


def draw_setting(
    painter: QPainter, box: QRectF, setting: Setting, colour: QColor, align: Align = "start"
) -> None:
    """Draw fitted text from the top of a box. Start is the right edge for right-to-left text."""
    lexend = font(setting.px, setting.weight)
    metrics = QFontMetricsF(lexend)
    painter.setFont(lexend)
    painter.setPen(colour)
    direction = Qt.LayoutDirection.RightToLeft if setting.rtl else Qt.LayoutDirection.LeftToRight
    painter.setLayoutDirection(direction)
    baseline = box.top() + setting.ascent
    for line in setting.lines:
        advance = metrics.horizontalAdvance(line)
        x = box.left() + (box.width() - advance) / 2
        if align != "centre":
            x = box.right() - advance if (align == "end") != setting.rtl else box.left()
        painter.drawText(QPointF(x, baseline), line)
        baseline += setting.line_height
    painter.setLayoutDirection(Qt.LayoutDirection.LeftToRight)


@dataclass(frozen=True)
class Cells:
    """Equal cells for the digits of a time at a size in pixels; signs take their own width."""

    px: int
    weight: int
    digit: float
    widths: tuple[float, ...]

    @property
    def width(self) -> float:
        """Pixels of all cells together."""
        return sum(self.widths)

    @property
    def cap_height(self) -> float:
        """Pixels of a digit's height."""
        return self.px * CAP_SHARE


@lru_cache(maxsize=256)
def cells(shape: str, px: int, weight: int) -> Cells:
    """Cells for a text such as ``12:34``: every digit's is as wide as the widest digit with a narrow gap."""
    metrics = QFontMetricsF(font(px, weight))
    digit = max(digit_ink(number, px, weight) for number in "0123456789") + DIGIT_GAP * px
    widths = tuple(digit if char.isdigit() else metrics.horizontalAdvance(char) * 1.1 for char in shape)
    return Cells(px, weight, digit, widths)


def digit_shape(text: str) -> str:
    """The text with every digit alike: two times of the same shape have the same cells."""
    return "".join("0" if char.isdigit() else char for char in text)


def fit_cells(shape: str, width: float, cap_height: float, weight: int) -> Cells:
    """The largest cells within a width and a digit height in pixels."""
    px = max(1, int(cap_height / CAP_SHARE))
    fitting = cells(shape, px, weight)
    while fitting.width > width and px > 1:
        px = max(1, min(px - 1, int(px * width / fitting.width)))
        fitting = cells(shape, px, weight)
    return fitting


@lru_cache(maxsize=64)
def _digit_inks(weight: int) -> dict[str, tuple[float, float]]:
    """Where a digit's ink begins and how wide it is, over the pixel size."""
    metrics = QFontMetricsF(font(MEASURED_PX, weight))
    boxes = {number: metrics.tightBoundingRect(number) for number in "0123456789"}
    return {number: (box.left() / MEASURED_PX, box.width() / MEASURED_PX) for number, box in boxes.items()}


def _breadth(char: str, weight: int) -> float:
    """How much wider or narrower than drawn a digit is set: towards the width that is usual among them.

    Cells as wide as the widest digit leave holes beside a 1 and a 7 ("2:5 7"). So the few that are wide
    are set a little narrower and the few that are narrow a little wider, as digits for tables are.
    """
    inks = _digit_inks(weight)
    usual = sorted(width for _left, width in inks.values())[len(inks) // 2]
    return min(1 + MOST_BREADTH, max(1 - MOST_BREADTH, usual / inks[char][1]))


def digit_ink(char: str, px: int, weight: int) -> float:
    """Pixels from the left to the right end of a digit's ink as it is set in its cell."""
    return _digit_inks(weight)[char][1] * _breadth(char, weight) * px


def draw_cell(painter: QPainter, cell: QRectF, char: str, px: int, weight: int, colour: QColor) -> None:
    """One character centred in its cell; the cell's bottom is a little below the baseline."""
    device = painter.device()
    ratio = device.devicePixelRatioF() if device is not None else 1.0
    glyph, wide = _glyph(char, px, weight, colour.rgb(), ratio)
    painter.drawPixmap(round(cell.left() + (cell.width() - wide) / 2), round(cell.top()), glyph)


@lru_cache(maxsize=24)  # the digits of two sizes: what the Wall and the Desk count in
def _glyph(char: str, px: int, weight: int, colour: int, ratio: float) -> tuple[QPixmap, float]:
    """A character as a picture, and how wide that is in logical pixels.

    A large one is costly to draw, and a digit comes back every ten seconds.

    ``ratio`` is that of the screen, so that the picture is as sharp there as drawn text.
    """
    lexend = font(px, weight)
    left, wide, breadth = 0.0, QFontMetricsF(lexend).horizontalAdvance(char), 1.0
    if char in _digit_inks(weight):  # a digit's picture is its ink and a pixel on each side
        breadth = _breadth(char, weight)
        left = _digit_inks(weight)[char][0] * px * breadth - 1
        wide = digit_ink(char, px, weight) + 2
    size = QSizeF(wide, px * (CAP_SHARE + 2 * CELL_PAD) + 2)
    glyph = QPixmap((size * ratio).toSize().expandedTo(QSize(1, 1)))
    glyph.setDevicePixelRatio(ratio)
    glyph.fill(Qt.GlobalColor.transparent)
    with QPainter(glyph) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(lexend)
        painter.setPen(QColor(colour))
        painter.translate(-left, px * (CAP_SHARE + CELL_PAD))
        painter.scale(breadth, 1)
        painter.drawText(QPointF(0, 0), char)
    return glyph, glyph.deviceIndependentSize().width()


CELL_PAD = 0.05  # above the capitals and below the baseline, over the pixel size: room for round digits
ROUND_OUT = 0.025  # round digits reach less beyond capitals and baseline, over the pixel size
CELL_SPILL = 3.0  # pixels: no digit is so much wider than its cell


def cell_ink(cell: QRectF, px: int) -> QRect:
    """The pixels of a cell that a digit may touch: its padding may lie on the letters of another row."""
    bare = max(0.0, (CELL_PAD - ROUND_OUT) * px - 1)
    return cell.adjusted(-CELL_SPILL, bare, CELL_SPILL, -bare).toAlignedRect()
