"""The marker: whatever is private has paper and ink of its own, so that one pixel of it can be found."""

import sys
from dataclasses import replace
from pathlib import Path

import pytest
import wcag_contrast_ratio
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QStackedWidget

from pacer.frames.desk import DeskFrame, TapeRow
from pacer.frames.wall import WallFrame
from pacer.qt.kit import theme
from pacer.qt.paper.picture import draw
from pacer.qt.screens.number_cards import NumberFace

sys.path.insert(0, str(Path(__file__).parents[2] / "real_screens"))

from tests.real_screens.private_marker import private_pixels

pytestmark = pytest.mark.usefixtures("dressed")
SIZES = [(1024, 768), (1280, 720), (1920, 1080)]
WALL = WallFrame(
    "full", title="Guided practice", line="Problems 1–4 on your whiteboard", digits="7:38", full=7, fourths=3,
    whole=8, next_title="Look back",
)  # fmt: skip
WALLS = {
    "running": WALL,
    "long": replace(WALL, title="Wiederholung am Zahlenstrahl " * 3, digits="59:59", full=59, whole=60),
    "other scripts": replace(WALL, title="الكسور على خط الأعداد", line="שברים על ישר המספרים"),
    "waiting": replace(WALL, waiting=True, note="Wait"),
    "over": replace(WALL, digits="0:00", full=0, fourths=0, over=True, note="Finish up"),
    "squares only": replace(WALL, digits=None),
    "hidden": WallFrame("hidden", title="Guided practice", line="Problems 1–4"),
    "strip": replace(WALL, shape="strip", face="strip"),
    "blank": WallFrame("blank"),
}
TAPE = (TapeRow("Review", 180, 250, visited=True), TapeRow("Modeling", 420, 192, running=True, visited=True))
DESK = DeskFrame(
    "steady", "STEADY", 0, phase_title="Modeling", number="3:48", headline="move by 9:14", under="in 4 min",
    next_title="Vocabulary", clock="9:10", outlook="groups at 9:27", tape=TAPE, near=("Examples: 1 of 2",),
)  # fmt: skip
MOVE_ON = replace(DESK, stage="move_on", word="MOVE ON", level=3)


def image_of(widget) -> QImage:
    return widget.grab().toImage()


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("name", WALLS)
def test_no_blend_of_the_walls_own_colours_makes_a_marker(name, size):
    assert private_pixels(draw(WALLS[name], *size)) == 0


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_letters_of_every_shade_of_the_wall_make_no_marker(size):
    """Ink, quiet ink and outlines on paper and on squares, at many sizes and off the grid of pixels."""
    image = QImage(*size, QImage.Format.Format_RGB32)
    image.fill(theme.PAPER)
    with QPainter(image) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for row, ground in enumerate((theme.PAPER, theme.SQUARE, theme.WAIT_DARK, theme.WAIT_LIGHT)):
            painter.fillRect(0, row * 180, size[0], 180, ground)
            for line, colour in enumerate((theme.INK, theme.SECONDARY, theme.OUTLINE, theme.PAPER)):
                painter.setPen(colour)
                painter.setFont(theme.font(11 + 7 * line))
                painter.drawText(8.3, row * 180 + 40.7 * (line + 1), "Guided practice 0123456789 ÄÖÜ g y")
    assert private_pixels(image) == 0


@pytest.mark.parametrize("size", SIZES, ids=str)
def test_a_desk_is_full_of_the_marker_and_a_corner_of_it_shows(size):
    desk = draw(DESK, *size)
    assert private_pixels(desk) > 0.6 * size[0] * size[1]
    # Where its page is all plum the near page is still marked.
    assert private_pixels(draw(MOVE_ON, *size)) > 0.15 * size[0] * size[1]
    wall = draw(WALL, *size)
    with QPainter(wall) as painter:
        painter.drawImage(0, 0, desk, 0, 0, 3, 3)
    assert private_pixels(wall) == 9


def test_the_marker_differs_by_one_unit_and_reads_as_well_as_the_walls_colours():
    """7 : 1 for text and 3 : 1 for outlines are the levels of WCAG 2.2, 1.4.6 and 1.4.11."""
    for marked, plain in ((theme.DESK_PAPER, theme.PAPER), (theme.DESK_INK, theme.INK)):
        differ = [abs(a - b) for a, b in zip(marked.getRgb(), plain.getRgb(), strict=True)]
        assert sorted(differ) == [0, 0, 0, 1]
    text = [
        (theme.DESK_INK, theme.DESK_PAPER), (theme.SECONDARY, theme.DESK_PAPER),
        (theme.DESK_INK, theme.CLOSING), (theme.DESK_INK, theme.SAND), (theme.DESK_INK, theme.SAND_LINE),
        (theme.DESK_PAPER, theme.SQUARE),
    ]  # fmt: skip
    for ink, ground in text:
        assert ratio(ink, ground) >= 7, (ink.name(), ground.name())
    for line in (theme.OUTLINE, theme.OVERRUN):
        assert ratio(line, theme.DESK_PAPER) >= 3


def ratio(one: QColor, other: QColor) -> float:
    return wcag_contrast_ratio.rgb(one.getRgbF()[:3], other.getRgbF()[:3])


def test_every_page_of_the_private_window_is_marked(running):
    pages = running.window.findChildren(QStackedWidget)[0]
    assert pages.isVisible()
    shown = image_of(running.window)
    assert private_pixels(shown) > 0.3 * shown.width() * shown.height()
    running.window.page_asked.emit("look back")
    shown = image_of(running.window)
    assert private_pixels(shown) > 0.3 * shown.width() * shown.height()


def test_the_desk_is_marked_and_the_curtain_the_wall_and_the_numbers_are_not(stage):
    desk = image_of(stage.window)
    assert private_pixels(desk) > 0.4 * desk.width() * desk.height()
    stage.desk.forget_answer()  # of Start
    stage.desk.tell("A loud notice.")
    notice = image_of(stage.window)
    assert notice != desk
    assert private_pixels(notice) > 0.4 * notice.width() * notice.height()
    stage.window.show_curtain("The screens changed. Enter shows the Desk again; all keys work.")
    curtain = image_of(stage.window)
    assert private_pixels(curtain) == 0
    assert curtain.pixelColor(5, 5) == theme.PAPER
    assert private_pixels(image_of(stage.wall.full)) == 0
    number = NumberFace(2, "Press the number that the class sees.")
    number.resize(800, 600)
    assert private_pixels(image_of(number)) == 0
    number.deleteLater()
