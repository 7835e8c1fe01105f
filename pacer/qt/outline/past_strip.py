"""The strip of past durations: a dot a lesson, open where it was cut off, and a line at the budget."""

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QBrush, QPainter, QPen

from pacer.frames.words.past import PastFrame
from pacer.qt.kit import theme

DOT_PX = 3.0
_ROWS = 3


def paint_strip(painter: QPainter, box: QRectF, frame: PastFrame) -> None:
    """Paint a strip from the shortest to the longest of the durations and the budget."""
    times = [frame.budget_s, *(seconds for seconds, _done in frame.dots)]
    least, most = min(times), max(times) + 1
    inner = box.adjusted(DOT_PX + 1, 0, -DOT_PX - 1, 0)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(theme.RULE, 1))
    base = inner.bottom() - 1
    painter.drawLine(QPointF(inner.left(), base), QPointF(inner.right(), base))
    x = inner.left() + inner.width() * (frame.budget_s - least) / (most - least)
    painter.setPen(QPen(theme.DESK_INK, 2))
    painter.drawLine(QPointF(x, inner.top()), QPointF(x, inner.bottom()))
    painter.setPen(QPen(theme.SQUARE, 1.4))
    for at, is_done in _places(frame, inner, least, most):
        painter.setBrush(QBrush(theme.SQUARE if is_done else theme.DESK_PAPER))
        painter.drawEllipse(at, DOT_PX, DOT_PX)
    painter.restore()


def _places(frame: PastFrame, box: QRectF, least: float, most: float) -> list[tuple[QPointF, bool]]:
    """Where each dot stands: those that would cover another go a row up, as far as there is room."""
    last = [-100.0] * _ROWS
    dots = []
    for seconds, is_done in sorted(frame.dots):
        x = box.left() + box.width() * (seconds - least) / (most - least)
        row = next((n for n in range(_ROWS) if x - last[n] >= 2 * DOT_PX), _ROWS - 1)
        last[row] = x
        dots.append((QPointF(x, box.bottom() - DOT_PX - 2 - row * 2 * DOT_PX), is_done))
    return dots
