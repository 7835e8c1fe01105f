"""Small helpers that make labelled, named widgets the same way everywhere."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QLabel,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from pacer.qt.kit import theme

FRAME_PX = 40  # of the title of a window
_SIZES = {"title": 30, "large": 20}


def label(text: str = "", role: str = "", *, bold: bool = False, wrap: bool = False) -> QLabel:
    """Plain text (HTML is shown as text), in one of the sheet's roles."""
    made = QLabel(text)
    made.setTextFormat(Qt.TextFormat.PlainText)
    made.setWordWrap(wrap)
    if role:
        made.setProperty("role", role)
    if bold or role in _SIZES:
        made.setFont(
            theme.font(_SIZES.get(role, 15), theme.SEMIBOLD if bold or role == "title" else theme.REGULAR)
        )
    if not wrap:
        made.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
    return made


def button(text: str, on_click: Callable[[], object], role: str = "", tip: str = "") -> QPushButton:
    """A button that Tab reaches and Return presses. ``on_click`` is a bound method."""
    made = QPushButton(text)
    made.setAutoDefault(True)
    made.clicked.connect(on_click)
    if role:
        made.setProperty("role", role)
    if tip:
        made.setToolTip(tip)
        made.setAccessibleDescription(tip)
    return made


def scrolled(body: QWidget, name: str) -> QScrollArea:
    """A widget that is scrolled where its window is too low for it; Tab goes to what is in it."""
    area = QScrollArea()
    area.setFrameShape(QScrollArea.Shape.NoFrame)
    area.setWidgetResizable(True)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    named(area, name)
    area.setWidget(body)
    return area


def fit_to_screen(dialog: QWidget, width: int, height: int) -> None:
    """Give a dialog its size, or as much of it as its screen has; a frame takes some of that."""
    screen = dialog.screen().availableGeometry().size()
    dialog.resize(min(width, screen.width() - 20), min(height, screen.height() - FRAME_PX))


def plain_table(name: str, headings: tuple[str, ...]) -> QTableWidget:
    """A table to read, not to write in, with the name that a screen reader says."""
    table = QTableWidget(0, len(headings))
    table.setAccessibleName(name)
    table.setHorizontalHeaderLabels(list(headings))
    table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
    table.setTabKeyNavigation(False)  # Tab goes on to the page; arrow keys move among the cells
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    table.setShowGrid(False)
    table.verticalHeader().hide()
    header = table.horizontalHeader()
    header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
    header.setStretchLastSection(True)
    header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
    return table


def fill_row(table: QTableWidget, row: int, texts: tuple[str, ...], right: tuple[int, ...]) -> None:
    """Put texts into a row; the columns named in ``right``, figures, are aligned right, heading and all."""
    aligned = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
    for column, text in enumerate(texts):
        item = QTableWidgetItem(text)
        if column in right:
            item.setTextAlignment(aligned)
            heading = table.horizontalHeaderItem(column)
            if heading is not None:
                heading.setTextAlignment(aligned)
        table.setItem(row, column, item)


def named(widget: QWidget, name: str) -> QWidget:
    """Give a widget the name a screen reader says."""
    widget.setAccessibleName(name)
    return widget
