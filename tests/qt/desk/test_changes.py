"""What a second paints again: the digits and the tape's step, no word; and no pixel is left as it was."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QRect, QSize
from PySide6.QtGui import QImage, QPainter, QRegion

from pacer.frames.desk import DeskFrame
from pacer.frames.desk_tape import TapeRow
from pacer.qt.desk.changes import changed_desk_area, rects_of
from pacer.qt.desk.layout import desk_layout
from pacer.qt.desk.painter import paint_desk

pytestmark = pytest.mark.usefixtures("qapp")

SIZES = [QSize(960, 540), QSize(1366, 768), QSize(1920, 1080), QSize(3840, 2160)]
ROWS = (
    TapeRow("Skip count", 120, 118, visited=True),
    TapeRow("Modeling", 420, 115, running=True, visited=True),
    TapeRow("Vocabulary", 180, 0),
)
FRAME = DeskFrame(
    "steady", "STEADY", 0, phase_title="Modeling", number="5:09", left_s=309,
    headline="move by 9:14, in 4 min",
    headline_short="move by 9:14", payers=("0:15 Vocabulary",), next_title="Vocabulary", clock="9:10",
    outlook="groups at 9:27", tape=ROWS, near=("Examples: 1 of 2",), notes="Ask table 3.", beat=0,
)  # fmt: skip
SECOND = replace(FRAME, number="5:08", left_s=308, beat=1)


def step(seconds: int, **changes: object) -> tuple[TapeRow, ...]:
    """The same tape where the running phase has had so much time."""
    return ROWS[0], replace(ROWS[1], actual_s=seconds, **changes), ROWS[2]


def painted(
    frame: DeskFrame, size: QSize, areas: list[QRect] | None = None, on: QImage | None = None
) -> QImage:
    image = QImage(size, QImage.Format.Format_RGB32) if on is None else on
    with QPainter(image) as painter:
        for area in areas or [QRect(0, 0, size.width(), size.height())]:
            paint_desk(painter, QRect(0, 0, size.width(), size.height()), frame, area=area)
    return image


@pytest.mark.parametrize("size", SIZES)
def test_a_second_paints_its_digits_and_no_word_again(size: QSize) -> None:
    areas = changed_desk_area(FRAME, SECOND, size)
    assert areas
    for text in desk_layout(SECOND, size).texts:
        assert not any(area.intersects(text.ink) for area in areas), text.part


@pytest.mark.parametrize("size", SIZES)
def test_a_step_of_the_tape_paints_one_box_again_and_no_title(size: QSize) -> None:
    later = replace(FRAME, tape=step(120))
    areas, made = changed_desk_area(FRAME, later, size), desk_layout(later, size)
    assert sum(area.width() * area.height() for area in areas) < made.tape.width() * made.tape.height() / 4
    assert all(area.right() < made.tape.left() + made.tape.width() / 2 for area in areas)


@pytest.mark.parametrize("size", SIZES[:2])
@pytest.mark.parametrize(
    "later",
    [
        replace(SECOND, tape=step(120)),
        replace(SECOND, tape=step(425)),
        replace(SECOND, tape=step(600), number="+3:00"),
        replace(SECOND, tape=step(120, now_s=300)),
        replace(SECOND, tape=(*ROWS[:2], replace(ROWS[2], budget_s=240))),
        replace(SECOND, tape=(ROWS[0], replace(ROWS[1], running=False), replace(ROWS[2], running=True))),
    ],
    ids=["a step", "just over", "far over", "cut", "another plan", "another phase"],
)
def test_what_is_painted_again_is_all_that_differs(later: DeskFrame, size: QSize) -> None:
    # The first time that Qt draws a size of letters their edges differ by a few shades from every later time.
    for frame in (FRAME, later):
        painted(frame, size)
    for was, now in ((FRAME, later), (later, FRAME)):
        areas = changed_desk_area(was, now, size)
        assert painted(now, size, areas, on=painted(was, size)) == painted(now, size)


@pytest.mark.parametrize("size", SIZES[:2])
def test_the_dots_and_accents_of_capitals_below_the_number_stay_when_it_changes(size: QSize) -> None:
    was = replace(FRAME, headline="Ünïcødé Å", headline_short="", number="0:01")
    now = replace(was, number="−1:05")
    for frame in (was, now):
        painted(frame, size)
    areas = changed_desk_area(was, now, size)
    assert painted(now, size, areas, on=painted(was, size)) == painted(now, size)


def test_a_low_rectangle_beside_a_tall_one_leaves_it_in_one_piece() -> None:
    tall, low = QRect(300, 0, 10, 90), QRect(0, 30, 20, 30)
    assert sorted(rect.getRect() for rect in rects_of(QRegion(tall) + low)) == [low.getRect(), tall.getRect()]
    two = QRegion(QRect(0, 0, 5, 5)) + QRect(0, 9, 5, 5)
    assert len(rects_of(two)) == 2, "apart"
