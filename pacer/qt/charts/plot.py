"""The plot on the screen: a pyqtgraph scene that nobody can drag, zoom or click. Imports pyqtgraph."""

import pyqtgraph  # type: ignore[import-untyped]
from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QResizeEvent
from PySide6.QtWidgets import QStyleOptionGraphicsItem, QWidget

from pacer.frames.pictures.chart import Chart
from pacer.qt.charts.axes import paint_grid, paint_sides, paint_words
from pacer.qt.charts.layout import Sides, lay_out
from pacer.qt.charts.look import SCREEN
from pacer.qt.charts.marks import Marks, paint_bands
from pacer.qt.charts.ticks import bounds


class _Layer(pyqtgraph.GraphicsObject):
    """One layer of the picture, painted in pixels: thousands of marks are no items of their own."""

    def __init__(self, plot: "ChartPlot") -> None:
        super().__init__()
        self._plot = plot

    def boundingRect(self) -> QRectF:
        return QRectF(self._plot.rect())


class _Ground(_Layer):
    """What lies under the marks."""

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        if (sides := self._plot.sides) is not None:
            paint_bands(painter, self._plot.marks.chart, sides.plot, SCREEN, sides.px)
            paint_grid(painter, sides, SCREEN)


class _MarksLayer(_Layer):
    """All marks, in the view box, whose range they follow."""

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        if (sides := self._plot.sides) is not None:
            self._plot.marks.paint(painter, self._plot.view.rect(), SCREEN, sides.px, screen=True)


class _Frame(_Layer):
    """Axes and words, over the marks."""

    def paint(
        self, painter: QPainter, _option: QStyleOptionGraphicsItem, _widget: QWidget | None = None
    ) -> None:
        if (sides := self._plot.sides) is not None:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            paint_sides(painter, self._plot.marks.chart, sides, SCREEN)
            paint_words(painter, self._plot.marks.chart, sides, SCREEN)


class ChartPlot(pyqtgraph.GraphicsView):
    """A chart's marks and axes. It takes neither the keyboard nor the mouse."""

    def __init__(self, px: float, parent: QWidget | None = None) -> None:
        super().__init__(parent, useOpenGL=False, background=SCREEN.paper)
        self._px = px
        self.sides: Sides | None = None
        self.marks = Marks(_nothing())
        self.setAntialiasing(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setMouseTracking(False)
        self.view = pyqtgraph.ViewBox(enableMouse=False, enableMenu=False, defaultPadding=0)
        # The marks clip themselves, half a mark outside: a dot at the very end of an axis stays whole.
        self.view.setFlag(pyqtgraph.ViewBox.GraphicsItemFlag.ItemClipsChildrenToShape, False)
        self._layers = (_Ground(self), _MarksLayer(self), _Frame(self))
        for item in (self._layers[0], self.view, self._layers[2]):
            self.scene().addItem(item)
        self._layers[1].setParentItem(self.view)
        for depth, item in enumerate((self._layers[0], self.view, self._layers[2])):
            item.setZValue(depth)

    def set_chart(self, chart: Chart) -> None:
        """Draw another chart."""
        self.marks = Marks(chart)
        self._place()

    def sizeHint(self) -> QSize:
        return QSize(640, 360)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place()

    def _place(self) -> None:
        """Lay out anew; the view box covers the plot and shows the axes' ends exactly."""
        if not hasattr(self, "view"):
            return  # pyqtgraph's own beginning already resizes
        chart = self.marks.chart
        for layer in self._layers:
            layer.prepareGeometryChange()
        self.sides = lay_out(chart, QRectF(self.rect()), self._px)
        self.view.setGeometry(self.sides.plot)
        self.view.setRange(xRange=bounds(chart.x), yRange=bounds(chart.y), padding=0, disableAutoRange=True)
        self.view.invertY(chart.y.upside_down)
        self.scene().update()


def _nothing() -> Chart:
    from pacer.frames.pictures.chart import Axis

    return Chart("", "", 0, "", Axis("", 0, 1), Axis("", 0, 1))
