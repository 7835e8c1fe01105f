"""Which part of the Desk changed between two frames, as few rectangles to paint again."""

from PySide6.QtCore import QRect, QRectF, QSize
from PySide6.QtGui import QRegion

from pacer.frames.desk import DeskFrame
from pacer.qt.desk.beat import beat_place
from pacer.qt.desk.layout import DeskLayout, desk_layout
from pacer.qt.desk.marks import reach
from pacer.qt.desk.tapes import changed_column_area


def changed_desk_area(old: DeskFrame, new: DeskFrame, size: QSize, foot: float = 0) -> list[QRect]:
    """The rectangles to paint again, in logical pixels; empty when both look the same.

    ``foot`` is that of ``desk_layout``.
    """
    everything = [QRect(0, 0, size.width(), size.height())]
    if (old.stage, old.level, bool(old.notice)) != (new.stage, new.level, bool(new.notice)):
        return everything
    before, after = desk_layout(old, size, foot), desk_layout(new, size, foot)
    if before.area != after.area or before.tape != after.tape or before.tape_px != after.tape_px:
        return everything
    areas = [reach(box) for box in _changed_texts(before, after)]
    areas += _changed_digits(before, after)
    if old.beat != new.beat:
        areas.append(beat_place(size, after.far.right()))
    if old.tape != new.tape:
        areas += changed_column_area(old.tape, new.tape, after.tape, after.tape_px)
    return areas


def _changed_texts(before: DeskLayout, after: DeskLayout) -> list[QRectF]:
    """Boxes of texts that came, went or changed. Most are the very same objects: the layout keeps them."""
    if before.texts is after.texts:
        return []
    kept = {id(text) for text in before.texts} & {id(text) for text in after.texts}
    old = [text for text in before.texts if id(text) not in kept]
    new = [text for text in after.texts if id(text) not in kept]
    return [text.whole for text in old if text not in new] + [text.whole for text in new if text not in old]


def _changed_digits(before: DeskLayout, after: DeskLayout) -> list[QRect]:
    """Cells of the number whose digit changed; all of them when the number took another shape."""
    if before.number_cells == after.number_cells and len(before.number) == len(after.number):
        pairs = zip(before.number, after.number, strict=True)
        return [now.ink for was, now in pairs if was.char != now.char]
    return [digit.ink for made in (before, after) for digit in made.number]


def rects_of(region: QRegion) -> list[QRect]:
    """The rectangles of a region; those that Qt cut along the edges of others beside them are whole again.

    A region is kept in bands: a tall rectangle beside a low one comes in pieces, each a pass of painting.
    """
    made: list[QRect] = []
    for rect in region:  # type: ignore[attr-defined]  # not in the stubs
        for above in made:
            if (above.x(), above.width(), above.bottom() + 1) == (rect.x(), rect.width(), rect.y()):
                above.setBottom(rect.bottom())
                break
        else:
            made.append(QRect(rect))
    return made
