"""The Desk card's places and sizes: as large as may be, the same in every state, nothing out of its row.

Sizes at 3 m are worked out from h = 2 d tan(θ/2), as for the Desk; the pictures' heights are those of
a common 3.5-inch display (480 × 320, 49 mm) and a 10.1-inch tablet (1280 × 800, 136 mm).
"""

from itertools import pairwise
from math import radians, tan

import pytest
from PySide6.QtCore import QRectF, QSize

from pacer.frames.desk_card import CardFrame
from pacer.frames.words import wording
from pacer.pace.stages import LEVELS
from pacer.qt.desk.card_layout import card_layout, edge_px

pytestmark = pytest.mark.usefixtures("qapp")
SIZES = [
    (320, 240),
    (480, 320),
    (320, 480),
    (240, 320),
    (800, 480),
    (640, 480),
    (1280, 800),
    (800, 1280),
    (3840, 2160),
]
STAGES = ("ready", *LEVELS, "paused", "ended")
NUMBERS = ("3:48", "25:00", "+0:07", "+12:34", "1:02:03")
UNTIL = (
    "move by 9:14",
    "move by 10:44",
    "Press Space to start",
    "share from 10:44",
    "begin the visit now",
    "",
)


def frame(stage: str = "steady", number: str = "3:48", until: str = "move by 9:14") -> CardFrame:
    level = LEVELS.index(stage) if stage in LEVELS else 0
    return CardFrame(stage, wording.stage_word(stage), level, number, until)


FRAMES = [frame(stage, number, until) for stage in STAGES for number in NUMBERS for until in UNTIL]


def ink(box: QRectF, setting) -> QRectF:
    """From the capitals of the first line to below the last one's baseline."""
    top = box.top() + setting.ascent - setting.cap_height
    below = 0 if setting.lines[-1].isupper() else setting.px * 0.2
    bottom = box.top() + setting.ascent + (len(setting.lines) - 1) * setting.line_height + below
    return QRectF(box.left(), top, setting.width, bottom - top)


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_every_word_is_whole_inside_the_edge_and_clear_of_the_next_row(size):
    for made in (card_layout(one, QSize(*size)) for one in FRAMES):
        boxes = [ink(*made.word)]
        boxes += [made.number[0][0].united(made.number[-1][0])]
        if made.until is not None:
            boxes.append(ink(*made.until))
            assert not made.until[1].elided
        assert not made.word[1].elided
        for box in boxes:
            assert made.inside.adjusted(-1, -1, 1, 1).contains(box)
        for upper, lower in pairwise(boxes):
            assert upper.bottom() <= lower.top() + 1


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_each_row_has_one_place_in_every_state(size):
    made = [card_layout(one, QSize(*size)) for one in FRAMES]
    bases = {round(box.top() + setting.ascent, 3) for box, setting in (one.word for one in made)}
    assert len(bases) == 1
    assert len({round(one.number[0][0].bottom() - one.cells.px * 0.05, 3) for one in made}) == 1


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_the_state_fills_from_the_bottom_in_four_levels_whose_edges_cut_no_word(size):
    shares, words = [], []
    for stage in LEVELS:
        made = card_layout(frame(stage), QSize(*size))
        shares.append(made.area.height() / made.inside.height())
        words.append((made, [ink(*made.word), made.number[0][0], ink(*made.until)]))
    assert shares[0] == 0
    assert shares[3] == 1
    assert 0.15 < shares[1] < 0.5 < shares[2] < 0.85
    for made, boxes in words[1:3]:
        for box in boxes:
            assert box.bottom() <= made.area.top() + 1 or box.top() >= made.area.top() - 1


def minutes_of_arc(px: float, size: tuple[int, int], height_mm: float) -> float:
    one = 2 * 3000 * tan(radians(1 / 60) / 2)
    return px * height_mm / size[1] / one


def test_on_a_tablet_word_and_number_are_forty_minutes_of_arc_at_three_metres_and_move_by_twenty():
    size = (1280, 800)
    for stage, number in (("steady", "3:48"), ("paused", "12:48")):
        made = card_layout(frame(stage, number), QSize(*size))
        assert minutes_of_arc(made.word[1].cap_height, size, 136) >= 39.5
        assert minutes_of_arc(made.cells.cap_height, size, 136) >= 45
        assert minutes_of_arc(made.until[1].cap_height, size, 136) >= 20
    # A longer word can only be as wide as the screen.
    for stage, least in (("closing", 33), ("move_on", 32), ("borrowing", 23)):
        assert minutes_of_arc(card_layout(frame(stage), QSize(*size)).word[1].cap_height, size, 136) >= least


def test_on_a_small_display_the_number_is_what_is_read_and_the_rest_as_large_as_its_width_allows():
    size = (480, 320)
    made = card_layout(frame(), QSize(*size))
    assert minutes_of_arc(made.cells.cap_height, size, 49) >= 18.5
    assert minutes_of_arc(made.word[1].cap_height, size, 49) >= 13
    assert minutes_of_arc(made.until[1].cap_height, size, 49) >= 7
    assert minutes_of_arc(card_layout(frame("borrowing"), QSize(*size)).word[1].cap_height, size, 49) >= 7.9


def test_a_paper_edge_is_all_round_whatever_the_state():
    made = card_layout(frame("move_on"), QSize(480, 320))
    assert edge_px(QSize(480, 320)) >= 3
    assert made.area == made.inside
    assert QRectF(0, 0, 480, 320).adjusted(2, 2, -2, -2).contains(made.area)
