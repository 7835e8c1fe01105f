"""A text of the Desk with its place, and the pixels that it may touch."""

from dataclasses import dataclass
from functools import cached_property

from PySide6.QtCore import QRect, QRectF

from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import Align, Setting

TICK_SIDE, TICK_ROOM = 0.86, 1.35  # of a box to tick and of what it takes with its gap, over the text's size


@dataclass(frozen=True)
class DeskText:
    """A text of the Desk with its box in pixels. ``tick``: a box to tick before it, and whether that is."""

    part: str
    box: QRectF
    setting: Setting
    quiet: bool = False
    align: Align = "start"
    tick: bool | None = None

    @property
    def tick_box(self) -> QRectF:
        """The box to tick, as high as capitals and a little more, on the first line's baseline."""
        side, baseline = self.setting.px * TICK_SIDE, self.box.top() + self.setting.ascent
        top = baseline - self.setting.cap_height / 2 - side / 2
        return QRectF(self.box.left() - self.setting.px * TICK_ROOM, top, side, side)

    @property
    def whole(self) -> QRectF:
        """All that belongs to it."""
        return self.box if self.tick is None else self.box.united(self.tick_box)

    @cached_property
    def ink(self) -> QRect:
        """The pixels that it may touch; one line in Lexend itself reaches from ascenders to descenders.

        Asked for every text at every second: most of them stay the same objects for minutes.
        """
        setting = self.setting
        plain = len(setting.lines) == 1 and self.tick is None and theme.in_lexend(setting.lines[0])
        if not plain or any("\u00c0" <= char < "\u2000" for char in setting.lines[0]):  # Ä is higher than H
            return reach(self.whole)
        below = 0.06 if setting.lines[0].isupper() else 0.3
        top = self.box.top() + setting.ascent - 0.8 * setting.px
        ink = QRectF(self.box.left(), top, self.box.width(), (0.8 + below) * setting.px)
        return ink.adjusted(-2, 0, 2, 0).toAlignedRect()


def reach(box: QRectF, spill: float = 0) -> QRect:
    """The pixels that a mark may touch: letters of some scripts reach out of their line."""
    more = spill or box.height() / 8
    return box.adjusted(-more, -more, more, more).toAlignedRect()
