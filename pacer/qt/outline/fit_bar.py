"""The fit bar: the block to scale, with a verdict above it; what else is told of the fit stands apart."""

from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetricsF, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from pacer.frames.words.fit import FitFrame, FitPiece, PieceKind
from pacer.qt.kit import theme
from pacer.qt.kit.rows import column_of
from pacer.qt.kit.widgets import label
from pacer.text import _

BAR_PX, TICK_PX, WORD_PX = 36, 7, 16
AWAY_PX = 3  # between words and the side or the tick beside them


class BlockBar(QWidget):
    """The parts of the block to scale; ticks mark the sum of floors and the time left for a mini lesson."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("The block to scale"))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._frame: FitFrame | None = None

    def sizeHint(self) -> QSize:
        """As wide as there is room, one bar and a line of words high."""
        return QSize(400, BAR_PX + WORD_PX + 2 * TICK_PX + 6)

    def show_frame(self, frame: FitFrame | None) -> None:
        """Show another fit; an equal one paints nothing."""
        if frame == self._frame:
            return
        self._frame = frame
        words = "" if frame is None else ", ".join(piece.words for piece in frame.pieces)
        self.setAccessibleDescription(words)
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        frame = self._frame
        if frame is None or not frame.block_s:
            return
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            top = WORD_PX + 2 * TICK_PX
            x = 1.0
            scale = (self.width() - 2) / frame.block_s
            named = ((frame.floors_s, _("floors")), (frame.third_s, _("a third")))
            marks = [(1 + seconds * scale, words) for seconds, words in named]
            for piece in frame.pieces:
                width = piece.seconds * scale
                _paint_piece(painter, QRectF(x, top, width, BAR_PX), piece, [at for at, _words in marks])
                x += width
            _paint_ticks(painter, marks, top, self.width())


def _fills(kind: PieceKind) -> tuple[QBrush, QColor]:
    """Fill and ink of a piece: pattern and place tell them apart, not colour alone."""
    match kind:
        case "phases":
            return QBrush(theme.SQUARE), theme.DESK_PAPER
        case "groups":
            return QBrush(theme.CLOSING), theme.DESK_INK
        case "share":
            return QBrush(theme.SAND), theme.DESK_INK
        case "spare":
            return theme.stripes(theme.DESK_PAPER, theme.RULE, 5), theme.DESK_INK
        case _:
            return QBrush(theme.DESK_PAPER), theme.DESK_INK


def words_place(box: QRectF, wide: float, ticks: Sequence[float]) -> QRectF | None:
    """Where words of a width are centred in a piece: in all of it, else in the widest part between ticks."""
    inside = [at for at in ticks if box.left() < at < box.right()]
    middle, half = box.center().x(), wide / 2 + AWAY_PX
    if all(abs(at - middle) > half for at in inside):
        return box if wide + 2 * AWAY_PX <= box.width() else None
    edges = [box.left(), *sorted(inside), box.right()]
    left, right = max(pairwise(edges), key=lambda part: part[1] - part[0])
    return QRectF(left, box.top(), right - left, box.height()) if 2 * half <= right - left else None


def _paint_piece(painter: QPainter, box: QRectF, piece: FitPiece, ticks: Sequence[float]) -> None:
    brush, ink = _fills(piece.kind)
    painter.setPen(QPen(theme.OUTLINE, 1))
    painter.setBrush(brush)
    painter.setBrushOrigin(box.topLeft())
    painter.drawRect(box)
    painter.setFont(theme.font(WORD_PX, theme.MEDIUM))
    metrics = QFontMetricsF(painter.font())
    # A piece too narrow for its words says only the number, or nothing: the words stand in the description.
    for words in (piece.words, piece.words.rsplit(" ", 1)[-1]):
        place = words_place(box, metrics.horizontalAdvance(words), ticks)
        if place is not None:
            painter.setPen(QPen(ink))
            painter.drawText(place, Qt.AlignmentFlag.AlignCenter, words)
            return


def _paint_ticks(painter: QPainter, marks: list[tuple[float, str]], top: float, width: int) -> None:
    """A tick and a word each; words that would meet stand on either side of their ticks."""
    painter.setFont(theme.font(WORD_PX - 1))
    metrics = QFontMetricsF(painter.font())
    ordered = sorted(marks)
    lefts = tick_words([(x, metrics.horizontalAdvance(words)) for x, words in ordered], width)
    for (x, words), left in zip(ordered, lefts, strict=True):
        # Light around dark, so that it is seen on every fill.
        for ink, thick in ((theme.DESK_PAPER, 5), (theme.DESK_INK, 2)):
            painter.setPen(QPen(ink, thick))
            painter.drawLine(round(x), round(top - TICK_PX), round(x), round(top + BAR_PX))
        painter.setPen(QPen(theme.SECONDARY))
        box = QRectF(left, 0, metrics.horizontalAdvance(words) + 2, WORD_PX + TICK_PX)
        painter.drawText(box, Qt.AlignmentFlag.AlignLeft, words)


def tick_words(ticks: Sequence[tuple[float, float]], width: float) -> list[float]:
    """Where the words of ticks begin, from (place, width of the words) from the left: apart, and inside.

    The first stand left of their tick and the others right of theirs, as far as there is room.
    """
    lefts: list[float] = []
    for number, (x, wide) in enumerate(ticks):
        left = x - wide - AWAY_PX if number == 0 else x + AWAY_PX
        lefts.append(min(max(0.0, left), max(0.0, width - wide)))
    for later in range(1, len(ticks)):
        lefts[later] = max(lefts[later], lefts[later - 1] + ticks[later - 1][1] + 2 * AWAY_PX)
    end = width
    for at in reversed(range(len(ticks))):
        lefts[at] = max(0.0, min(lefts[at], end - ticks[at][1]))
        end = lefts[at] - 2 * AWAY_PX
    return lefts


class FitBar(QWidget):
    """Verdict and bar, of a height that does not change while the teacher types.

    ``notices`` and ``details`` are its words, too, for a place where more or fewer lines move nothing.
    """

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Does it fit?"))
        self.verdict = label("", "large", wrap=True)
        self.bar = BlockBar()
        self.details = label("", wrap=True)
        self.notices = label("", wrap=True)
        column_of(self.verdict, self.bar, gap=2, inside=self)

    def show_frame(self, frame: FitFrame | None) -> None:
        """Show a fit; None where the outline is not whole yet."""
        self.bar.show_frame(frame)
        self.verdict.setText(_("Not whole yet: see what is marked.") if frame is None else frame.verdict)
        self.details.setText("" if frame is None else "  ·  ".join(frame.details))
        self.notices.setText("" if frame is None else "  ".join(frame.notices))
