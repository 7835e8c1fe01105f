"""The band over the last rows of the far page: the answer to a press, why not, or what is the matter."""

from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPen

from pacer.qt.desk.far_page import BAND_TOPS, EASY_FAR, LEAST_FAR, far_margin
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import LINE_SHARE, Setting, draw_setting, fit

# Of tall letters, of the dot of an i, of letters that hang, over their size.
ASCENT, DOT, DESCENT = 0.74, 0.8, 0.23
HANGING = set("gjpqy,;Q")
TIGHT = 1.05  # from line to line, over the size
STAYING_LEAST = 0.7  # of the least size of the far page, for two lines that stay where one does not fit


@dataclass(frozen=True)
class Band:
    """Where the band lies on a Desk, and its words."""

    rect: QRectF
    box: QRectF
    setting: Setting


@lru_cache(maxsize=16)
def lay_band(text: str, far: QSize, *, stays: bool) -> Band:
    """The band on a far page of a size: over the last row, or the last two where it needs them.

    What ``stays`` keeps to the last row in smaller type, so that the price is seen; what goes again is large.
    """
    height, margin = far.height(), far_margin(QRectF(0, 0, far.width(), far.height()))
    room = far.width() - 2 * margin
    easy, least = ceil(EASY_FAR / theme.CAP_SHARE * height), ceil(LEAST_FAR * height)
    # How many rows it covers, its largest and its least type, and the lines of it.
    hanging = DESCENT if HANGING & set(text) or not theme.in_lexend(text) else 0.0
    tall_share = DOT if set("ij") & set(text) else ASCENT
    tries = [(0, easy, least, 1), (1, least, least, 3), (1, least, least // 2, 6)]
    if stays:
        tries.insert(1, (0, least, round(least * STAYING_LEAST), 2))
    for rows, largest, smallest, lines in tries:
        rect = QRectF(0, ceil(BAND_TOPS[rows] * height), far.width(), 0)
        rect.setBottom(height)
        free = rect.adjusted(0, edge_of(far), 0, 0)
        # One line is as high as its letters; where there are several the gaps between them count, too.
        if lines == 1:
            largest = min(largest, ceil(free.height() / (tall_share + hanging)) if hanging else largest)
        tall = rect.height() * (0.94 * LINE_SHARE / TIGHT if lines > 1 else 2)
        setting = fit(text, room, tall, largest, min(smallest, largest), theme.SEMIBOLD, lines)
        if theme.in_lexend(text):
            setting = replace(setting, line_height=setting.px * TIGHT)
        if not setting.elided:
            break
    top = free.top() + (free.height() - setting.height) / 2
    if len(setting.lines) == 1:
        top = free.center().y() + (tall_share - hanging) * setting.px / 2 - setting.ascent
    return Band(rect, QRectF(margin, top, room, setting.height), setting)


def edge_of(far: QSize) -> float:
    """Pixels of the dark edge along the top of a band that goes again."""
    return max(2.0, far.height() * 0.0025)


def paint_band(painter: QPainter, text: str, far: QSize, *, stays: bool) -> None:
    """Paint it: light with a dark edge where it goes again, dark where something is the matter and stays."""
    made = lay_band(text, far, stays=stays)
    ground, ink = (theme.DESK_INK, theme.DESK_PAPER) if stays else (theme.DESK_PAPER, theme.DESK_INK)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillRect(made.rect, ground)
    if not stays:
        # A frame that stands on the window's end: below the words there is no room for an edge.
        pen = edge_of(far)
        painter.setPen(QPen(theme.DESK_INK, pen))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(made.rect.adjusted(pen / 2, pen / 2, -pen / 2, 2 * pen))
    draw_setting(painter, made.box, made.setting, ink)
