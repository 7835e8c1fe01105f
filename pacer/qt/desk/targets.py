"""Large targets on the Desk for a teacher without a keyboard: each presses the key of its command."""

from PySide6.QtCore import QElapsedTimer, QEvent, QObject, QPoint, QRect, QRectF, QTimer, Signal
from PySide6.QtWidgets import QWidget

from pacer.commands import COMMANDS, KEYS, SAME_KEY_GUARD_MS
from pacer.qt.kit import theme
from pacer.qt.kit.target import GAP, Target, least_height, press_key, same_text
from pacer.text import _

SHOWN_MS = 6000  # after the last movement: time to read five words and reach one of them
ROWS, COLUMNS = 3, 6
# Row, column, rows, columns. Close lies away from Next: who presses that once too often at the end stays.
PLACES = {
    "start": (0, 0, 3, 6), "next": (0, 0, 1, 4), "add": (0, 4, 1, 2),
    "pause": (1, 0, 1, 3), "go-on": (1, 0, 1, 3),
    "burst": (1, 3, 1, 3), "eyes-back": (1, 3, 1, 3), "settled": (1, 3, 1, 3),
    "missed": (1, 3, 1, 3), "keep": (1, 3, 1, 3),
    "undo": (2, 0, 1, 3), "end": (2, 3, 1, 3), "bell-now": (2, 3, 1, 3), "close": (1, 3, 2, 3),
}  # fmt: skip
# What has no line in the table of keys while a lesson runs.
BEFORE_AND_AFTER = {"start": "Space", "close": "Return"}
_USED = (QEvent.Type.MouseMove, QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonRelease)


def key_of(command: str) -> str:
    """The name of the key that presses a command."""
    return BEFORE_AND_AFTER.get(command) or next(
        key.names[0] for key in KEYS if any(tried == command for tried, _argument in key.tries)
    )


def words_of(command: str) -> str:
    """What the target of a command says."""
    # A re-cut is kept by its key alone: on a target these are the groups, of which one is left out.
    # What comes next may be a phase, a visit or a swap.
    words = {"close": _("Close the lesson"), "keep": _("One group fewer today"), "next": _("Next")}
    words["missed"] = _("This group is out")  # the table's words are cut in half of a narrow Desk
    return words.get(command) or _(COMMANDS[command].title)


def target_boxes(offers: tuple[str, ...], foot: QRectF) -> dict[str, QRect]:
    """Where the target of each command lies in the place that is left free for them."""
    wide, high = (foot.width() + GAP) / COLUMNS, (foot.height() + GAP) / ROWS
    boxes = {}
    for command in offers:
        row, column, rows, columns = PLACES[command]
        if command == "undo" and "close" in offers:
            row, rows = 1, 2  # beside it, and as high
        left, top = foot.left() + column * wide, foot.top() + row * high
        box = QRectF(left, top, columns * wide - GAP, rows * high - GAP)
        boxes[command] = box.toRect()
    return boxes


class Targets(QObject):
    """The targets over a Desk: there while its mouse moves or a finger comes, and for some seconds after.

    What is pressed goes to the Desk as its key does, and through the same gates. ``changed`` comes when they
    appear or go; whoever lays out the Desk then calls ``place``.
    """

    changed = Signal()

    def __init__(self, desk: QWidget) -> None:
        super().__init__(desk)
        self._desk = desk
        self._made: dict[str, Target] = {}
        self._there_since: dict[str, int] = {}
        self._seen_at: QPoint | None = None
        self._clock = QElapsedTimer()
        self._clock.start()
        self._timer = QTimer()
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._on_time)
        self.are_shown = False

    @property
    def foot(self) -> float:
        """The height that the Desk keeps free for them, in pixels; 0 while they are away."""
        return ROWS * (least_height(self._desk) + GAP) - GAP if self.are_shown else 0

    def moved_to(self, at: QPoint) -> None:
        """The mouse is there; where it is first seen it may only lie."""
        known, self._seen_at = self._seen_at, at
        if known is not None and known != at:
            self.appear()

    def appear(self) -> None:
        """Show them, at once and without any movement, for a while."""
        self._timer.start(SHOWN_MS)
        self._show(shown=True)

    def vanish(self) -> None:
        """Take them away."""
        self._timer.stop()
        self._seen_at = None
        self._show(shown=False)

    def place(self, offers: tuple[str, ...], foot: QRectF) -> None:
        """Put those of some commands where the Desk has kept room for them, and take the others away."""
        boxes = target_boxes(offers, foot) if self.are_shown else {}
        for command, target in self._made.items():
            if command not in boxes:
                self._there_since.pop(command, None)
                target.hide()
        shown = []
        for command, box in boxes.items():
            target = self._made.get(command) or self._make(command)
            target.setGeometry(box)
            self._there_since.setdefault(command, self._clock.elapsed())
            shown.append(target)
        same_text(shown)
        for target in shown:
            target.show()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """A mouse or a finger on a target: they stay."""
        if event.type() in _USED and self.are_shown:
            self._timer.start(SHOWN_MS)
        return super().eventFilter(watched, event)

    def _make(self, command: str) -> Target:
        target = self._made[command] = Target(self._desk, theme.DESK_PAPER, theme.DESK_INK)
        target.setText(words_of(command))
        target.setProperty("command", command)
        target.installEventFilter(self)
        target.clicked.connect(self._on_clicked)
        return target

    def _show(self, *, shown: bool) -> None:
        if shown != self.are_shown:
            self.are_shown = shown
            self.changed.emit()

    def _on_time(self) -> None:
        if any(target.isDown() for target in self._made.values()):
            self._timer.start(SHOWN_MS)
        else:
            self.vanish()

    def _on_clicked(self) -> None:
        """Press its key; but not where it has only just come under the finger that pressed something else."""
        target = self.sender()
        assert isinstance(target, Target)
        command = str(target.property("command"))
        if self._clock.elapsed() - self._there_since.get(command, 0) >= SAME_KEY_GUARD_MS:
            press_key(self._desk, key_of(command), target.when_ms)
