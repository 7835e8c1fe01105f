"""Large words that were drawn before they are wanted: pixel for pixel as they would be drawn, or not."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QRect, QSize
from PySide6.QtGui import QImage, QPainter

from pacer.frames.wall import WallFrame
from pacer.qt.wall import ahead as module
from pacer.qt.wall.ahead import DrawnAhead
from pacer.qt.wall.layout import wall_layout
from pacer.qt.wall.marks import Words
from pacer.qt.wall.painter import draw_ahead, paint_wall
from tests.qt.wall.wall_factories import wall

pytestmark = pytest.mark.usefixtures("qapp")

SIZES = [QSize(1024, 768), QSize(1920, 1080)]
FRAMES = {
    "time": wall(title="Guided practice", line="Place each fraction", second_line="Coloca cada fracción"),
    "pause": wall(waiting=True, note="Wait", title="Modeling"),
    "over": wall(10, 0, over=True, note="Finish up"),
    "words": WallFrame("hidden", title="Guided practice", line="Problems 1–4", next_title="Look back"),
    "accents": wall(title="e\u0301\u0302\u0304\u0308\u0303 n\u0303", line="gjpqy"),
}


def painted(frame: WallFrame, size: QSize, ratio: int, ahead: DrawnAhead | None = None) -> QImage:
    image = QImage(size * ratio, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(ratio)
    with QPainter(image) as painter:
        paint_wall(painter, QRect(0, 0, size.width(), size.height()), frame, ahead=ahead)
    return image


def drawn(frame: WallFrame, size: QSize, ratio: float = 1) -> tuple[DrawnAhead, int]:
    """What was drawn ahead of a frame, and in how many steps."""
    ahead = DrawnAhead()
    return ahead, len(list(draw_ahead(frame, size, ratio, ahead)))


@pytest.mark.parametrize("ratio", [1, 2])
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", FRAMES)
def test_words_drawn_ahead_are_pixel_for_pixel_those_drawn_when_wanted(name: str, size: QSize, ratio: int):
    frame = FRAMES[name]
    # The first time that Qt draws a size of letters their edges differ by a few shades from every later time.
    painted(frame, size, ratio)
    ahead, steps = drawn(frame, size, ratio)
    assert steps
    assert painted(frame, size, ratio, ahead) == painted(frame, size, ratio)


def test_the_letters_of_words_drawn_ahead_are_not_drawn_again(monkeypatch):
    from pacer.qt.wall import painter

    frame, size = FRAMES["time"], SIZES[1]
    ahead, steps = drawn(frame, size)
    again: list[str] = []
    monkeypatch.setattr(painter, "_paint_clipped", lambda _painter, words: again.append(words.part))
    painted(frame, size, 1, ahead)
    assert again == []
    assert steps == sum(isinstance(mark, Words) for mark in wall_layout(frame, size).marks)
    painted(replace(frame, title="Another"), size, 1, ahead)
    assert again == ["title"]


def test_only_the_ink_is_kept_of_a_box_that_is_mostly_paper():
    """A short title in a box as wide as the Wall."""
    ahead, _steps = drawn(FRAMES["time"], SIZES[1])
    for (setting, *_rest), packed in ahead._kept.items():
        assert packed.size.width() <= setting.width + 2 * setting.px // 10
        assert packed.size.height() < setting.height


def test_small_words_other_fonts_and_a_broken_scale_are_left_to_be_drawn_when_wanted():
    assert drawn(FRAMES["time"], QSize(480, 270))[1] == 0
    frame = wall(title="الكسور على خط الأعداد", line="שברים על ישר המספרים", next_title="")
    assert drawn(frame, SIZES[1])[1] == 0
    assert drawn(FRAMES["time"], SIZES[1], 1.25)[1] == 0


def test_so_many_texts_are_kept_and_the_oldest_go(monkeypatch):
    monkeypatch.setattr(module, "MOST", 3)
    ahead = DrawnAhead()
    frames = [wall(title=f"Phase {number}", line="", next_title="") for number in range(4)]
    for frame in frames:
        assert list(draw_ahead(frame, SIZES[1], 1, ahead)) == [None]
    assert list(draw_ahead(frames[3], SIZES[1], 1, ahead)) == [], "still there"
    assert list(draw_ahead(frames[0], SIZES[1], 1, ahead)) == [None], "gone, and drawn again"
