"""The strip on each edge: as thick everywhere, upright on the sides, large enough digits, all the squares."""

from collections.abc import Iterator
from dataclasses import replace

import pytest
from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QFont, QImage, QPainter

from pacer.frames.wall import LEAST_SHARE, WallFrame
from pacer.qt.kit import theme
from pacer.qt.paper.picture import draw
from pacer.qt.screens.present import present_screens
from pacer.qt.wall.layout import wall_layout
from pacer.qt.wall.marks import Digit, Head, WallLayout
from pacer.qt.wall.painter import paint_strip
from pacer.qt.wall.window import Wall, strip_rect
from tests.qt.wall.wall_factories import (
    EDGES,
    SIZES,
    assert_change_is_covered,
    assert_tidy,
    hidden,
    pixels,
    put_away,
    strip,
    strip_size,
    talk,
    wall,
    wall_on_projector,
    words_of,
)

pytestmark = pytest.mark.usefixtures("qapp")

SIDES = ["left", "right"]
LONG = "Wiederholung der Bruchrechnung am Zahlenstrahl mit Geschwindigkeitsbegrenzungen"
TITLES = ["Review", LONG, "الكسور على خط الأعداد", "Z" + "\u0323\u0330" * 8]
FRAMES = {
    "running": wall(), "one minute": wall(1, 38), "ten": wall(10, 600), "twenty": wall(20, 1051),
    "twenty-five": wall(25, 1490), "thirty": wall(30, 1800), "forty": wall(40, 2300), "sixty": wall(60, 3599),
    "digits only": wall(0, 458, full=0, fourths=0), "squares only": wall(digits=None),
    "waiting": wall(waiting=True, note="Wait"), "thirty waiting": wall(30, 1700, waiting=True, note="Wait"),
    "over": wall(10, 0, over=True, note="Finish up"), "thirty over": wall(30, 0, over=True, note="Finish up"),
    "hidden": hidden(wall()), "hidden waiting": hidden(wall(waiting=True, note="Wait")),
    "first partner": talk(28), "second partner": talk(14), "eyes back": wall(note="Eyes back"),
}  # fmt: skip


def side(frame: WallFrame, size: tuple[int, int], edge: str = "left") -> WallLayout:
    return wall_layout(strip(replace(frame, edge=edge)), QSize(*strip_size(edge, size)))


def ink_height(digit: Digit) -> int:
    """Rows of pixels that a digit covers."""
    image = QImage(digit.box.width, digit.box.height, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    font = QFont(theme.font(digit.px, digit.weight))
    with QPainter(image) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setFont(font)
        painter.drawText(0, round(digit.px * (theme.CAP_SHARE + 0.05)), digit.char)
    return int((pixels(image).min(axis=2) < 128).any(axis=1).sum())


@pytest.mark.parametrize("edge", EDGES)
def test_the_strip_lies_along_its_edge_and_is_nine_percent_of_the_height(edge: str):
    for screen in (QRect(0, 0, 1920, 1080), QRect(1366, -20, 1024, 768), QRect(-3840, 0, 3840, 2160)):
        place = strip_rect(screen, edge)
        assert screen.contains(place)
        assert min(place.width(), place.height()) / screen.height() == pytest.approx(0.09, abs=0.005)
        sides = {"bottom": place.bottom() == screen.bottom(), "top": place.top() == screen.top(),
                 "left": place.left() == screen.left(), "right": place.right() == screen.right()}  # fmt: skip
        across = ("left", "right") if edge in ("bottom", "top") else ("bottom", "top")
        assert [name for name in EDGES if sides[name]] == sorted((edge, *across), key=EDGES.index)


@pytest.mark.parametrize(
    ("size", "title"),
    [*((SIZES[1], title) for title in TITLES), *((size, LONG) for size in SIZES if size != SIZES[1])],
)
@pytest.mark.parametrize("name", FRAMES)
def test_nothing_on_an_upright_strip_is_clipped_or_overlaps(name: str, size: tuple[int, int], title: str):
    frame = replace(FRAMES[name], title=title)
    made = side(frame, size)
    assert_tidy(made)
    assert len(made.squares) == frame.whole
    assert len({square.box.width for square in made.squares}) <= 1
    assert side(frame, size, "right") == made


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", ["one minute", "ten", "twenty", "sixty", "digits only", "second partner"])
def test_digits_on_a_side_can_be_read_from_the_back_row(name: str, size: tuple[int, int]):
    """20 minutes of arc: 5 % of the picture's height at 9 m, where it is 1 m high (2 d tan(θ/2))."""
    for digit in side(FRAMES[name], size).digits:
        assert digit.px * theme.CAP_SHARE >= LEAST_SHARE * size[1]
        assert ink_height(digit) >= LEAST_SHARE * size[1] - 1


@pytest.mark.parametrize("size", SIZES)
def test_minutes_stand_above_seconds_and_no_digit_moves_as_time_goes(size: tuple[int, int]):
    made = side(wall(20, 1051), size)
    assert [digit.char for digit in made.digits] == ["1", "7", "3", "1"]
    assert made.digits[0].box.y == made.digits[1].box.y < made.digits[2].box.y == made.digits[3].box.y
    places = {tuple(d.box for d in side(wall(10, left), size).digits) for left in (599, 111, 71, 11, 1)}
    assert len(places) == 1


@pytest.mark.parametrize("size", SIZES)
def test_a_digit_of_an_upright_strip_is_drawn_within_its_cell_and_the_strip(size: tuple[int, int]):
    for text in ("44:44", "8:00", "30:46"):
        frame = strip(wall(0, 60, digits=text, full=0, fourths=0, title="", line="", edge="left"))
        width, height = strip_size("left", size)
        image = pixels(draw(frame, width, height))
        dark = image.astype(int).sum(axis=2) < 3 * 80
        for digit in wall_layout(frame, QSize(width, height)).digits:
            x, y, across, down = digit.box
            cell = dark[y : y + down, x : x + across]
            assert cell.any()
            assert not cell[:, 0].any()
            assert not cell[:, -1].any()
            cell[:] = False
        assert not dark.any()


@pytest.mark.parametrize("size", SIZES)
def test_squares_on_a_side_are_ten_frames_turned(size: tuple[int, int]):
    """Two across and five down, a wider gap after each ten, read row by row."""
    boxes = [square.box for square in side(wall(30, 1800), size).squares]
    for begin in (0, 10, 20):
        frame = boxes[begin : begin + 10]
        assert len({box.x for box in frame}) == 2
        assert len({box.y for box in frame}) == 5
    assert boxes == sorted(boxes, key=lambda box: (box.y, box.x))
    assert boxes[10].y - boxes[9].y > boxes[2].y - boxes[1].y
    wide = 2 * boxes[0].width / strip_size("left", size)[0]
    assert wide > 0.7  # thirty are as large as the strip is wide
    left = side(wall(30, 1051), size).squares
    assert [square.fourths for square in left] == [4] * 17 + [3] + [0] * 12


@pytest.mark.parametrize("edge", SIDES)
def test_the_squares_drawn_on_a_side_are_those_of_the_frame(edge: str):
    for size in SIZES:
        width, height = strip_size(edge, size)
        frame = strip(wall(30, 1051, edge=edge))
        image = pixels(draw(frame, width, height))
        filled = 0
        for square in wall_layout(frame, QSize(width, height)).squares:
            for index in range(4):
                box = square.fourth(index)
                filled += tuple(image[box.y + box.height // 2, box.x + box.width // 2]) == (0x1D, 0x3F, 0x72)
        assert filled == 4 * 17 + 3


def test_the_word_of_a_pause_is_on_every_strip_and_large():
    for edge in EDGES:
        for name in ("waiting", "thirty waiting", "hidden waiting", "over", "thirty over"):
            made = side(FRAMES[name], (1920, 1080), edge)
            note = made.words["note"]
            assert note.setting.lines == (FRAMES[name].note,)
            assert note.setting.cap_height >= 0.035 * 1080
            assert note.turned is (edge in SIDES)


def test_a_hidden_strip_has_no_place_where_time_was():
    made = side(FRAMES["hidden"], (1920, 1080))
    assert not made.squares
    assert not made.digits
    assert made.words["line"].box.y < 30
    assert words_of(made) == ["Problems 1–4 on your whiteboard"]
    short = side(replace(FRAMES["hidden"], line="Show how."), (1920, 1080))
    assert words_of(short) == ["Guided practice", "Show how."]


@pytest.mark.parametrize("edge", EDGES)
def test_partner_talk_in_a_strip_shows_who_speaks(edge: str):
    made = side(talk(28), (1366, 768), edge)
    assert any(isinstance(mark, Head) for mark in made.marks)
    assert words_of(made)[0] == "First partner"
    if edge not in SIDES:
        assert words_of(made)[1] == "A fraction names ____ ."
    assert made.squares[0].fourths == 2


STEPS = {
    "a second": (wall(), wall(left_s=457)),
    "ten seconds": (wall(left_s=450), wall(left_s=449)),
    "a fourth": (wall(left_s=466), wall(left_s=465)),
    "ten minutes": (wall(20, 600), wall(20, 599)),
    "pause": (wall(), wall(waiting=True, note="Wait")),
    "over": (wall(left_s=1), wall(left_s=0, over=True, note="Finish up")),
    "title": (wall(), wall(title="Vocabulary")),
    "hidden": (wall(), hidden(wall())),
    "one more minute": (wall(8, 60), wall(9, 120)),
    "stacked accents": (
        wall(title="Z" + "\u0323\u0330" * 8),
        wall(left_s=457, title="Z" + "\u0323\u0330" * 8),
    ),
    "the second partner": (talk(16), talk(15)),
}


@pytest.mark.parametrize("edge", EDGES)
@pytest.mark.parametrize("name", STEPS)
def test_what_is_said_to_change_in_a_strip_is_all_that_changes(name: str, edge: str):
    old, new = (strip(replace(frame, edge=edge)) for frame in STEPS[name])
    assert_change_is_covered(old, new, *strip_size(edge, (1366, 768)))


def test_paint_strip_paints_any_frame_upright_where_the_place_is():
    image = QImage(98, 1080, QImage.Format.Format_RGB32)
    with QPainter(image) as painter:
        paint_strip(painter, QRect(0, 0, 98, 1080), wall())
    assert (pixels(image) == pixels(draw(strip(wall()), 98, 1080))).all()


@pytest.fixture
def placed(dressed) -> Iterator[tuple[Wall, QRect]]:
    """A Wall on the projector, with nothing held back."""
    made, screen = wall_on_projector()
    made.changes.calm_ms = 0
    yield made, screen
    put_away(made)


def test_the_floating_strip_moves_to_the_edge_that_the_frame_names(placed):
    made, screen = placed
    flags = made.strip.windowFlags()
    for edge in ("left", "top", "right", "bottom", "left"):
        made.show_frame(strip(wall(edge=edge)))
        assert made.strip.geometry() == strip_rect(screen, edge)
        assert made.strip.isVisible()
        assert not made.full.isVisible()
        assert made.strip.windowFlags() == flags
        assert made.strip.focusPolicy() == Qt.FocusPolicy.NoFocus
    wanted = Qt.WindowType.WindowDoesNotAcceptFocus | Qt.WindowType.WindowTransparentForInput
    assert flags & wanted == wanted


def test_the_strip_keeps_its_edge_when_the_wall_comes_to_another_screen(placed):
    made, _screen = placed
    made.show_frame(strip(wall(edge="right")))
    laptop = next(screen for screen in present_screens() if screen.name == "Laptop")
    made.place(laptop)
    made.show_frame(strip(wall(edge="right")))
    assert made.strip.geometry() == strip_rect(laptop.rect, "right")


@pytest.mark.parametrize("before", [wall(), strip(wall()), WallFrame("off")], ids=["full", "strip", "off"])
def test_the_blank_page_covers_the_whole_screen_from_every_face(placed, before: WallFrame):
    made, screen = placed
    made.show_frame(before)
    made.show_frame(WallFrame("blank"))
    # The window that lies above all others covers it: another program's full screen is below.
    assert made.strip.isVisible()
    assert made.strip.windowFlags() & Qt.WindowType.WindowStaysOnTopHint
    assert made.strip.geometry() == screen
    assert made.strip.accessibleDescription() == ""
    made.show_frame(before)
    assert made.full.isVisible() is (before.face == "full")
    assert made.strip.isVisible() is (before.shape == "strip")
    if before.shape == "strip":
        assert made.strip.geometry() == strip_rect(screen, "bottom")


def test_where_the_wall_is_the_only_window_a_blank_page_keeps_the_keys(placed):
    made, screen = placed
    made.place(made.screen, takes_keys=True)
    made.show_frame(wall())
    made.show_frame(WallFrame("blank"))
    assert made.full.isVisible()
    assert made.full.geometry() == screen
    assert not made.strip.isVisible()
