"""The plot on the screen: marks and axes in a widget that nobody can drag, zoom or click."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from pacer.frames.pictures.chart import Chart
from pacer.qt.charts.layout import Sides, lay_out, least_height
from pacer.qt.charts.look import SCREEN, TYPE_PX
from pacer.qt.charts.paint import paint_picture

LEAST_PX = 120  # a picture less high says nothing; a page that is too low is scrolled


class ChartPlot(QWidget):
    """A chart's marks and axes. It takes neither the keyboard nor the mouse."""

    def __init__(self) -> None:
        super().__init__()
        self._chart = Chart("", "", 0, "")
        self.setMinimumHeight(LEAST_PX)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def set_chart(self, chart: Chart) -> None:
        """Draw another chart."""
        self._chart = chart
        self.setMinimumHeight(max(LEAST_PX, round(least_height(chart, TYPE_PX))))
        self.setAccessibleName(chart.title)
        self.setAccessibleDescription(chart.summary)
        self.update()

    @property
    def sides(self) -> Sides:
        """Where its plot and words lie at the widget's size."""
        return lay_out(self._chart, QRectF(self.rect()), TYPE_PX)

    def sizeHint(self) -> QSize:
        return QSize(640, LEAST_PX)

    def paintEvent(self, _event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.fillRect(self.rect(), SCREEN.paper)
            paint_picture(painter, self._chart, self.sides, SCREEN, screen=True)
