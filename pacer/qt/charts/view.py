"""A picture of Look back with its question, what is behind it, its legend, its sentence and its table."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetricsF, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QPushButton, QSizePolicy, QStackedWidget, QWidget

from pacer.frames.pictures.chart import Chart, Table
from pacer.qt.charts.legend import ChartLegend
from pacer.qt.charts.look import count_line
from pacer.qt.charts.plot import ChartPlot
from pacer.qt.kit import theme
from pacer.qt.kit.rows import TOP, column_of, row_of, turn
from pacer.qt.kit.widgets import PlainTable, button, label, scrolled, shortcut
from pacer.text import _

TABLE_KEY = "Ctrl+T"
HEAD_GAP = 40  # between the question and what is behind the picture
CALM_SIDE = 120  # a sentence in the middle of a page is read in short lines


class ChartView(QWidget):
    """Shows one chart."""

    def __init__(self) -> None:
        super().__init__()
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
        picture = QWidget()
        column_of((self.plot, 1), self.legend, gap=10, inside=picture)
        # In a low window the picture is scrolled to, and not pressed flat; its answer stays in sight.
        self._picture = scrolled(picture, _("Picture"))
        self.stack = QStackedWidget()
        for page in (self._picture, self.table, self.calm):
            self.stack.addWidget(page)
        self._arrange()
        key = QShortcut(QKeySequence(TABLE_KEY), self)
        key.activated.connect(self.table_button.click)
        # Two pictures in one window: each press of the key turns one of them.
        key.activatedAmbiguously.connect(self.table_button.click)
        shortcut("Escape", self.table, self.table_button.click)

    def _arrange(self) -> None:
        foot = row_of((self.summary, 1), (self.table_button, 0, TOP), gap=24)
        self._head = row_of((self.title, 1), self.count, gap=6)
        column_of(self._head, 6, (self.stack, 1), 4, foot, gap=6, inside=self)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_head()

    def _fit_head(self) -> None:
        """Put what is behind the picture beside its question, where both fit: a low window has few lines."""
        wanted = sum(
            QFontMetricsF(words.font()).horizontalAdvance(words.text()) for words in (self.title, self.count)
        )
        beside = wanted + HEAD_GAP < self.width()
        turn(self._head, stacked=not beside)
        self.count.setWordWrap(not beside)

    def set_chart(self, chart: Chart) -> None:
        """Show another chart. Whether the table or the picture is seen stays as it was chosen."""
        self.chart = chart
        self.setAccessibleName(chart.title)
        self.setAccessibleDescription(chart.summary)
        self.title.setText(chart.title)
        self.count.setText(count_line(chart))
        self._fit_head()
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
    push = button(_("Table"), tip=_("Show the numbers instead of the picture ({key})", key=TABLE_KEY))
    push.setCheckable(True)
    push.setAutoDefault(False)
    push.toggled.connect(on_click)
    push.hide()
    return push


def _new_table() -> PlainTable:
    table = PlainTable(_("Table"), ())
    table.horizontalHeader().setStretchLastSection(False)
    table.horizontalHeader().setResizeContentsPrecision(200)  # thousands of rows are not all measured
    return table


def _fill(table: PlainTable, numbers: Table) -> None:
    """Put the numbers in; a row that is too short or too long is shown as it is."""
    table.setUpdatesEnabled(False)
    table.clear()
    table.setColumnCount(len(numbers.headings))
    # Units on a line of their own: with them, few tables fit into a small window.
    table.setHorizontalHeaderLabels([words.replace(" (", "\n(") for words in numbers.headings])
    table.show_rows(numbers.rows, right=numbers.right)
    table.setUpdatesEnabled(True)
