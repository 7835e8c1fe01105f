"""A face of the Wall as a picture, at the room's size, with a box around what can't be read or shown."""

from collections.abc import Collection, Iterator

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QImage, QPainter, QPen

from pacer.frames.wall import PictureKey, WallFrame
from pacer.qt.kit import theme
from pacer.qt.paper.picture import draw_screen
from pacer.qt.wall.capitals import capital_shares
from pacer.qt.wall.layout import wall_layout
from pacer.qt.wall.marks import Picture, TextBlock, Words
from pacer.qt.wall.pictures import Pictures

BOX_SHARE = 0.008  # of the picture's height: the line around what is marked
# Which part of the Wall's layout shows a field of the outline.
_PARTS = {
    "class_line": "line", "second_line": "second", "problem": "problem", "burst": "line",
    "share_prompt": "line", "move_words": "title", "title": "title",
}  # fmt: skip


def painted(
    frame: WallFrame,
    size: tuple[int, int],
    pictures: Pictures,
    fields: Collection[str] = (),
    missing: Collection[PictureKey] = (),
) -> QImage:
    """The class's screen of a size in pixels with a frame; boxes mark these ``fields`` and ``missing``."""
    image = draw_screen(frame, *size, pictures=pictures)
    if frame.shape == "full" and frame.face not in ("strip", "off") and (fields or missing):
        thick = max(3, round(size[1] * BOX_SHARE))
        with QPainter(image) as painter:
            painter.setPen(QPen(theme.INK, thick, Qt.PenStyle.DashLine))
            for box in marked(frame, size, fields, missing):
                painter.drawRect(box.adjusted(-thick, -thick, thick, thick))
    return image


def marked(
    frame: WallFrame,
    size: tuple[int, int],
    fields: Collection[str] = (),
    missing: Collection[PictureKey] = (),
) -> tuple[QRect, ...]:
    """The places on the Wall of these fields' words, and of pictures that are not there."""
    return tuple(_boxes(frame, size, {_PARTS[field] for field in fields if field in _PARTS}, missing))


def is_title_cut(frame: WallFrame, size: tuple[int, int]) -> bool:
    """Whether the class sees only the beginning of the title."""
    return capital_shares(frame, size).get("title", 1.0) == 0.0


def _boxes(
    frame: WallFrame, size: tuple[int, int], parts: set[str], missing: Collection[PictureKey]
) -> Iterator[QRect]:
    together: dict[str, QRect] = {}
    for mark in wall_layout(frame, QSize(*size)).marks:
        words = mark.words if isinstance(mark, TextBlock) else (mark,) if isinstance(mark, Words) else ()
        for each in words:
            part = each.part.partition(" ")[0]
            if part in parts:
                together[part] = together.get(part, QRect()).united(each.box.rect())
        if isinstance(mark, Picture) and mark.key in missing:
            yield mark.box.rect()
    yield from together.values()
