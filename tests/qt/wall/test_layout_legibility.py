"""Letters measured on pictures: what the back row and a teacher three metres away see, at any scale."""

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QRect
from PySide6.QtGui import QImage, QPainter

from pacer.frames.desk import DeskFrame
from pacer.frames.wall import LEAST_SHARE, WallFrame
from pacer.plan.sizes import height_mm
from pacer.qt.desk.layout import desk_layout
from pacer.qt.desk.painter import paint_desk
from pacer.qt.kit import theme
from pacer.qt.wall.layout import wall_layout
from pacer.qt.wall.marks import Sign
from pacer.qt.wall.painter import paint_wall
from tests.qt.wall.wall_factories import pixels, share, talk, visit, wall

pytestmark = pytest.mark.usefixtures("qapp")

# Screens as they are met: pixels, and how many of them are one of a window's own.
SCREENS = [
    ((1024, 768), 1.0), ((1366, 768), 1.0), ((1920, 1080), 1.0), ((1920, 1080), 1.25), ((1920, 1080), 1.5),
    ((3840, 2160), 2.0),
]  # fmt: skip
TWELVE = "HHHHHHHHHHHH"  # a capital's flat edges, twelve of them: ink is as high as the letter
GERMAN = "HHHHHHHHHHHHHHHHHHH HHHHHHHHHHH HHHHHHHHHHHHHHH"  # as long as German titles get
# A picture 1 m high seen from 9 m: words of 20 minutes of arc, main marks of 30. ISO 9241-303 prefers 20 to
# 22 for words (from memory); 30 for main marks is a choice of ours.
WORD, MAIN = height_mm(20, 9000) / 1000, height_mm(30, 9000) / 1000


def painted(frame: WallFrame | DeskFrame, size: tuple[int, int], scale: float) -> np.ndarray:
    """A frame on a screen of so many pixels, of which ``scale`` are one of the window's own."""
    image = QImage(*size, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(scale)
    image.fill(theme.PAPER)
    rect = QRect(0, 0, round(size[0] / scale), round(size[1] / scale))
    with QPainter(image) as painter:
        (paint_wall if isinstance(frame, WallFrame) else paint_desk)(painter, rect, frame)
    return pixels(image)


def ink_height(picture: np.ndarray, box: tuple[float, float, float, float], scale: float) -> int:
    """Device pixels from the highest to the lowest ink of the tallest line in a box of window pixels."""
    x, y, width, height = (round(value * scale) for value in box)
    part = picture[max(0, y) : y + height, max(0, x) : x + width].astype(int)
    dark = (np.abs(part - np.array(theme.PAPER.getRgb()[:3])).sum(axis=2) > 200).any(axis=1)
    rows = np.flatnonzero(dark)
    assert rows.size, "there is ink"
    lines = np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1)
    return max(int(line[-1] - line[0] + 1) for line in lines)


@pytest.mark.slow
@pytest.mark.parametrize(("size", "scale"), SCREENS)
@pytest.mark.parametrize("title", [TWELVE, GERMAN])
@pytest.mark.parametrize("kind", ["countdown", "over", "partners", "hidden", "visit", "walk", "share"])
def test_every_word_on_the_wall_is_measured_large_enough_for_the_back_row(
    kind: str, title: str, size: tuple[int, int], scale: float
) -> None:
    names = ("HHHHHH", "HHHHHHHH", "HHHHHHH")
    frames = {
        "countdown": wall(line=title, second_line=title),
        "over": wall(10, 0, over=True, note=TWELVE[:6]),
        "partners": talk(line=title),
        "hidden": WallFrame("hidden", line=title),
        # The Wall's own titles are short here; names are the teacher's.
        "visit": visit(3, names=(title, *names[1:])),
        "walk": visit(3, 2, 70, moving=True, names=(title, *names[1:])),
        "share": share(prompt=title),
    }
    own = {"title": TWELVE[:6], "next_title": ""} if kind in ("visit", "walk") else {"title": title}
    frame = replace(frames[kind], **{"next_title": TWELVE, **own})
    picture = painted(frame, size, scale)
    layout = wall_layout(frame, QRect(0, 0, round(size[0] / scale), round(size[1] / scale)).size())
    for part in ("title", "line", "second", "next", "note", "name-1", "name-2", "name-3"):
        if part in layout.words:
            tall = ink_height(picture, layout.words[part].box, scale)
            # One pixel is what rounding to whole pixels may take.
            # Names and lines of capitals, longer than any can be, shrink to 16 minutes rather than be cut.
            longest = title == GERMAN and (part.startswith("name") or part in ("line", "second"))
            share_of = 0.8 if longest else 1.0
            assert tall + 1 >= share_of * LEAST_SHARE * size[1] * _narrow(size), part


def _narrow(size: tuple[int, int]) -> float:
    """A picture narrower than any projector's is laid out for a lower one; none of these sizes is."""
    return min(1.0, size[0] * 0.78 / size[1])


@pytest.mark.parametrize(("size", "scale"), SCREENS)
@pytest.mark.parametrize("whole", [8, 20])
def test_digits_and_squares_are_measured_as_main_marks(
    whole: int, size: tuple[int, int], scale: float
) -> None:
    frame = wall(whole, whole * 60 - 22)
    picture = painted(frame, size, scale)
    layout = wall_layout(frame, QRect(0, 0, round(size[0] / scale), round(size[1] / scale)).size())
    for digit in layout.digits:
        if digit.char.isdigit():
            assert ink_height(picture, digit.box, scale) >= MAIN * size[1]
    side = layout.squares[0].box.width * scale
    assert side >= (MAIN if size[0] / size[1] > 1.6 else WORD) * size[1]


@pytest.mark.slow
@pytest.mark.parametrize(("size", "scale"), SCREENS)
@pytest.mark.parametrize("count", [6, 8])
@pytest.mark.parametrize("moment", [{}, {"left_s": 40, "soon": True}, {"whole": 2, "moving": True}])
def test_places_of_many_groups_are_measured_large_enough(
    moment: dict, count: int, size: tuple[int, int], scale: float
) -> None:
    """Every place begins with a capital, drawn: as large as words must be."""
    frame = visit(count, **{"left_s": 70, **moment})
    picture = painted(frame, size, scale)
    layout = wall_layout(frame, QRect(0, 0, round(size[0] / scale), round(size[1] / scale)).size())
    for number in range(1, count + 1):
        box = layout.words[f"place-{number}"].box
        tall = ink_height(picture, (box.x, box.y, box.height * 0.6, box.height), scale)
        assert tall + 1 >= LEAST_SHARE * size[1] * _narrow(size), number


@pytest.mark.parametrize(("size", "scale"), SCREENS)
def test_signs_are_measured_as_main_marks(size: tuple[int, int], scale: float) -> None:
    """Every sign of six groups, drawn: its ink is as high as a digit of the time must be."""
    for frame in (visit(3), visit(6), visit(6, 2, 70, moving=True)):
        picture = painted(frame, size, scale)
        layout = wall_layout(frame, QRect(0, 0, round(size[0] / scale), round(size[1] / scale)).size())
        signs = [mark for mark in layout.marks if isinstance(mark, Sign) and mark.name != "to"]
        assert len(signs) == len(frame.groups)
        for sign in signs:
            # A picture of 4 : 3 has less beside the words of six.
            least = MAIN if size[0] / size[1] > 1.6 or len(signs) == 3 else WORD
            assert ink_height(picture, sign.box, scale) >= least * size[1], sign.name


def desk_frame_of(title: str) -> DeskFrame:
    return DeskFrame(
        "steady", "STEADY", 0, phase_title=title, number="3:48", headline="HHHH HH 9:14", under="HHHHHH",
        next_title=TWELVE, clock="9:10", outlook="HHHHHH",
    )  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize(("size", "scale"), SCREENS)
@pytest.mark.parametrize("title", [TWELVE, GERMAN])
def test_the_far_page_is_measured_large_enough_for_three_metres(
    title: str, size: tuple[int, int], scale: float
) -> None:
    """On a picture 188 mm high: the number 40 minutes of arc, what decides 20, nothing under 12.

    The state's word has 27 in every state: the longest of them, as wide as the page, sets the size of all.
    """
    frame = desk_frame_of(title)
    picture = painted(frame, size, scale)
    layout = desk_layout(frame, QRect(0, 0, round(size[0] / scale), round(size[1] / scale)).size())
    share = {minutes: height_mm(minutes, 3000) / 188 for minutes in (40, 27, 20, 12)}
    boxes = {text.part: text for text in layout.texts}
    wanted = {"word": 27, "headline": 20, "title": 12, "price_1": 20, "next": 12}
    for part, minutes in wanted.items():
        box = boxes[part].box.getRect()
        # On a picture of 4 : 3 the page is too narrow for a long word of full height.
        least = share[minutes] * size[1] * (1.0 if size[0] / size[1] > 1.6 or minutes == 12 else 0.72)
        assert ink_height(picture, box, scale) + 1 >= least, part
    for digit in layout.number:
        if digit.char.isdigit():
            assert ink_height(picture, digit.box.getRect(), scale) >= share[40] * size[1]


@pytest.mark.slow
@pytest.mark.parametrize(("size", "scale"), SCREENS)
def test_nothing_touches_the_edge_of_the_picture(size: tuple[int, int], scale: float) -> None:
    frames = [wall(title=GERMAN, line=GERMAN), talk(line=GERMAN), wall(60, 3599, title=GERMAN)]
    frames += [visit(3), visit(12), visit(6, 2, 70, moving=True), share(prompt=GERMAN)]
    for frame in frames:
        picture = painted(frame, size, scale).astype(int)
        edge = np.concatenate([picture[0], picture[-1], picture[:, 0], picture[:, -1]])
        assert np.abs(edge - np.array(theme.PAPER.getRgb()[:3])).sum(axis=1).max() <= 12
