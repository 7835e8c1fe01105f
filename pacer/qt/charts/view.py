"""A picture of Look back with its question, what is behind it, its legend, its sentence and its table."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QStackedWidget,
    QTableWidget,
    QVBoxLayout,
    QWidget,
)

from pacer.frames.pictures.chart import Chart, Table
from pacer.qt.charts.legend import ChartLegend
from pacer.qt.charts.look import count_line
from pacer.qt.charts.plot import ChartPlot
from pacer.qt.kit import theme
from pacer.qt.kit.widgets import fill_row, label, plain_table
from pacer.text import _

TABLE_KEY = "Ctrl+T"
CALM_SIDE = 120  # a sentence in the middle of a page is read in short lines


class ChartView(QWidget):
    """Shows one chart."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.chart = Chart("", "", 0, "")
        self._filled = False
        self.title = label("", "title", wrap=True)
        self.title.setFont(theme.font(24, theme.SEMIBOLD))
        self.count = label("", "quiet", wrap=True)
        self.summary = label("", wrap=True)
        self.summary.setFont(theme.font(17))
        self.calm = label("", wrap=True)
        self.calm.setFont(theme.font(20))
        self.calm.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.calm.setContentsMargins(CALM_SIDE, 0, CALM_SIDE, 0)
        self.plot = ChartPlot()
        self.legend = ChartLegend()
        self.table = _new_table()
        self.table_button = _table_button(self._show_page)
        self._picture = QWidget()
        picture = QVBoxLayout(self._picture)
        picture.setContentsMargins(0, 0, 0, 0)
        picture.setSpacing(10)
        picture.addWidget(self.plot, 1)
        picture.addWidget(self.legend)
        self.stack = QStackedWidget()
        for page in (self._picture, self.table, self.calm):
            self.stack.addWidget(page)
        self._arrange()
        shortcut = QShortcut(QKeySequence(TABLE_KEY), self)
        shortcut.activated.connect(self.table_button.click)
        back = QShortcut(QKeySequence(Qt.Key.Key_Escape), self.table)
        back.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
        back.activated.connect(self.table_button.click)
        # Two pictures in one window: each press of the key turns one of them.
        shortcut.activatedAmbiguously.connect(self.table_button.click)

    def _arrange(self) -> None:
        foot = QHBoxLayout()
        foot.setSpacing(24)
        foot.addWidget(self.summary, 1)
        foot.addWidget(self.table_button, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.title)
        column.addWidget(self.count)
        column.addSpacing(6)
        column.addWidget(self.stack, 1)
        column.addSpacing(4)
        column.addLayout(foot)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def set_chart(self, chart: Chart) -> None:
        """Show another chart. Whether the table or the picture is seen stays as it was chosen."""
        self.chart = chart
        self.setAccessibleName(chart.title)
        self.setAccessibleDescription(chart.summary)
        self.title.setText(chart.title)
        self.count.setText(count_line(chart))
        self.summary.setText("" if chart.is_empty else chart.summary)
        self.calm.setText(chart.summary if chart.is_empty else "")
        self.legend.set_keys(chart.keys)
        self._filled = False
        self.table.setAccessibleName(_("Table: {title}").format(title=chart.title))
        self.table_button.setVisible(bool(chart.table.rows))
        self.plot.set_chart(chart)
        self._show_page()

    def _show_page(self, *_checked: object) -> None:
        as_table = self.table_button.isChecked() and bool(self.chart.table.rows)
        self.table_button.setText(_("Picture") if as_table else _("Table"))
        if as_table and not self._filled:
            _fill(self.table, self.chart.table)  # not before somebody looks: it may be thousands of cells
            self._filled = True
        picture = self.calm if self.chart.is_empty else self._picture
        self.stack.setCurrentWidget(self.table if as_table else picture)


def _table_button(on_click: object) -> QPushButton:
    made = QPushButton(_("Table"))
    made.setCheckable(True)
    made.setAutoDefault(False)
    made.setToolTip(_("Show the numbers instead of the picture ({key})").format(key=TABLE_KEY))
    made.setAccessibleDescription(made.toolTip())
    made.toggled.connect(on_click)
    made.hide()
    return made


def _new_table() -> QTableWidget:
    table = plain_table(_("Table"), ())
    table.horizontalHeader().setStretchLastSection(False)
    table.horizontalHeader().setResizeContentsPrecision(200)  # thousands of rows are not all measured
    return table


def _fill(table: QTableWidget, numbers: Table) -> None:
    """Put the numbers in; a row that is too short or too long is shown as it is."""
    table.setUpdatesEnabled(False)
    table.clear()
    table.setColumnCount(len(numbers.headings))
    # Units on a line of their own: with them, few tables fit into a small window.
    table.setHorizontalHeaderLabels([words.replace(" (", "\n(") for words in numbers.headings])
    table.setRowCount(len(numbers.rows))
    for number, row in enumerate(numbers.rows):
        fill_row(table, number, row, right=numbers.right)
    table.setUpdatesEnabled(True)
