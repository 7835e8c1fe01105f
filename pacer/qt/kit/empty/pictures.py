"""Small pictures of what an empty page will show: a few shapes on a grid, no words and nothing real."""

from typing import Literal, NamedTuple

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from pacer.qt.kit import theme
from pacer.text import _

ShapeLook = Literal["frame", "open", "words", "pale", "full", "dot"]
PictureName = Literal[
    "today", "week", "library", "outline", "paste", "split", "lesson", "chart", "budgets", "records"
]

COLUMNS, ROWS = 24, 12  # of the grid that shapes lie on
_LEAST, _USUAL, _MOST = QSize(160, 80), QSize(336, 168), QSize(480, 240)


class Shape(NamedTuple):
    """One shape: where it begins, its width and height in cells of the grid, and how it is painted.

    ``words`` is a bar that stands for a line of text, ``open`` a dashed place where something may come.
    """

    x: float
    y: float
    wide: float
    high: float
    look: ShapeLook = "words"


def _rows(x: float, wide: float, *tops: float) -> tuple[Shape, ...]:
    """Lines of text of uneven length, one below the other."""
    shares = 1.0, 0.72, 0.86, 0.6
    return tuple(Shape(x, top, wide * shares[at % 4], 0.5) for at, top in enumerate(tops))


def _bar(y: float, *widths: float, x: float = 0.5, high: float = 1.4) -> tuple[Shape, ...]:
    """Parts of a bar side by side, every other one filled."""
    shapes = []
    for at, wide in enumerate(widths):
        shapes.append(Shape(x, y, wide, high, "full" if at % 2 else "pale"))
        x += wide
    return tuple(shapes)


def _columns(count: int, *cards: tuple[int, float, float]) -> tuple[Shape, ...]:
    """Columns with a heading each, and cards in them: column, top, height."""
    wide = COLUMNS / count
    heads = tuple(Shape(at * wide + 0.4, 0.4, wide * 0.55, 0.5) for at in range(count))
    frames = tuple(Shape(at * wide + 0.2, 1.6, wide - 0.4, ROWS - 1.8, "frame") for at in range(count))
    laid = tuple(Shape(at * wide + 0.6, top, wide - 1.2, high, "pale") for at, top, high in cards)
    return heads + frames + laid


PICTURES: dict[PictureName, tuple[Shape, ...]] = {
    "today": (
        Shape(0.2, 0.2, 7, 11.6, "frame"), Shape(0.8, 1, 5.8, 2, "pale"),
        *_rows(1.2, 4.6, 1.7, 4.4, 6.8, 9.2),
        Shape(8.8, 0.6, 9, 1), *_bar(3.4, 2, 3, 5, 4.6, x=8.8, high=2), *_rows(8.8, 9, 6.6, 7.7),
        Shape(8.8, 9.4, 5.4, 2.2, "full"),
    ),
    "week": _columns(5, (0, 2.2, 3), (1, 2.2, 3), (1, 5.8, 2.2), (2, 2.2, 3), (4, 2.2, 3)),
    "library": tuple(
        shape
        for x in (0.2, 8.3, 16.4)
        for y in (0.2, 6.3)
        for shape in (
            Shape(x, y, 7.4, 5.5, "pale" if (x, y) == (0.2, 0.2) else "frame"),
            *_rows(x + 0.8, 4.8, y + 0.9, y + 2),
            Shape(x + 0.8, y + 3.6, 3, 1, "full"),
        )
    ),
    "outline": (
        Shape(0.2, 0.2, 10.4, 8, "frame"), *_rows(1, 6, 1.2, 3, 4.8, 6.6),
        *(Shape(9, top, 0.8, 0.5) for top in (1.2, 3, 4.8, 6.6)),
        Shape(12, 0.2, 11.8, 8, "frame"), Shape(13, 1.4, 6, 1), *_rows(13, 8, 3.6, 4.8),
        Shape(13, 6.2, 3.4, 1.1, "full"),
        *_bar(9.4, 2, 3, 6, 7, x=0.2, high=2.2), Shape(18.2, 9.4, 5.6, 2.2, "open"),
    ),
    "paste": (
        Shape(0.5, 0.2, 9, 11.6, "frame"), *_rows(1.6, 6.4, 1.4, 2.8, 4.2, 5.6, 7, 8.4, 9.8),
        Shape(10.6, 5.5, 3, 1, "open"), Shape(14.5, 1.4, 9, 1.6, "pale"), Shape(14.5, 3.8, 6, 1.6, "full"),
        Shape(14.5, 6.2, 8, 1.6, "pale"), Shape(14.5, 8.6, 5, 1.6, "full"),
    ),
    "split": (
        *_columns(5, (0, 2.2, 3.6), (0, 6.2, 2), (1, 2.2, 2.6), (3, 2.2, 2)),
        Shape(10.2, 2.2, 3.6, 2.4, "open"), Shape(11.4, 5.2, 3.6, 2.4, "full"),
    ),
    "lesson": (
        *_rows(0.5, 8, 0.5), *_bar(1.6, 3, 5, 8, 6), *_bar(3.4, 4, 6, 9, 3.4),
        *_rows(0.5, 14, 6.4, 8, 9.6), *(Shape(20, top, 3, 0.5) for top in (6.4, 8, 9.6)),
    ),
    "chart": (
        Shape(1, 0.4, 0.12, 10.6), Shape(1, 11, 22, 0.12), Shape(1.6, 5.2, 21, 0.2, "open"),
        *(
            Shape(2.4 + 2.6 * at, top, 0.8, 0.8, "dot")
            for at, top in enumerate((2, 3.6, 2.6, 5, 4.2, 6.4, 5.6, 7.2))
        ),
    ),
    "budgets": tuple(
        shape
        for at, (before, after) in enumerate(((5, 8), (9, 7), (4, 6)))
        for shape in (
            Shape(0.5, 0.8 + 4 * at, 5, 0.5), Shape(7, 0.2 + 4 * at, before, 1.2, "frame"),
            Shape(7, 1.6 + 4 * at, after, 1.2, "full"), Shape(19.5, 0.4 + 4 * at, 4, 2.2, "pale"),
        )
    ),
    "records": tuple(
        shape
        for at in range(4)
        for shape in (
            Shape(0.2, 0.2 + 3 * at, 23.6, 2.4, "pale" if at == 0 else "frame"),
            Shape(1, 1.1 + 3 * at, 4, 0.5),
            Shape(7, 1.1 + 3 * at, 8, 0.5), Shape(20, 1.1 + 3 * at, 2.8, 0.5),
        )
    ),
}  # fmt: skip  # each picture as rows of shapes


def picture_words(picture: PictureName) -> str:
    """What a picture shows, for those who don't see it."""
    return {
        "today": _("Picture: a list of lessons, the one chosen with its bar of time, and a large button"),
        "week": _("Picture: five days side by side with lessons in them"),
        "library": _("Picture: lessons as cards, each with its length"),
        "outline": _("Picture: lines of a lesson with minutes, the class's view beside them, a bar below"),
        "paste": _("Picture: a page of text, and beside it the phases that were read from it"),
        "split": _("Picture: five columns with parts of a lesson, one of them on its way to another column"),
        "lesson": _("Picture: a bar of what was planned over a bar of what happened"),
        "chart": _("Picture: one dot for each lesson, and their middle"),
        "budgets": _("Picture: for each phase what is planned, what it takes, and a button"),
        "records": _("Picture: a list of lessons with their days"),
    }[picture]


class SmallPicture(QWidget):
    """One of the pictures, as large as its place lets it be and always in its proportions."""

    def __init__(self, picture: PictureName) -> None:
        super().__init__()
        self._shapes = PICTURES[picture]
        self.setAccessibleName(picture_words(picture))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.setMinimumSize(_LEAST)
        self.setMaximumHeight(_MOST.height())

    def sizeHint(self) -> QSize:
        return _USUAL

    def paintEvent(self, _event: QPaintEvent) -> None:
        cell = min(self.width() / COLUMNS, self.height() / ROWS, _MOST.height() / ROWS)
        left, top = (self.width() - cell * COLUMNS) / 2, (self.height() - cell * ROWS) / 2
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            for shape in self._shapes:
                place = QRectF(
                    left + shape.x * cell, top + shape.y * cell, shape.wide * cell, shape.high * cell
                )
                _paint(painter, place, shape.look, cell)


def _paint(painter: QPainter, place: QRectF, look: ShapeLook, cell: float) -> None:
    pen = QPen(theme.OUTLINE, 1.5)
    if look == "open":
        pen = QPen(theme.DESK_INK, 1.5, Qt.PenStyle.DashLine)
    elif look in ("words", "full", "dot"):
        pen = QPen(Qt.PenStyle.NoPen)
    painter.setPen(pen)
    fills = {"words": theme.OUTLINE, "pale": theme.CLOSING, "full": theme.SQUARE, "dot": theme.SQUARE}
    painter.setBrush(fills.get(look, Qt.BrushStyle.NoBrush))
    round_px = min(cell * 0.3, place.height() / 2, place.width() / 2)
    if look == "dot":
        painter.drawEllipse(place)
    elif look == "open" and place.height() < cell:
        painter.drawLine(QPointF(place.left(), place.top()), QPointF(place.right(), place.top()))
    else:
        painter.drawRoundedRect(place, round_px, round_px)
