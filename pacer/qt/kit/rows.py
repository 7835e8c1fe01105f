"""Rows and columns of widgets, written in the order in which they are seen."""

from collections.abc import Iterable, Mapping

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QBoxLayout, QGridLayout, QHBoxLayout, QLayout, QVBoxLayout, QWidget

STRETCH = -1  # as a part: the room that is left
TOP, LEFT = Qt.AlignmentFlag.AlignTop, Qt.AlignmentFlag.AlignLeft
RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_NO_SIDE = Qt.AlignmentFlag(0)
_NO_MARGINS = 0, 0, 0, 0

# A widget or layout alone, with its share of the room that is left, or with a share and its side.
# A number is so many pixels left free.
RowPart = (
    QWidget | QLayout | int | tuple[QWidget | QLayout, int] | tuple[QWidget | QLayout, int, Qt.AlignmentFlag]
)
Margins = tuple[int, int, int, int]  # left, top, right, bottom


def row_of(
    *parts: RowPart, gap: int | None = None, inside: QWidget | None = None, margins: Margins = _NO_MARGINS
) -> QHBoxLayout:
    """Parts from left to right, ``gap`` pixels apart (None: as the style has it).

    ``inside`` is the widget they fill but for ``margins``; without one the row is a part of another layout.
    """
    layout = QHBoxLayout() if inside is None else QHBoxLayout(inside)
    _fill(layout, parts, gap, None if inside is None else margins)
    return layout


def column_of(
    *parts: RowPart, gap: int | None = None, inside: QWidget | None = None, margins: Margins = _NO_MARGINS
) -> QVBoxLayout:
    """Parts from the top down; the rest as for ``row_of``."""
    layout = QVBoxLayout() if inside is None else QVBoxLayout(inside)
    _fill(layout, parts, gap, None if inside is None else margins)
    return layout


def grid_of(
    across: int,
    down: int,
    *,
    inside: QWidget | None = None,
    margins: Margins = _NO_MARGINS,
    shares: Mapping[int, int] | None = None,
) -> QGridLayout:
    """A grid with so many pixels between its columns and its rows.

    ``shares`` says which columns get how much of the room that is left; ``inside`` as for ``row_of``.
    """
    grid = QGridLayout() if inside is None else QGridLayout(inside)
    if inside is not None:
        grid.setContentsMargins(*margins)
    grid.setHorizontalSpacing(across)
    grid.setVerticalSpacing(down)
    for column, share in (shares or {}).items():
        grid.setColumnStretch(column, share)
    return grid


def turn(layout: QBoxLayout, *, stacked: bool) -> None:
    """Put the parts of a row or column one over the other, or side by side."""
    ways = QBoxLayout.Direction
    layout.setDirection(ways.TopToBottom if stacked else ways.LeftToRight)


def _fill(layout: QBoxLayout, parts: Iterable[RowPart], gap: int | None, margins: Margins | None) -> None:
    if margins is not None:
        layout.setContentsMargins(*margins)
    if gap is not None:
        layout.setSpacing(gap)
    for part in parts:
        _add(layout, *part) if isinstance(part, tuple) else _add(layout, part)


def _add(
    layout: QBoxLayout, part: QWidget | QLayout | int, share: int = 0, side: Qt.AlignmentFlag = _NO_SIDE
) -> None:
    if isinstance(part, QWidget):
        layout.addWidget(part, share, side)
    elif isinstance(part, QLayout):
        layout.addLayout(part, share)
    elif part == STRETCH:
        layout.addStretch(1)
    else:
        layout.addSpacing(part)
