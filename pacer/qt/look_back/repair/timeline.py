"""The repair's timeline: visits to scale, whose borders are dragged or moved with the keyboard."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from pacer.frames.after_school.timeline import START, Timeline, line_words
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import draw_setting
from pacer.qt.look_back.repair.layout import HEIGHT, LineLayout, TimeMark, line_layout
from pacer.text import _

SNAP_MS, STEP_MS, FINE_MS = 5_000, 15_000, 1_000
GRAB_PX = 9.0
_KNOB = 5.0


class RepairTimeline(QWidget):
    """Paints a Timeline and lets its borders be moved.

    ``border_moved`` carries the visit whose end was moved (START: the begin of the lesson) and the lesson
    time in ms, once, when the mouse lets go, Enter is pressed or the focus leaves. ``previewed`` comes with
    every change before that, and with None for a time when there is none any more. ``picked`` carries a visit
    and a time within it that was clicked.
    """

    border_moved = Signal(int, object)
    previewed = Signal(int, object)
    picked = Signal(int, object)

    def __init__(self) -> None:
        super().__init__()
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setMouseTracking(True)
        self.setFixedHeight(HEIGHT)
        self.setToolTip(_("Drag a border. With the keyboard: Up and Down choose it, Left and Right move it."))
        self._line = Timeline()
        self._fixed = False
        self.current = -1  # the border that the keyboard moves, by its place on the line
        self._pending: tuple[int, int] | None = None  # border and lesson time, not said yet
        self._grab: list[int] = []  # the borders that lie under the mouse since it was pressed
        self._grab_x, self._grab_per_ms = 0.0, 1.0
        self._say()

    # --- what is shown

    def show_line(self, line: Timeline, *, fixed: bool = False) -> None:
        """Show a line. What is being moved is given up unless the line is the same."""
        if (line, fixed) == (self._line, self._fixed):
            return
        self._line, self._fixed = line, fixed
        self.current = min(self.current, len(line.borders) - 1)
        if self.hasFocus() and self.current < 0 and line.borders:
            self.current = 0
        self._grab = []
        self.give_up()
        self._say()
        self.update()

    @property
    def line(self) -> Timeline:
        """The line as it is shown, with the border that is being moved."""
        if self._pending is None:
            return self._line
        border, t_ms = self._pending
        return self._line.with_border(self._line.borders[border].visit, t_ms)

    @property
    def moving(self) -> tuple[int, int] | None:
        """The visit whose end is being moved, and its lesson time in ms; None where nothing is."""
        return (
            None if self._pending is None else (self._line.borders[self._pending[0]].visit, self._pending[1])
        )

    def layout_now(self) -> LineLayout:
        return line_layout(self.line, QRectF(self.rect()), self.current)

    def sizeHint(self) -> QSize:
        return QSize(600, HEIGHT)

    def _say(self) -> None:
        """Set the words for screen readers; with the keyboard here, the selected border is the name."""
        line = self.line
        self.setAccessibleDescription(line_words(line))
        if self.hasFocus() and 0 <= self.current < len(line.borders):
            self.setAccessibleName(line.border_words(self.current))
        else:
            self.setAccessibleName(_("Timeline of the lesson"))

    # --- moving

    def _choose(self, border: int) -> None:
        """Select another border; one that is being moved is committed first."""
        if border != self.current:
            self._commit()
        self.current = min(border, len(self._line.borders) - 1)
        self._say()
        self.update()

    def _move(self, border: int, t_ms: int) -> None:
        """Show a border at another time, kept within its range; nothing is committed yet."""
        own = self._line.borders[border]
        t_ms = max(own.room[0], min(t_ms, own.room[1]))
        pending = None if t_ms == own.t_ms else (border, t_ms)
        if pending == self._pending:
            return
        self._pending = pending
        self.previewed.emit(own.visit, None if pending is None else t_ms)
        self._say()
        self.update()

    def give_up(self) -> None:
        """Put a border that is being moved back where it was."""
        if self._pending is not None:
            self._pending = None
            self.previewed.emit(START, None)
            self._say()
            self.update()

    def _commit(self) -> None:
        """Emit the border that was moved; the old line is shown until the owner shows another."""
        if self._pending is not None:
            border, t_ms = self._pending
            visit = self._line.borders[border].visit
            self.give_up()
            self.border_moved.emit(visit, t_ms)

    # --- keyboard

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key == Qt.Key.Key_Escape and (self._pending is not None or self._grab):
            self._grab = []
            self.give_up()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._commit()
        elif key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            step = -1 if key == Qt.Key.Key_Up else 1
            if 0 <= self.current + step < len(self._line.borders):
                self._choose(self.current + step)
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right) and not self._grab:
            step = FINE_MS if event.modifiers() & Qt.KeyboardModifier.ShiftModifier else STEP_MS
            self._step(-step if key == Qt.Key.Key_Left else step)
        else:
            super().keyPressEvent(event)

    def _step(self, ms: int) -> None:
        if not self._fixed and 0 <= self.current < len(self._line.borders):
            self._move(self.current, self.line.borders[self.current].t_ms + ms)

    def focusInEvent(self, event: QFocusEvent) -> None:
        """One place for Tab, whatever the number of borders: what comes after it stays within reach."""
        if self.current < 0:
            self.current = min(0, len(self._line.borders) - 1)
        self._say()
        self.update()
        super().focusInEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        # A mouse that still holds a border has not let go of it.
        if not self._grab:
            self._commit()
        self._say()
        self.update()
        super().focusOutEvent(event)

    # --- mouse

    def _under(self, x: float) -> list[int]:
        """The borders nearest to a place, if they are near; several where no time lies between them."""
        borders = self.layout_now().borders
        near = [(abs(mark.x - x), at) for at, mark in enumerate(borders)]
        best = min(near, default=(GRAB_PX + 1, -1))[0]
        if best > GRAB_PX:
            return []
        x_best = next(borders[at].x for away, at in near if away == best)
        return [at for at, mark in enumerate(borders) if abs(mark.x - x_best) < 0.5]

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton:
            event.ignore()
            return
        x = event.position().x()
        borders = self._under(x)
        if borders:
            self._choose(borders[0])
            # Saying what was moved before may have moved this border, too.
            self._grab, self._grab_x = ([] if self._fixed else self._under(x)), x
            # The scale itself may change while the begin is dragged: the mouse goes by that of its press.
            self._grab_per_ms = self.layout_now().per_ms
            return
        layout = self.layout_now()
        t_ms = self._snapped(layout.t_ms(x))
        for at, piece in enumerate(self._line.pieces):
            is_there = layout.pieces[at].box.contains(event.position())
            if not self._fixed and is_there and piece.begin_ms < t_ms < piece.end_ms:
                self.picked.emit(at, t_ms)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        x = event.position().x()
        if not self._grab:
            may_grab = self._under(x) and not self._fixed
            self.setCursor(Qt.CursorShape.SplitHCursor if may_grab else Qt.CursorShape.ArrowCursor)
            return
        away = x - self._grab_x
        if abs(away) < 1:
            self.give_up()
            return
        if len(self._grab) > 1:
            # Where several lie on one another, the one that can go that way is meant.
            self._grab = [self._grab[0] if away < 0 else self._grab[-1]]
            self._choose(self._grab[0])
        own = self._line.borders[self._grab[0]].t_ms
        self._move(self._grab[0], self._snapped(own + round(away / self._grab_per_ms)))

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton and self._grab:
            self._grab = []
            self._commit()

    def _snapped(self, t_ms: int) -> int:
        """The nearest lesson time at which the classroom's clock shows five seconds, or ten."""
        clock = self._line.clock_ms + t_ms
        return (clock + SNAP_MS // 2) // SNAP_MS * SNAP_MS - self._line.clock_ms

    # --- painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            current = self.current if self.hasFocus() or self._grab else -1
            paint_line(painter, self.line, self.layout_now(), current)


def paint_line(painter: QPainter, line: Timeline, layout: LineLayout, current: int) -> None:
    """Paint visits, borders as they are now and, dashed, those that were elsewhere before."""
    for at, piece in enumerate(layout.pieces):
        painter.fillRect(piece.box, _tone(at))
    painter.setPen(QPen(theme.OUTLINE, 1))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(layout.band)
    for mark in layout.was:
        _dashed(painter, mark, layout.band)
    for at, piece in enumerate(layout.pieces):
        if piece.title is not None:
            box, words = piece.title
            middle = QRectF(box.center().x() - words.width / 2, box.top(), words.width, words.height)
            painter.fillRect(middle.adjusted(-2, 0, 2, 0), _tone(at))  # no line through a title
            draw_setting(painter, box, words, theme.DESK_INK, "centre")
    if layout.planned is not None and layout.planned.label is not None:
        draw_setting(painter, *layout.planned.label, theme.SECONDARY)
    # The one in hand is painted last, over those that lie on it.
    for at in sorted(range(len(layout.borders)), key=lambda each: each == current):
        _border(painter, layout.borders[at], layout.band, line.borders[at].is_mended, at == current)


def _tone(at: int) -> QColor:
    return theme.CLOSING if at % 2 == 0 else theme.DESK_PAPER


def _dashed(painter: QPainter, mark: TimeMark, band: QRectF) -> None:
    pen = QPen(theme.SECONDARY, 1.2)
    pen.setDashPattern([4, 3])
    painter.setPen(pen)
    painter.drawLine(QPointF(mark.x, band.top() - 5), QPointF(mark.x, band.bottom() + 5))
    if mark.label is not None:
        draw_setting(painter, *mark.label, theme.SECONDARY)


def _border(painter: QPainter, mark: TimeMark, band: QRectF, mended: bool, current: bool) -> None:
    colour = theme.SQUARE if mended else theme.DESK_INK
    painter.setPen(QPen(colour, 4 if current else 3 if mended else 2))
    painter.drawLine(QPointF(mark.x, band.top() - 4), QPointF(mark.x, band.bottom() + 4))
    knob = QPointF(mark.x, band.top() - 4)
    painter.setPen(QPen(colour, 2))
    # Full: mended. Ring: as pressed.
    painter.setBrush(colour if mended else theme.DESK_PAPER)
    painter.drawEllipse(knob, _KNOB, _KNOB)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if current:
        painter.setPen(QPen(theme.DESK_INK, 2))
        painter.drawEllipse(knob, _KNOB + 4, _KNOB + 4)
    if mark.label is None:
        return
    draw_setting(painter, *mark.label, theme.DESK_INK)
    if current:
        box = mark.label[0]
        painter.setPen(QPen(theme.DESK_INK, 2))
        painter.drawLine(box.bottomLeft(), box.bottomRight())
