"""Colours and type of every window, named once: paper and ink, and Lexend through its weight axis."""

from functools import cache, lru_cache

import fontpkg_lexend
from PySide6.QtCore import QPointF
from PySide6.QtGui import QBrush, QColor, QFont, QFontDatabase, QLinearGradient, QRawFont

# Dark on light for a lit room. Not stop-light colours: nothing here means good or bad.
PAPER = QColor("#FBF8F1")
INK = QColor("#17202B")

# The same paper and ink for whatever is private, one unit apart: nobody sees a difference, and a single
# private pixel can be found on a picture of the projector. This paper is bluer and this ink less blue than
# any blend of the Wall's own colours.
DESK_PAPER = QColor("#FBF8F2")
DESK_INK = QColor("#17202A")
SECONDARY = QColor("#434C59")
OUTLINE = QColor("#69737F")
RULE = QColor("#DDD8CB")
SQUARE = QColor("#1D3F72")

# The two stripes of a waiting square: their mean luminance is that of SQUARE, so that a pause
# changes the pattern and not the lightness of the picture.
WAIT_DARK = QColor("#061633")
WAIT_LIGHT = QColor("#2F5590")

# The Desk's state areas, from the bottom up: quiet and plain, hatched, solid.
CLOSING = QColor("#D5DEEA")
SAND = QColor("#EFE3C2")
SAND_LINE = QColor("#DFCD9B")
PAUSE_LINE = QColor("#E7E3D8")
PLUM = QColor("#3A1130")
ON_PLUM = QColor("#FDF5EC")
OVERRUN = QColor("#8A7433")

REGULAR, MEDIUM, SEMIBOLD, BOLD = 400, 500, 600, 700

# Lexend's capitals are 0.7 of its pixel size, for every weight.
CAP_SHARE = 0.7


@cache
def load_type() -> str:
    """Add Lexend from its package to Qt's fonts, once; returns its family name.

    Needs a running QGuiApplication. Raises RuntimeError when the font file cannot be read.
    """
    path = fontpkg_lexend.ROOT / "files" / "Lexend[wght].ttf"
    number = QFontDatabase.addApplicationFont(str(path))
    families = QFontDatabase.applicationFontFamilies(number) if number >= 0 else []
    if not families:
        raise RuntimeError(f"the font {path.name} could not be loaded; install the program again")
    return families[0]


@lru_cache(maxsize=512)
def font(px: float, weight: int = REGULAR) -> QFont:
    """Lexend at a size in pixels. Only the variable axis moves its weight: setWeight leaves it as it is."""
    lexend = QFont(load_type())
    lexend.setPixelSize(max(1, round(px)))
    lexend.setVariableAxis(QFont.Tag("wght"), weight)
    return lexend


@lru_cache(maxsize=64)
def letters(px: float, weight: int = REGULAR) -> QFont:
    """Lexend without ligatures: Qt tells no PDF which letters one stands for, so “off” was not found."""
    plain = QFont(font(px, weight))
    for feature in ("liga", "clig", "dlig"):
        plain.setFeature(QFont.Tag(feature), 0)
    return plain


@cache
def _raw_lexend() -> QRawFont:
    return QRawFont(str(fontpkg_lexend.ROOT / "files" / "Lexend[wght].ttf"), 16)


@lru_cache(maxsize=512)
def in_lexend(text: str) -> bool:
    """Whether Lexend itself has every character: others fall back and differ between machines."""
    load_type()
    return all(_raw_lexend().supportsCharacter(ord(char)) for char in text)


def stripes(first: QColor, second: QColor, width: float) -> QBrush:
    """A brush of equal diagonal stripes, each ``width`` pixels across; sharp at any scale."""
    run = width * 2**0.5
    gradient = QLinearGradient(QPointF(0, 0), QPointF(run, run))
    gradient.setSpread(QLinearGradient.Spread.RepeatSpread)
    edge = min(0.04, 0.6 / max(1.0, 2 * width))  # about one pixel of blend at each border
    for at, colour in (
        (0.0, first), (0.5 - edge, first), (0.5 + edge, second), (1.0 - 2 * edge, second), (1.0, first),
    ):  # fmt: skip
        gradient.setColorAt(at, colour)
    return QBrush(gradient)
