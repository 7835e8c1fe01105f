"""Where everything of a picture lies: the plot, the words along its sides, the words within it."""

from dataclasses import dataclass
from functools import partial
from itertools import pairwise

from PySide6.QtCore import QRectF
from PySide6.QtGui import QFontMetricsF

from pacer.frames.pictures.chart import Anchor, Axis, Chart, ChartWords
from pacer.qt.charts.ticks import (
    MOST_WRAPPED,
    Number,
    Tick,
    bounds,
    is_scale,
    share,
    shortened,
    thinned,
    ticks_of,
    wrapped,
    x_words,
)
from pacer.qt.kit import theme

ROW_NAMES_SHARE = 0.32  # of the width, at most, for the words beside the plot
AROUND_LINES = 4.2  # above and below a plot: the name of one axis, the ticks of the other
NAMED_LINES = 1.1  # of type, for a row with a name beside it, on a screen
AROUND_NAMED = 4.6  # above and below them, both axes being named
LEAST_SCREEN = 11.0  # times the size of type: less says nothing
_LEFT_OF: dict[Anchor, float] = {"left": 0.0, "centre": 0.5, "right": 1.0}  # the share left of a place
LEAST_PLOT = 0.3  # of the width and of the height, whatever the words want


@dataclass(frozen=True)
class Label:
    """Words in a box. ``at`` is where their tick meets the plot's side."""

    at: float
    box: QRectF
    text: str


@dataclass(frozen=True)
class Sides:
    """A laid-out picture, in the units of its rectangle. Marks are drawn within ``plot`` alone."""

    plot: QRectF
    x_ticks: tuple[Label, ...]
    y_ticks: tuple[Label, ...]
    x_marks: tuple[float, ...]
    """Every tick of x, the thinned ones, too."""
    x_label: Label | None
    y_label: Label | None
    grid_x: bool
    grid_y: bool
    px: float


def lay_out(chart: Chart, rect: QRectF, px: float) -> Sides:
    """Lay out a picture in a rectangle; ``px`` is the size of its type."""
    metrics = QFontMetricsF(theme.letters(px))
    line = metrics.height()
    y_most = max(2, int(rect.height() / (line * 2.6)))
    rows = _row_names(chart.y, y_most, rect, metrics)
    y_words = max((_advance(words, metrics) for _at, words in rows), default=0.0)
    left = rect.left() + (y_words + px * 0.7 if rows else px * 0.3)
    top = rect.top() + (line * 1.65 if chart.y.label else line * 0.6)
    x_label_height = line * 1.3 if chart.x.label else 0.0
    right = rect.right() - px * 0.9
    right -= _overhang(chart.x, right - left, metrics, px)
    plot_width = max(rect.width() * LEAST_PLOT, right - left)
    x_texts = x_words(chart.x, plot_width, metrics, px)
    x_lines = max((len(text.split("\n")) for _at, text in x_texts), default=0)
    foot = line * 0.55 + x_lines * line + x_label_height
    plot_height = max(rect.height() * LEAST_PLOT, rect.bottom() - foot - top)
    # On whole pixels: sides are sharp, and a clip along them is quick.
    plot = QRectF(QRectF(left, top, plot_width, plot_height).toRect())
    return Sides(
        plot,
        _x_labels(chart.x, x_texts, plot, rect, metrics, px),
        _y_labels(chart.y, rows, plot, rect, metrics),
        _all_marks(chart.x, plot, px),
        _side_label(chart.x.label, plot.center().x(), plot.bottom() + line * (0.8 + x_lines), rect, metrics),
        _side_label(chart.y.label, rect.left(), rect.top(), rect, metrics),
        is_scale(chart.x),
        is_scale(chart.y),
        px,
    )


def _row_names(axis: Axis, most: int, rect: QRectF, metrics: QFontMetricsF) -> list[Tick]:
    """The words beside the plot: a long name takes two lines where rows are so high, else it is shortened."""
    width, line, ticks = rect.width() * ROW_NAMES_SHARE, metrics.height(), ticks_of(axis, most)
    rows = 0.0 if is_scale(axis) else _rows_high(axis)
    wraps = rows > 0 and (rect.height() - AROUND_NAMED * line) / rows >= 2 * NAMED_LINES * line
    fits = partial(wrapped, most=2) if wraps else shortened
    return [(at, fits(words, width, metrics)) for at, words in ticks]


def _rows_high(axis: Axis) -> float:
    """How many rows an axis of named ones is high; 0 where there is none, or one."""
    places = sorted(at for at, _words in axis.ticks)
    lower, upper = bounds(axis)
    nearest = min((later - earlier for earlier, later in pairwise(places)), default=0.0)
    return (upper - lower) / nearest if nearest else 0.0


def _advance(words: str, metrics: QFontMetricsF) -> float:
    """How wide words are, in lines of which each is one."""
    return max(metrics.horizontalAdvance(each) for each in words.split("\n"))


def screen_height(chart: Chart, px: float) -> float:
    """How high a picture is on a screen at least, where it can be scrolled: every row is named and apart."""
    least = max(LEAST_SCREEN * px, least_height(chart, px))
    rows = 0.0 if is_scale(chart.y) else _rows_high(chart.y)
    line = QFontMetricsF(theme.letters(px)).height()
    return max(least, (rows * NAMED_LINES + AROUND_NAMED) * line) if rows else least


def least_height(chart: Chart, px: float) -> float:
    """How high a picture is with all words of its rows; 0 where rows ask for nothing."""
    line = QFontMetricsF(theme.letters(px)).height()
    return (len(chart.y.ticks) * chart.row_lines + AROUND_LINES) * line if chart.row_lines else 0.0


def x_at(axis: Axis, value: Number, plot: QRectF) -> Number:
    """Where a value of the x axis lies, or each of many."""
    return plot.left() + plot.width() * share(axis, value)


def y_at(axis: Axis, value: Number, plot: QRectF) -> Number:
    """The same of the y axis; large values are at the top unless it is upside down."""
    part = share(axis, value)
    return plot.top() + plot.height() * (part if axis.upside_down else 1 - part)


def _overhang(axis: Axis, width: float, metrics: QFontMetricsF, px: float) -> float:
    """Room at the right for half of the last words, where they stand at the very end."""
    ticks = ticks_of(axis, max(2, int(width / (px * 5))))
    if not ticks or len(ticks) > MOST_WRAPPED:
        return 0.0
    at, words = ticks[-1]
    beyond = metrics.horizontalAdvance(words) / 2 - (1 - share(axis, at)) * width
    return max(0.0, min(beyond, px * 3))


def _x_labels(
    axis: Axis, texts: list[Tick], plot: QRectF, rect: QRectF, metrics: QFontMetricsF, px: float
) -> tuple[Label, ...]:
    """Words centred under their ticks, kept within the picture, every n-th where all would meet."""
    top, labels = plot.bottom() + metrics.height() * 0.55, []
    for at, text in texts:
        height, middle = (text.count("\n") + 1) * metrics.height(), x_at(axis, at, plot)
        labels.append(Label(middle, _centred(middle, top, _advance(text, metrics), height, rect), text))
    every = thinned([(each.box.left(), each.box.right()) for each in labels], px * 0.6)
    return tuple(labels[::every])


def _y_labels(
    axis: Axis, rows: list[Tick], plot: QRectF, rect: QRectF, metrics: QFontMetricsF
) -> tuple[Label, ...]:
    width, labels = plot.left() - metrics.height() * 0.4 - rect.left(), []
    for at, text in rows:
        middle, height = y_at(axis, at, plot), (text.count("\n") + 1) * metrics.height()
        labels.append(Label(middle, QRectF(rect.left(), middle - height / 2, width, height), text))
    every = thinned([(each.box.top(), each.box.bottom()) for each in labels], 0.0)
    return tuple(labels[::every])


def _all_marks(axis: Axis, plot: QRectF, px: float) -> tuple[float, ...]:
    """Where every tick of x is, unless they come so close that they would be a grey bar."""
    places = [x_at(axis, at, plot) for at, _words in axis.ticks if 0 <= share(axis, at) <= 1]
    if len(places) > 1 and plot.width() / len(places) < px * 0.5:
        return ()
    return tuple(places)


def _side_label(words: str, middle: float, top: float, rect: QRectF, metrics: QFontMetricsF) -> Label | None:
    """The name of an axis; that of y stands level above its axis, where nobody has to turn the head."""
    if not words:
        return None
    text = shortened(words, rect.width(), metrics)
    return Label(middle, _centred(middle, top, metrics.horizontalAdvance(text), metrics.height(), rect), text)


def _centred(middle: float, top: float, width: float, height: float, rect: QRectF) -> QRectF:
    """A box about a middle, moved so far that it stays within the picture."""
    left = max(rect.left(), min(middle - width / 2, rect.right() - width))
    return QRectF(left, top, width, height)


def words_within(chart: Chart, sides: Sides) -> list[Label]:
    """The words in the picture, beside their places and within the plot, moved so that none meets another.

    Words for which there is no room are left out; the table has their figures.
    """
    metrics, placed = QFontMetricsF(theme.letters(sides.px)), list[Label]()
    pad = sides.px * 0.4
    for words in chart.words:
        if words.together:
            continue
        beside = _beside(chart, sides, words, metrics, pad)
        box, line = beside.box, metrics.height()
        box.moveLeft(max(sides.plot.left() + 2, min(box.left(), sides.plot.right() - box.width() - 2)))
        for move in (0, -1, 1, -2, 2):
            moved = box.translated(0, move * line * 0.55)
            moved.moveTop(max(sides.plot.top(), min(moved.top(), sides.plot.bottom() - line)))
            if not any(moved.intersects(other.box) for other in placed):
                placed.append(Label(beside.at, moved, words.text))
                break
    together = _together(chart, sides, metrics)
    apart = [label.box.adjusted(-pad / 2, 0, pad / 2, 0) for label in together]
    in_rows = sorted(apart, key=lambda box: (box.y(), box.x()))
    if any(one.intersects(other) for one, other in pairwise(in_rows)):
        return placed
    if any(box.intersects(other.box) for box in apart for other in placed):
        return placed
    return placed + together


def _together(chart: Chart, sides: Sides, metrics: QFontMetricsF) -> list[Label]:
    """Words that are shown at their places or not at all, none where rows are too low for them."""
    rows = len(chart.y.ticks)
    if chart.row_lines and sides.plot.height() < rows * chart.row_lines * metrics.height() * 0.97:
        return []
    return [_beside(chart, sides, words, metrics) for words in chart.words if words.together]


def _beside(chart: Chart, sides: Sides, words: ChartWords, metrics: QFontMetricsF, pad: float = 0.0) -> Label:
    """Words at their place, or so far beside it."""
    x, y = x_at(chart.x, words.x, sides.plot), y_at(chart.y, words.y, sides.plot)
    width, line, left_of = metrics.horizontalAdvance(words.text), metrics.height(), _LEFT_OF[words.anchor]
    left = x + pad * (1 - 2 * left_of) - width * left_of
    return Label(x, QRectF(left, y - line / 2, width, line), words.text)
