"""The Desk card's picture: states told apart by place and pattern, marked as private, painted in parts."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
import wcag_contrast_ratio
from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter

from pacer.frames.desk_card import CardFrame
from pacer.frames.words import wording
from pacer.pace.stages import LEVELS
from pacer.qt.desk.card_painter import changed_card_area, paint_card
from pacer.qt.kit import theme
from tests.real_screens.private_marker import private_pixels

pytestmark = pytest.mark.usefixtures("qapp")
SIZES = [(320, 240), (480, 320), (320, 480), (800, 480), (1280, 800)]
STAGES = (*LEVELS, "paused")


def frame(stage: str, number: str = "3:48") -> CardFrame:
    level = LEVELS.index(stage) if stage in LEVELS else 0
    return CardFrame(stage, wording.stage_word(stage), level, number, "move by 9:14")


def image_of(
    one: CardFrame, size: tuple[int, int], before: CardFrame | None = None, fade: float = 1
) -> QImage:
    image = QImage(*size, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.red)
    with QPainter(image) as painter:
        paint_card(painter, QSize(*size), one, before, fade)
    return image


def grey(image: QImage) -> np.ndarray:
    """A small picture in greys, as a blurred glance has it."""
    small = image.scaled(24, 16, mode=Qt.TransformationMode.SmoothTransformation)
    plain = small.convertToFormat(QImage.Format.Format_Grayscale8)
    return np.array([[plain.pixelColor(x, y).value() for x in range(24)] for y in range(16)], float)


def pixels(image: QImage) -> np.ndarray:
    plain = image.convertToFormat(QImage.Format.Format_RGB32)
    return np.frombuffer(plain.constBits(), np.uint32).reshape(plain.height(), plain.width()).copy()


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_every_state_is_marked_as_private_all_along_its_edge(size):
    for stage in STAGES:
        image = image_of(frame(stage), size)
        assert private_pixels(image) >= 2 * (size[0] + size[1])
        assert image.pixelColor(1, 1) in (theme.DESK_PAPER, theme.DESK_INK)
        assert 0xFFFF0000 not in pixels(image), "every pixel is painted"


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_any_two_states_differ_in_a_blurred_grey_glance_at_the_same_number(size):
    seen = {stage: grey(image_of(frame(stage), size)) for stage in STAGES}
    for one, other in combinations(STAGES, 2):
        differ = np.abs(seen[one] - seen[other])
        assert (differ > 12).mean() > 0.05, (one, other)


def test_words_on_every_ground_have_the_contrast_of_large_print_and_more():
    """7 : 1, as for the Desk (WCAG 2.2, 1.4.6)."""
    for ground in (theme.DESK_PAPER, theme.CLOSING, theme.SAND, theme.SAND_LINE, theme.PAUSE_LINE):
        assert ratio(theme.DESK_INK, ground) >= 7, ground.name()
    assert ratio(theme.ON_PLUM, theme.PLUM) >= 7


def ratio(one: QColor, other: QColor) -> float:
    return wcag_contrast_ratio.rgb(one.getRgbF()[:3], other.getRgbF()[:3])


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("stage", STAGES)
def test_what_changes_with_a_second_lies_in_what_is_painted_again(size, stage):
    old = frame(stage, "3:48")
    image_of(old, size)
    changes = [replace(old, number="3:47"), replace(old, number="3:39"), replace(old, number="+0:01")]
    for new in (*changes, frame("closing"), replace(old, until="move by 9:15")):
        image_of(new, size)  # large letters that Qt draws for the first time differ at their edges
        differ = pixels(image_of(old, size)) != pixels(image_of(new, size))
        for rect in changed_card_area(old, new, QSize(*size)):
            differ[max(0, rect.top()) : rect.bottom() + 1, max(0, rect.left()) : rect.right() + 1] = False
        assert not differ.any()
    last = changed_card_area(old, replace(old, number="3:47"), QSize(*size))
    assert len(last) == 1
    assert last[0].width() < size[0] / 2
    assert changed_card_area(old, old, QSize(*size)) == []


@pytest.mark.parametrize(
    ("one", "other"),
    [("borrowing", "move_on"), ("move_on", "paused"), ("paused", "steady"), ("move_on", "borrowing")],
)
def test_within_a_fade_words_can_be_read_and_it_ends_at_the_new_state(one, other):
    """3 : 1 at any step, which is enough for type so large (WCAG 2.2, 1.4.3)."""
    before, after = frame(one), frame(other)
    assert image_of(after, (480, 320), before, 1.0) == image_of(after, (480, 320))
    wordless = replace(after, word="", number="", until="")
    for fade in (0.0, 0.2, 0.4, 0.6, 0.8, 1.0):
        ground = image_of(wordless, (480, 320), before, fade)
        used = pixels(image_of(after, (480, 320), before, fade))
        ink = theme.ON_PLUM if theme.ON_PLUM.rgb() in used else theme.DESK_INK
        assert ratio(ink, ground.pixelColor(240, 160)) >= 3
    assert image_of(wordless, (480, 320), before, 0.0) != image_of(wordless, (480, 320), before, 0.5)
