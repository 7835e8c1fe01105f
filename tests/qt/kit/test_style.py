"""The style sheet: frames of what has the keyboard, heads over their columns, dialogs within their screen."""

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractScrollArea,
    QCheckBox,
    QDialog,
    QDialogButtonBox,
    QLineEdit,
    QListWidget,
    QPlainTextEdit,
    QPushButton,
    QStyle,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from pacer.qt.kit.style import wear
from pacer.qt.kit.theme import DESK_PAPER
from pacer.qt.kit.widgets import PlainTable, fit_to_screen, without_pictures
from tests.qt.window_factories import take_apart

FRAME_PX = 3


@pytest.fixture
def window(qapp):
    """A window in the sheet with a field that has the keyboard first."""
    whole = QWidget()
    QVBoxLayout(whole).addWidget(QLineEdit())
    yield whole
    take_apart(whole, None)


def shown_with(window: QWidget, *inside: QWidget) -> None:
    layout = window.layout()
    assert layout is not None
    for widget in inside:
        layout.addWidget(widget)
    wear(window)
    window.show()
    window.activateWindow()
    QTest.qWaitForWindowExposed(window)


def by_tab_to(widget: QWidget) -> None:
    for _press in range(10):
        if widget.hasFocus():
            return
        QTest.keyClick(widget.window().focusWidget() or widget.window(), Qt.Key.Key_Tab)
    assert widget.hasFocus()


def colours(image: QImage, box: QRect) -> set[str]:
    return {
        QColor(image.pixel(x, y)).name()
        for x in range(box.left(), box.right() + 1)
        for y in range(box.top(), box.bottom() + 1)
    }


@pytest.mark.parametrize("kind", [QPushButton, QToolButton, QCheckBox])
def test_a_button_with_the_keyboard_has_one_frame_and_nothing_else_is_painted_in_it(window, kind):
    button = kind()
    if kind is QCheckBox:
        button.setText(" ")
    button.setMinimumSize(120, 48)
    shown_with(window, button)
    by_tab_to(button)
    box = button.rect().adjusted(8, 8, -8, -8)
    if kind is QCheckBox:
        box.setLeft(34)  # beside the box to tick
    assert colours(button.grab().toImage(), box) == {DESK_PAPER.name()}


def scrolled_list() -> QListWidget:
    rows = QListWidget()
    rows.addItems([f"row {number}" for number in range(40)])
    return rows


def scrolled_text() -> QPlainTextEdit:
    return QPlainTextEdit("line\n" * 40)


def scrolled_table() -> PlainTable:
    table = PlainTable("Phases", ("Phase", "Budget"))
    table.show_rows([(f"row {number}", "3:00") for number in range(40)])
    return table


@pytest.mark.parametrize("make", [scrolled_list, scrolled_text, scrolled_table])
def test_the_frame_of_what_has_the_keyboard_is_whole_beside_rows_and_scroll_bar(window, make):
    area: QAbstractScrollArea = make()
    area.setFixedSize(200, 160)
    shown_with(window, area)
    before = area.viewport().geometry()
    by_tab_to(area)
    frame = 2 if isinstance(area, QPlainTextEdit) else FRAME_PX
    free = area.rect().adjusted(frame, frame, -frame, -frame)
    bar = area.verticalScrollBar()
    assert bar.isVisible()
    assert free.contains(area.viewport().geometry())
    assert free.contains(QRect(bar.mapTo(area, bar.rect().topLeft()), bar.size()))
    assert area.viewport().geometry() == before


def first_ink(image: QImage, from_y: int, to_y: int) -> int:
    paper = DESK_PAPER.name()
    return next(
        x
        for x in range(image.width())
        if any(QColor(image.pixel(x, y)).name() != paper for y in range(from_y, to_y))
    )


def test_cells_stand_under_their_heads(window):
    table = PlainTable("Phases", ("Hill", "Budget"))
    table.show_rows([("Hill", "3:00")])
    table.setFixedSize(400, 160)
    shown_with(window, table)
    head, cells = table.horizontalHeader().grab().toImage(), table.viewport().grab().toImage()
    high = table.rowHeight(0)
    assert first_ink(cells, 4, high - 4) == first_ink(head, 4, head.height() - 4)


def test_a_dialog_is_fitted_again_where_its_screen_becomes_smaller(window):
    dialog = QDialog(window)
    fit_to_screen(dialog, 400, 300)
    assert (dialog.width(), dialog.height()) == (400, 300)
    screen = dialog.screen()
    room = screen.availableGeometry()
    dialog.resize(room.width() + 300, room.height() + 200)  # as it was on the larger screen
    screen.availableGeometryChanged.emit(room)
    assert dialog.width() < room.width()
    assert dialog.height() < room.height()


def test_buttons_of_a_dialog_have_words_and_no_pictures(window):
    box = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
    for each in box.buttons():
        each.setIcon(window.style().standardIcon(QStyle.StandardPixmap.SP_DialogOkButton))  # as some do
    shown_with(window, without_pictures(box))
    assert all(button.icon().isNull() for button in box.buttons())
