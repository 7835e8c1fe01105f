"""The test card on the class's screen: the Wall's own sizes, nothing on top of another, nothing private."""

from itertools import pairwise

import pytest
from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtTest import QTest

from pacer.frames.back_row import back_row_card, look_of, sample_frame
from pacer.qt.classroom.back_row_card import (
    BackRowCardWindow,
    card_layout,
    paint_card,
    reported_height_mm,
    shares_on,
)
from pacer.qt.kit import theme
from pacer.qt.screens.present import ScreenInfo
from pacer.qt.wall.layout import wall_layout
from pacer.qt.wall.painter import paint_wall
from pacer.settings.model import Settings
from tests.qt.window_factories import live_screen, names_of, screen_named, settle

SIZES = [(1024, 768), (1280, 800), (1366, 768), (1920, 1080), (3840, 2160)]
PICTURES = [None, 2000, 1000, 800, 600, 400]


def made(size: tuple[int, int], picture_mm, **settings):
    chosen = Settings(picture_height_mm=picture_mm, **settings)
    look = look_of(chosen)
    return back_row_card(shares_on(QSize(*size), look), look, picture_mm, chosen.back_row_mm)


def painted(size: tuple[int, int], paint) -> QImage:
    image = QImage(*size, QImage.Format.Format_RGB32)
    image.fill(theme.PAPER)
    with QPainter(image) as painter:
        paint(painter)
    return image


def ink_rows(image: QImage, rect: QRect) -> tuple[int, int]:
    """The first and last row of a part of a picture that hold anything darker than half."""
    rows = [
        y
        for y in range(rect.top(), rect.bottom() + 1)
        if any(QColor(image.pixel(x, y)).lightness() < 128 for x in range(rect.left(), rect.right() + 1))
    ]
    return rows[0], rows[-1]


@pytest.fixture
def window(dressed):
    found = BackRowCardWindow()
    yield found
    found.close()
    found.deleteLater()
    settle()


# The sizes.


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("picture", [None, 800, 400])
def test_every_mark_on_the_card_is_exactly_as_large_as_on_the_wall(dressed, size, picture):
    card = made(size, picture)
    wall = wall_layout(card.frame, QSize(*size))
    placed = {row.row.part: row.marks for row in card_layout(card, QSize(*size)).rows}
    assert list(placed) == ["digits", "squares", "title", "line", "least"]
    assert {mark.px for mark in placed["digits"]} == {wall.digits[0].px}
    assert {mark.box[2:] for mark in placed["squares"]} == {wall.squares[0].box[2:]}
    for part, on_wall in (("title", "title"), ("line", "line"), ("least", "next")):
        like = wall.words[on_wall].setting
        assert (placed[part][0].setting.px, placed[part][0].setting.weight) == (like.px, like.weight)


def test_the_shares_are_those_of_ink_on_the_painted_wall(dressed):
    """Measured on pixels, not asked of the layout: a flat digit 7 and the title's capital."""
    size = (1920, 1080)
    look = look_of(Settings(picture_height_mm=800))
    frame = sample_frame(look)
    wall = wall_layout(frame, QSize(*size))
    image = painted(size, lambda painter: paint_wall(painter, QRect(0, 0, *size), frame))
    shares = shares_on(QSize(*size), look)
    top, bottom = ink_rows(image, wall.digits[1].box.rect())
    assert wall.digits[1].char == "7"
    # Digits are a hair higher than the capitals they are counted as: no share is more than the truth.
    assert 0 <= bottom - top + 1 - shares["digits"] * 1080 < 0.015 * 275
    # The title's capital C is round and reaches over its height a little, above and below.
    title = wall.words["title"].box
    capital = QRect(title.x, title.y, round(wall.words["title"].setting.px * 0.5), title.height)
    top, bottom = ink_rows(image, capital)
    assert bottom - top + 1 == pytest.approx(shares["title"] * 1080, abs=5)
    assert shares["squares"] * 1080 == wall.squares[0].box.height


def test_the_digits_on_the_painted_card_are_as_high_as_the_card_says(dressed):
    size = (1366, 768)
    card = made(size, 1000)
    layout = card_layout(card, QSize(*size))
    image = painted(size, lambda painter: paint_card(painter, layout))
    digits = layout.rows[0]
    top, bottom = ink_rows(image, digits.marks[1].box.rect())
    assert (bottom - top + 1) / 768 * 1000 == pytest.approx(digits.row.height_mm, abs=3)


@pytest.mark.parametrize("edge", ["bottom", "top", "left", "right"])
def test_the_strip_has_its_shares_on_every_edge(dressed, edge):
    card = made((1920, 1080), 1000, strip_edge=edge)
    strip = {row.part: row for row in card.rows if row.part.startswith("strip")}
    assert "strip_digits" in strip
    # The strip is an eleventh of the height; nothing in it can be higher.
    assert all(0.01 < row.share < 1 / 11 for row in strip.values())


def test_larger_least_words_come_with_a_smaller_picture(dressed):
    shares = [shares_on(QSize(1920, 1080), look_of(Settings(picture_height_mm=mm)))["least"]
              for mm in (1000, 800, 600)]  # fmt: skip
    assert shares == sorted(shares)
    assert shares[0] < shares[-1]


# Where it lies.


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("picture", PICTURES)
@pytest.mark.parametrize("shown", [{}, {"wall_digits": False}, {"wall_squares": False}])
def test_nothing_on_the_card_lies_on_another_thing_or_outside(dressed, size, picture, shown):
    layout = card_layout(made(size, picture, **shown), QSize(*size))
    boxes = [layout.head.box.rect()]
    for row in layout.rows:
        sample = QRect()
        for mark in row.marks:
            sample = sample.united(mark.box.rect())
        assert sample.right() < row.note.box.x, row.row.part
        boxes.append(sample.united(row.note.box.rect()))
    boxes.append(layout.foot.box.rect())
    # A row's box may reach a pixel into the next, as it is rounded out; no ink does.
    assert all(above.bottom() <= below.top() + 1 for above, below in pairwise(boxes))
    assert QRect(0, 0, *size).contains(boxes[0].united(boxes[-1]))


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("picture", PICTURES)
def test_no_size_and_no_sentence_on_the_card_is_cut_short(dressed, size, picture):
    card = made(size, picture)
    layout = card_layout(card, QSize(*size))
    assert " ".join(layout.head.setting.lines) == card.head
    assert " ".join(layout.foot.setting.lines) == card.foot
    assert [" ".join(row.note.setting.lines) for row in layout.rows] == [row.row.note for row in layout.rows]


def test_what_is_too_small_stands_out_by_its_weight(dressed):
    layout = card_layout(made((1920, 1080), 500, back_row_mm=10_000), QSize(1920, 1080))
    weights = {row.row.verdict: row.note.setting.weight for row in layout.rows}
    assert weights == {"readable": theme.REGULAR, "too small": theme.BOLD}


# The window.


def test_it_fills_the_screen_it_is_shown_on_and_takes_the_keyboard(window):
    assert window.show_on(screen_named("Projector"), made((1920, 1080), 1000))
    settle()
    assert window.geometry() == live_screen("Projector").geometry()
    assert window.hasFocus()


@pytest.mark.parametrize("key", [Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Escape])
def test_enter_or_escape_closes_it_and_no_other_key_does(window, key):
    closed = []
    window.closed.connect(lambda: closed.append(True))
    window.show_on(screen_named("Projector"), made((1920, 1080), 1000))
    settle()
    for other in (Qt.Key.Key_PageDown, Qt.Key.Key_Space, Qt.Key.Key_N, Qt.Key.Key_Home):
        QTest.keyClick(window, other)
    assert window.isVisible()
    QTest.keyClick(window, key)
    assert not window.isVisible()
    assert closed == [True]
    window.put_away()
    assert closed == [True]


def test_it_is_not_shown_on_a_screen_that_is_gone(window):
    gone = ScreenInfo("Projector", (5000, 0, 800, 600))
    assert not window.show_on(gone, made((800, 600), 1000))
    assert not window.isVisible()


def test_it_holds_no_pixel_in_a_colour_of_the_private_window_and_no_private_word(window):
    window.show_on(screen_named("Projector"), made((1920, 1080), 1000))
    settle()
    image = window.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    colours = {image.pixel(x, y) for y in range(0, 1080, 2) for x in range(0, 1920, 3)}
    assert theme.PAPER.rgb() in colours
    assert theme.DESK_PAPER.rgb() not in colours
    assert theme.DESK_INK.rgb() not in colours
    said = names_of(window)
    assert "Test card" in said
    assert "Smallest words: 52 mm, 20′: good" in said
    assert "strip" not in said


def test_another_card_is_painted_and_said_anew(window):
    window.show_on(screen_named("Projector"), made((1920, 1080), 1000))
    settle()
    before = window.grab().toImage()
    window.show_card(made((1920, 1080), 500))
    settle()
    assert window.grab().toImage() != before
    assert "50 cm high" in window.accessibleDescription()


# What a screen reports.


@pytest.mark.parametrize(
    ("millimetres", "ratio", "height"),
    [((1428, 803), 1.0, 803), ((1428, 803), 2.0, 803), ((0, 0), 1.0, None), ((160, 90), 1.0, None)],
)
def test_a_screen_s_height_is_believed_where_it_can_be_true(millimetres, ratio, height):
    screen = ScreenInfo("HDMI-1", (0, 0, 1920, 1080), ratio, millimetres=millimetres)
    assert reported_height_mm(screen) == height
