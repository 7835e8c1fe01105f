"""The test card on the class's screen: the Wall's own marks, each with its size as the back row sees it."""

from dataclasses import dataclass, replace
from math import floor

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from pacer.frames.back_row import ON_CARD, BackRowCard, SizeRow, WallPart, sample_frame
from pacer.frames.wall import FOURTHS, WallLook
from pacer.plan.sizes import credible_height_mm
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import LINE_SHARE, Setting, draw_cell, draw_setting, fit, whole_words
from pacer.qt.screens.present import ScreenInfo, find_screen
from pacer.qt.wall.layout import unit_of, wall_layout
from pacer.qt.wall.marks import Box, Digit, Mark, Square, WallLayout, Words, around
from pacer.qt.wall.painter import paint_square
from pacer.qt.wall.strip import strip_box
from pacer.text import _

MARGIN = 0.045  # over the picture's height
SAMPLES = 0.47  # of the width for the Wall's marks, the rest for their sizes
LEAST_NOTE = 0.03  # over the picture's height: where the Wall's words are huge, their sizes are set smaller
GAP = 0.03  # of the width, between marks and sizes
HEAD, FOOT = 0.4, 0.5  # of the height that the marks leave
FIVE = 5


@dataclass(frozen=True)
class PlacedRow:
    """A row of the card in pixels: marks just as large as on the Wall, and beside them their size."""

    row: SizeRow
    marks: tuple[Mark, ...]
    note: Words


@dataclass(frozen=True)
class BackRowLayout:
    """Where everything on the card lies."""

    head: Words
    rows: tuple[PlacedRow, ...]
    foot: Words


def reported_height_mm(screen: ScreenInfo) -> int | None:
    """The height of a screen's picture as the system reports it, if it can be believed."""
    return credible_height_mm(*screen.millimetres, *screen.pixels)


def shares_on(size: QSize, look: WallLook) -> dict[WallPart, float]:
    """How high each part of the Wall is over the picture's height, from the layouts of Wall and strip."""
    height = size.height()
    full = wall_layout(sample_frame(look), size)
    box = strip_box(look.edge, size.width(), height)
    strip = wall_layout(sample_frame(look, strip=True), QSize(box.width, box.height))
    words = {part: mark.setting.cap_height for part, mark in full.words.items()}
    heights: dict[WallPart, float] = {}
    if full.digits:
        heights["digits"] = full.digits[0].px * theme.CAP_SHARE
    if full.squares:
        heights["squares"] = full.squares[0].box.height
    heights |= {"title": words["title"], "line": words["line"], "least": min(words.values())}
    if strip.digits:
        heights["strip_digits"] = strip.digits[0].px * theme.CAP_SHARE
    if "title" in strip.words:
        heights["strip_title"] = strip.words["title"].setting.cap_height
    return {part: part_height / height for part, part_height in heights.items()}


def card_layout(card: BackRowCard, size: QSize) -> BackRowLayout:
    """Lay the card out for a picture of a size in logical pixels."""
    width, height = size.width(), size.height()
    unit = unit_of(width, height)
    wall = wall_layout(card.frame, size)
    margin = MARGIN * unit
    inner = width - 2 * margin
    px = wall.words["next"].setting.px
    line, least = px * LINE_SHARE, max(1, floor(LEAST_NOTE * unit))
    shown = [row for row in card.rows if row.part in ON_CARD]
    samples = [_sample(row, wall, inner * SAMPLES) for row in shown]
    highs = [_height(marks) for marks in samples]
    # The marks are as large as they are on the Wall; the words about them take what that leaves.
    spare = max(0.0, height - 2 * margin - sum(highs))
    head = fit(card.head, inner, min(line, HEAD * spare), px, least, theme.SEMIBOLD)
    foot = fit(card.foot, inner, min(2 * line, FOOT * spare), px, least, theme.SEMIBOLD, 2)
    spare -= head.height + foot.height
    # A row is as high as a line of its note, where there is room for that.
    wanted = [max(high, line) for high in highs]
    if sum(wanted) - sum(highs) > spare / 2:
        wanted = highs
    air = max(0.0, spare - sum(wanted) + sum(highs)) / (len(shown) + 1)
    y = margin + head.height + air
    placed = []
    for row, marks, high in zip(shown, samples, wanted, strict=True):
        placed.append(_placed(row, marks, (margin, y, inner, high), (px, least)))
        y += high + air
    return BackRowLayout(
        Words(around(margin, margin, inner, head.height), head, part="head"),
        tuple(placed),
        Words(around(margin, height - margin - foot.height, inner, foot.height), foot, part="foot"),
    )


def _placed(
    row: SizeRow, marks: tuple[Mark, ...], place: tuple[float, float, float, float], sizes: tuple[int, int]
) -> PlacedRow:
    x, y, width, height = place
    moved = _moved(marks, x, y + (height - _height(marks)) / 2)
    weight = theme.BOLD if row.verdict == "too small" else theme.REGULAR
    room = width * (1 - SAMPLES - GAP)
    note = fit(row.note, room, height, *sizes, weight)
    left = x + width * (SAMPLES + GAP)
    box = around(left, y + (height - note.height) / 2, room, note.height)
    return PlacedRow(row, moved, Words(box, note, part=row.part))


def _sample(row: SizeRow, wall: WallLayout, width: float) -> tuple[Mark, ...]:
    """Some of the Wall's marks of a row, as many as a width holds. Words say what they are, at their size."""
    if row.part == "digits":
        if all(_within(mark, wall.digits[0], width) for mark in wall.digits):
            return wall.digits
        minutes = "".join(mark.char for mark in wall.digits).index(":")
        return tuple(mark for mark in wall.digits[:minutes] if _within(mark, wall.digits[0], width))
    if row.part == "squares":
        squares = [mark for mark in wall.squares[:FIVE] if _within(mark, wall.squares[0], width)]
        # The last one is going, as the leaving square of the Wall does.
        return (*squares[:-1], replace(squares[-1], fourths=FOURTHS - 1))
    words = wall.words["next" if row.part == "least" else row.part]
    setting = _shortened(row.heading, words.setting, width)
    return (Words(around(0, 0, setting.width, setting.height), setting, part=row.part),)


def _within(mark: Digit | Square, first: Digit | Square, width: float) -> bool:
    return mark is first or mark.box.x + mark.box.width - first.box.x <= width


def _shortened(text: str, like: Setting, width: float) -> Setting:
    """As many first words of a text as a width holds, set like another text."""
    words = whole_words(text, width, like.px, like.weight, trimmed="")
    return words or fit(text.split()[0], width, like.px * 2, like.px, like.px, like.weight)


def _height(marks: tuple[Mark, ...]) -> float:
    return max(mark.setting.height if isinstance(mark, Words) else float(mark.box.height) for mark in marks)


def _moved(marks: tuple[Mark, ...], x: float, y: float) -> tuple[Mark, ...]:
    """The marks with the upper left one at a place, their sizes kept."""
    left, top = floor(x) - marks[0].box.x, floor(y) - marks[0].box.y
    return tuple(replace(mark, box=Box(mark.box.x + left, mark.box.y + top, *mark.box[2:])) for mark in marks)


class BackRowCardWindow(QWidget):
    """Fills the class's screen until Enter or Escape. Nothing private is on it. ``closed`` comes then."""

    closed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowFlags(Qt.WindowType.Window | Qt.WindowType.FramelessWindowHint)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setAttribute(Qt.WidgetAttribute.WA_QuitOnClose, False)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setWindowTitle(_("Test card"))
        self.setAccessibleName(_("Test card"))
        self.card: BackRowCard | None = None

    def show_on(self, screen: ScreenInfo, card: BackRowCard) -> bool:
        """Show the card on a screen and take the keyboard. False when that screen is gone."""
        live = find_screen(screen)
        if live is None:
            return False
        self.show_card(card)
        if not self.isVisible():
            # Else it would come back where it filled a screen before.
            self.setWindowState(Qt.WindowState.WindowNoState)
        self.setScreen(live)
        self.setGeometry(screen.rect)
        self.setWindowState(Qt.WindowState.WindowFullScreen)
        self.show()
        self.activateWindow()
        self.setFocus()
        return True

    def show_card(self, card: BackRowCard) -> None:
        if card != self.card:
            self.card = card
            shown = [f"{row.heading}: {row.note}" for row in card.rows if row.part in ON_CARD]
            self.setAccessibleDescription(". ".join((card.head, *shown, card.foot)))
            self.update()

    def put_away(self) -> None:
        if self.isVisible():
            self.hide()
            self.closed.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter or Escape closes the card; no other key does anything."""
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Escape):
            self.put_away()

    def paintEvent(self, _event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.fillRect(self.rect(), theme.PAPER)
            if self.card is not None and self.width() > 1 and self.height() > 1:
                paint_card(painter, card_layout(self.card, self.size()))


def paint_card(painter: QPainter, layout: BackRowLayout) -> None:
    """Paint a card that was laid out; the background is there already."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    for words in (layout.head, layout.foot):
        draw_setting(painter, words.box.rect_f(), words.setting, theme.INK)
    for row in layout.rows:
        for mark in row.marks:
            _paint_mark(painter, mark)
        draw_setting(painter, row.note.box.rect_f(), row.note.setting, theme.INK)


def _paint_mark(painter: QPainter, mark: Mark) -> None:
    if isinstance(mark, Words):
        draw_setting(painter, mark.box.rect_f(), mark.setting, theme.INK)
    elif isinstance(mark, Digit):
        draw_cell(painter, mark.box.rect_f(), mark.char, mark.px, theme.BOLD, theme.INK)
    elif isinstance(mark, Square):
        paint_square(painter, mark)
