"""Digits and squares on the Wall: no holes, budgets as what they are, squares alone that fill the room."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QSize

from pacer.frames.wall import WallFrame, squares_in, squares_left
from pacer.qt.kit import theme
from pacer.qt.paper.picture import draw
from pacer.qt.wall import layout
from pacer.qt.wall.layout import changed_area, wall_layout
from pacer.qt.wall.marks import Box
from tests.qt.wall.wall_factories import (
    EDGES,
    SIZES,
    assert_change_is_covered,
    assert_tidy,
    groups,
    pixels,
    strip,
    strip_size,
    talk,
    wall,
)

pytestmark = pytest.mark.usefixtures("qapp")
ALL = [*SIZES, (960, 540), (800, 600)]


def lesson(total_s: int, left_s: int, **changes: object) -> WallFrame:
    """A phase of a length with so much left, as the frame says it."""
    whole, last = squares_in(total_s)
    full, fourths = squares_left(left_s * 1000)
    return replace(wall(whole, left_s, full=full, fourths=fourths, last=last), **changes)


def ink(image: np.ndarray) -> np.ndarray:
    """The columns in which something is darker than the paper by half."""
    return (image.astype(int).sum(axis=2) < sum(theme.PAPER.getRgb()[:3]) - 200).any(axis=0)


@pytest.mark.parametrize("size", [(960, 540), (1920, 1080)])
@pytest.mark.parametrize("text", ["2:57", "1:11", "7:17", "4:04", "0:00", "1:40", "7:47", "5:55", "9:08"])
def test_no_hole_is_seen_between_digits(text: str, size: tuple[int, int]) -> None:
    """Between the inks of two digits is about as much room as anywhere, whichever digits they are."""
    frame = wall(0, 177, full=0, fourths=0, title="", line="", next_title="", digits=text)
    made = wall_layout(frame, QSize(*size))
    drawn = pixels(draw(frame, *size))
    ends = []
    for digit in made.digits:
        box = digit.box
        columns = np.flatnonzero(ink(drawn[box.y : box.y + box.height, box.x : box.x + box.width]))
        ends.append((box.x + columns[0], box.x + columns[-1]))
    gaps = [after[0] - before[1] for before, after in itertools.pairwise(ends)]
    px = made.digits[0].px
    assert 0.05 * px <= min(gaps)
    assert max(gaps) <= 0.15 * px


def test_digits_keep_their_cells_whatever_they_are() -> None:
    cells = {
        tuple(digit.box for digit in wall_layout(wall(8, left), QSize(1366, 768)).digits)
        for left in range(1, 480, 7)
    }
    assert len(cells) == 1


@pytest.mark.parametrize("size", ALL)
@pytest.mark.parametrize("total_s", [30, 60, 90, 180, 300, 450, 600])
def test_squares_alone_fill_the_room(total_s: int, size: tuple[int, int]) -> None:
    made = wall_layout(lesson(total_s, total_s - 5, digits=None), QSize(*size))
    assert_tidy(made)
    words = [mark.box for mark in made.words.values()]
    top = max(box.y + box.height for part, box in ((p, made.words[p].box) for p in ("title", "line")))
    bottom = made.words["next"].box.y
    assert len(words) >= 3
    left = min(square.box.x for square in made.squares)
    right = max(square.box.x + square.box.width for square in made.squares)
    high = max(square.box.y + square.box.height for square in made.squares) - made.squares[0].box.y
    assert right - left >= 0.8 * size[0] or high >= 0.5 * (bottom - top) or total_s == 30
    beside = wall_layout(lesson(total_s, total_s - 5), QSize(*size))
    assert made.squares[0].box.width > 1.05 * beside.squares[0].box.width


@pytest.mark.parametrize("size", ALL)
def test_half_a_minute_is_half_a_square_with_no_outline_of_the_other_half(size: tuple[int, int]) -> None:
    (square,) = wall_layout(lesson(30, 30), QSize(*size)).squares
    assert (square.of, square.fourths) == (2, 2)
    assert square.box.height < 0.6 * square.box.width
    assert all(inside(square.fourth(index), square.box) for index in (0, 1))


@pytest.mark.parametrize(("total_s", "of"), [(60, 4), (75, 1), (90, 2), (105, 3), (120, 4)])
def test_the_last_square_has_as_many_fourths_as_the_budget(total_s: int, of: int) -> None:
    squares = wall_layout(lesson(total_s, total_s), QSize(1920, 1080)).squares
    assert [square.of for square in squares] == [*[4] * (len(squares) - 1), of]
    last = squares[-1]
    assert all(any(inside(last.fourth(index), box) for box in last.outlines) for index in range(of))
    assert not any(inside(last.fourth(index), box) for index in range(of, 4) for box in last.outlines)
    assert last.fourths == of


def inside(box: Box, other: Box) -> bool:
    return other.rect().contains(box.rect())


@pytest.mark.parametrize("edge", EDGES)
def test_a_strip_draws_a_budget_as_what_it_is_too(edge: str) -> None:
    made = wall_layout(strip(lesson(90, 88)), QSize(*strip_size(edge, (1366, 768))))
    assert [square.of for square in made.squares] == [4, 2]


@pytest.mark.parametrize("shape", [{}, {"digits": None}])
def test_a_minute_that_has_begun_is_four_fourths_apart_and_not_a_full_square(shape: dict) -> None:
    """At 5:00 five squares are full; from 4:59 four are, as the digits say, and the fifth is four fourths."""
    begun, before = (wall_layout(lesson(300, left, **shape), QSize(1366, 768)).squares for left in (288, 300))
    assert [square.is_full for square in before] == [True] * 5
    assert [square.is_full for square in begun] == [True] * 4 + [False]
    assert begun[-1].fourths == 4
    drawn = [
        pixels(draw(lesson(300, left, line="", title="", digits=None), 1366, 768)) for left in (300, 288)
    ]
    assert (drawn[0] != drawn[1]).any(axis=2).mean() < 0.02


@pytest.mark.parametrize("total_s", [90, 105, 300])
def test_what_time_changes_is_all_that_is_painted_again(total_s: int) -> None:
    for left in range(total_s, 0, -1):
        old, new = lesson(total_s, left), lesson(total_s, left - 1)
        areas = changed_area(old, new, QSize(1366, 768))
        assert sum(area.width() * area.height() for area in areas) < 0.2 * 1366 * 768
    for left in (total_s, total_s - 14, 61, 46, 31, 16):
        assert_change_is_covered(lesson(total_s, left), lesson(total_s, left - 1), 480, 270)


@pytest.mark.parametrize(
    "shape",
    [wall, talk, lambda: strip(wall()), lambda: wall(groups=groups(4))],
    ids=["full", "talk", "strip", "groups"],
)
def test_a_second_puts_digits_in_and_lays_nothing_out_again(shape, monkeypatch) -> None:
    before, laid = replace(shape(), digits="0:28"), []
    size, marks = QSize(1366, 768), layout._marks
    first = wall_layout(before, size)
    monkeypatch.setattr(layout, "_marks", lambda *of: laid.append(of) or marks(*of))
    after = replace(before, digits="0:27")
    second = wall_layout(after, size)
    assert laid == []
    assert second.marks == marks(after, 1366, 768), "just as if it were laid out anew"
    assert [mark for mark in second.marks if mark not in first.marks] == [second.digits[-1]]


def test_waiting_squares_of_any_budget_are_painted_whole() -> None:
    old = lesson(105, 100)
    assert_change_is_covered(old, replace(old, waiting=True, note="Wait"), 480, 270)
