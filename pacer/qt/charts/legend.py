"""The legend under a picture: each mark as it is drawn, with what it means, in as many rows as it needs."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QWidget

from pacer.frames.pictures.chart import LegendKey
from pacer.qt.charts.look import SCREEN, TYPE_PX, Look
from pacer.qt.charts.marks import paint_sample
from pacer.qt.charts.ticks import shortened
from pacer.qt.kit import theme
from pacer.text import _

SAMPLE, ASIDE, BETWEEN = 2.0, 0.5, 1.6  # a sample's width, what follows it, what lies between entries


@dataclass(frozen=True)
class Entry:
    """One entry with the boxes of its mark and its words."""

    key: LegendKey
    sample: QRectF
    words: QRectF
    text: str


def legend_entries(keys: Sequence[LegendKey], width: float, px: float) -> list[Entry]:
    """Lay entries out from the top left; one longer than the width is shortened."""
    metrics = QFontMetricsF(theme.letters(px))
    row = metrics.height() * 1.2
    lead = (SAMPLE + ASIDE) * px
    x = y = 0.0
    entries = []
    for key in keys:
        text = shortened(key.text, max(px, width - lead), metrics)
        long = metrics.horizontalAdvance(text)
        if x > 0 and x + lead + long > width:
            x, y = 0.0, y + row
        sample = QRectF(x, y + row * 0.19, SAMPLE * px, row * 0.62)
        entries.append(Entry(key, sample, QRectF(x + lead, y, long, row), text))
        x += lead + long + BETWEEN * px
    return entries


def legend_height(keys: Sequence[LegendKey], width: float, px: float) -> float:
    """How high the legend is at a width; 0 without entries."""
    entries = legend_entries(keys, width, px)
    return entries[-1].words.bottom() if entries else 0.0


def paint_legend(
    painter: QPainter, keys: Sequence[LegendKey], box: QRectF, look: Look, px: float, *, screen: bool = False
) -> None:
    """Paint the legend into a box whose height was asked for before."""
    painter.setFont(theme.letters(px))
    for entry in legend_entries(keys, box.width(), px):
        paint_sample(painter, entry.key.mark, entry.sample.translated(box.topLeft()), look, px, screen=screen)
        painter.setPen(look.ink)
        words = entry.words.translated(box.topLeft()).adjusted(0, 0, 4, 0)
        flags = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextSingleLine
        painter.drawText(words, flags, entry.text)


class ChartLegend(QWidget):
    """The legend as a widget, as high as its entries need at its width."""

    def __init__(self) -> None:
        super().__init__()
        self._keys: tuple[LegendKey, ...] = ()
        self.setAccessibleName(_("Legend"))

    def set_keys(self, keys: tuple[LegendKey, ...]) -> None:
        self._keys = keys
        self.setAccessibleDescription(". ".join(key.text for key in keys))
        self.setVisible(bool(keys))
        self._make_room()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._make_room()

    def paintEvent(self, _event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            paint_legend(painter, self._keys, QRectF(self.rect()), SCREEN, TYPE_PX, screen=True)

    def _make_room(self) -> None:
        self.setFixedHeight(round(legend_height(self._keys, max(1, self.width()), TYPE_PX) + 0.5))
