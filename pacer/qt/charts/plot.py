"""The plot on the screen: marks and axes in a widget that nobody can drag, zoom or click."""

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from pacer.frames.pictures.chart import Chart
from pacer.qt.charts.layout import Sides, lay_out, screen_height
from pacer.qt.charts.look import SCREEN, TYPE_PX
from pacer.qt.charts.paint import paint_picture


class ChartPlot(QWidget):
    """A chart's marks and axes. It takes neither the keyboard nor the mouse."""

    def __init__(self) -> None:
        super().__init__()
        self._chart = Chart("", "", 0, "")
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def set_chart(self, chart: Chart) -> None:
        self._chart = chart
        self.setMinimumHeight(round(screen_height(chart, TYPE_PX)))  # a page that is too low is scrolled
        self.setAccessibleName(chart.title)
        self.setAccessibleDescription(chart.summary)
        self.update()

    @property
    def sides(self) -> Sides:
        """Where its plot and words lie at the widget's size."""
        return lay_out(self._chart, QRectF(self.rect()), TYPE_PX)

    def sizeHint(self) -> QSize:
        return QSize(640, self.minimumHeight())

    def paintEvent(self, _event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.fillRect(self.rect(), SCREEN.paper)
            paint_picture(painter, self._chart, self.sides, SCREEN, screen=True)
