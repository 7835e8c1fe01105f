"""Pictures of groups, places and the move on the Wall: in a sign's place, and never at the cost of words."""

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QImage, QPainter

from pacer.frames.wall import LEAST_SHARE, PictureKey, WallFrame
from pacer.qt.paper.picture import draw
from pacer.qt.wall.layout import picture_places, wall_layout
from pacer.qt.wall.marks import Picture, Sign, WallLayout
from tests.qt.wall.wall_factories import (
    MOVE_KEY,
    OWN_NAMES,
    SIZES,
    assert_change_is_covered,
    assert_tidy,
    hidden,
    move,
    of_colour,
    pictured,
    pixels,
    visit,
    words_of,
)

pytestmark = pytest.mark.usefixtures("qapp")

COUNTS = [1, 2, 3, 4, 6, 8, 12]
LONG = ("The tall thin sunflowers by the windows " * 5)[:200]
RIGHT_TO_LEFT = ("דובים", "أسماك كبيرة", "מגדלור גבוה")
MOMENTS = ({}, {"left_s": 40, "soon": True}, {"whole": 2, "left_s": 70, "moving": True})
RED = "#8A1030"


def laid_out(frame: WallFrame, size: tuple[int, int]) -> WallLayout:
    return wall_layout(frame, QSize(*size))


def signs_of(made: WallLayout) -> list[Sign]:
    return [mark for mark in made.marks if isinstance(mark, Sign) and mark.name not in ("to", "place")]


def places_of(made: WallLayout) -> list[Sign]:
    return [mark for mark in made.marks if isinstance(mark, Sign) and mark.name == "place"]


def px_of(made: WallLayout) -> dict[str, int]:
    return {part: mark.setting.px for part, mark in made.words.items() if part.startswith(("name", "place"))}


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("count", COUNTS)
def test_pictures_take_little_from_words(count: int, size: tuple[int, int]):
    """Two beside each other may have a fifth of the words' size, so that they are no smudges."""
    for changes in MOMENTS:
        plain = visit(count, names=OWN_NAMES if count <= 8 else (), **changes)
        # Of twelve a name goes that its sign says; no picture says it.
        bare, made = laid_out(plain, size), laid_out(pictured(plain, of_groups=count <= 8), size)
        assert_tidy(made)
        for part, px in px_of(bare).items():
            assert px_of(made).get(part, px) >= round(0.8 * px)
        if count <= 8 and not (count >= 6 and size == (1024, 768)):  # there names alone have room
            wanted = [PictureKey(number, 1, "group") for number in range(count)]
            assert [sign.picture for sign in signs_of(made)] == wanted


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("count", COUNTS)
def test_a_picture_of_a_place_is_a_main_mark_or_not_there(count: int, size: tuple[int, int]):
    for changes in MOMENTS:
        frame = pictured(visit(count, **changes), of_groups=False)
        made = laid_out(frame, size)
        assert len(places_of(made)) in (0, count)
        assert all(mark.box.width >= 0.078 * size[1] for mark in (*places_of(made), *signs_of(made)[:9]))
        for sign, place in zip(signs_of(made), places_of(made), strict=False):
            assert sign.box.y == place.box.y
            assert 0 < place.box.x - sign.box.x - sign.box.width < 0.1 * size[1]


@pytest.mark.parametrize("count", [2, 3, 4, 6])
def test_on_a_wide_picture_places_have_their_pictures(count: int):
    for changes in MOMENTS:
        frame = pictured(visit(count, **changes))
        shown = [mark.picture for mark in places_of(laid_out(frame, (1366, 768)))]
        assert shown == [group.place_picture for group in frame.groups]


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("count", COUNTS)
def test_in_the_last_minute_pictures_change_and_nothing_moves(count: int, size: tuple[int, int]):
    before, after = (laid_out(pictured(visit(count, **changes)), size) for changes in MOMENTS[:2])
    for of in (signs_of, places_of):
        assert [mark.box for mark in of(before)] == [mark.box for mark in of(after)]
    if count > 1 and places_of(before):
        assert [mark.picture for mark in places_of(before)] != [mark.picture for mark in places_of(after)]


def test_of_places_some_may_have_a_picture():
    frame = pictured(visit(3))
    some = tuple(
        group if number else group._replace(place_picture=None) for number, group in enumerate(frame.groups)
    )
    made = laid_out(replace(frame, groups=some), (1366, 768))
    assert [mark.box for mark in places_of(made)] == [
        mark.box for mark in places_of(laid_out(frame, (1366, 768)))
    ]
    assert places_of(made)[0].picture is None


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("names", [(LONG,), RIGHT_TO_LEFT])
def test_long_and_right_to_left_names_break_nothing(names: tuple[str, ...], size: tuple[int, int]):
    for count in (1, 3, 6, 12):
        for changes in MOMENTS:
            made = laid_out(pictured(visit(count, names=names, **changes)), size)
            assert_tidy(made)
            assert all(f"place-{number}" in made.words for number in range(1, count + 1))


# What is painted.


@pytest.mark.parametrize("size", [(1366, 768), (1024, 768)])
def test_a_picture_that_comes_changes_its_own_place_and_moves_nothing(size: tuple[int, int]):
    for frame in (pictured(visit(3)), move()):
        draw(frame, *size)  # the first time that letters of a size are drawn they differ by a few shades
        before, after = (pixels(draw(frame, *size, pictures=given)) for given in (none, of_colour(RED)))
        rest = np.ones((size[1], size[0]), dtype=bool)
        keys = {mark.picture for mark in laid_out(frame, size).marks if isinstance(mark, Sign)} | {
            frame.picture
        }
        for key in keys - {None}:
            for place in picture_places(frame, QSize(*size), key):
                rest[place.top() : place.bottom() + 1, place.left() : place.right() + 1] = False
        assert (before == after)[rest].all()
        assert (before != after).any()


def none(_key: PictureKey, _size: QSize, _ratio: float) -> None:
    return None


def test_a_picture_stands_whole_in_the_place_of_its_sign():
    frame = pictured(visit(3), of_places=False)
    drawn = draw(frame, 1366, 768, pictures=of_colour(RED, 1200, 600))
    for sign in signs_of(laid_out(frame, (1366, 768))):
        x, y, side, _high = sign.box
        assert drawn.pixelColor(x + side // 2, y + side // 2) == QColor(RED)
        assert drawn.pixelColor(x + side // 2, y + side // 8) != QColor(RED)
        # Round corners: what has corners is a minute.
        assert drawn.pixelColor(x + 1, y + side // 4 + 2) != QColor(RED)


def test_a_picture_with_a_shape_of_its_own_lies_on_paper():
    def give(_key: PictureKey, size: QSize, ratio: float) -> QImage:
        made = QImage(size * ratio, QImage.Format.Format_ARGB32_Premultiplied)
        made.fill(Qt.GlobalColor.transparent)
        with QPainter(made) as painter:
            painter.fillRect(QRect(0, 0, made.width() // 2, made.height()), QColor(RED))
        return made

    frame = pictured(visit(3), of_places=False)
    plain, drawn = draw(visit(3), 1366, 768), draw(frame, 1366, 768, pictures=give)
    for sign in signs_of(laid_out(frame, (1366, 768))):
        x, y, side, _high = sign.box
        assert drawn.pixelColor(x + side // 4, y + side // 2) == QColor(RED)
        assert drawn.pixelColor(x + side - 2, y + 1) == plain.pixelColor(2, 2)


def test_while_there_is_no_picture_the_sign_stands_there():
    without = visit(3, names=OWN_NAMES)
    assert draw(without, 1366, 768) == draw(pictured(without, of_places=False), 1366, 768, pictures=none)


@pytest.mark.parametrize("size", [(1366, 768), (1024, 768)])
def test_what_is_said_to_change_is_all_that_changes(size: tuple[int, int]):
    given = by_number
    for old, new in (
        (pictured(visit(3, left_s=61)), pictured(visit(3, left_s=60, soon=True))),
        (pictured(visit(3, left_s=451)), pictured(visit(3, left_s=450))),
        (pictured(visit(3, left_s=30, soon=True)), pictured(visit(3, 2, 70, moving=True))),
        (move(left_s=61), move(left_s=60)),
        (move(), pictured(visit(3))),
        (move(left_s=1), move(left_s=0, over=True, note="Finish up")),
    ):
        assert_change_is_covered(old, new, *size, pictures=given)


def by_number(key: PictureKey, size: QSize, ratio: float) -> QImage:
    colour = ("#8A1030", "#106A3A", "#10308A", "#6A5A10", "#106A6A", "#5A106A")[key.number % 6]
    return of_colour(colour, 900, 900)(key, size, ratio)


# The move.


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_the_move_shows_what_to_take_along_its_words_and_where_each_group_goes(
    count: int, size: tuple[int, int]
):
    for changes in ({}, {"left_s": 0, "over": True, "note": "Finish up"}, {"waiting": True, "note": "Wait"},
                    {"digits": None}, {"whole": 0, "full": 0, "fourths": 0}):  # fmt: skip
        frame = pictured(move(count, **changes))
        for of in (frame, hidden(frame)):
            made = laid_out(of, size)
            assert_tidy(made)
            picture = next(mark for mark in made.marks if isinstance(mark, Picture))
            assert picture.key == MOVE_KEY
            assert min(picture.box.width, picture.box.height) >= 0.3 * size[1]
            assert of.title in words_of(made)
            assert len(signs_of(made)) == count
            assert not of.note or of.note in words_of(made)
            for part, mark in made.words.items():
                assert mark.setting.cap_height >= LEAST_SHARE * size[1] - 1, part


@pytest.mark.slow
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("count", [6, 8, 12])
def test_of_many_groups_the_words_come_before_the_picture_of_the_move(count: int, size: tuple[int, int]):
    with_it, without = laid_out(move(count), size), laid_out(move(count, picture=None), size)
    assert_tidy(with_it)
    if not any(isinstance(mark, Picture) for mark in with_it.marks):
        assert px_of(with_it) == px_of(without)
    else:
        assert all(
            mark.setting.cap_height >= LEAST_SHARE * size[1] - 1
            for part, mark in with_it.words.items()
            if part.startswith(("name", "place"))
        )


def test_until_the_picture_of_the_move_is_there_its_words_stand_there():
    made = laid_out(move(), (1366, 768))
    picture = next(mark for mark in made.marks if isinstance(mark, Picture))
    assert [" ".join(words.setting.lines) for words in picture.card] == ["Folder, pencil"]
    assert all(picture.box.rect().contains(words.box.rect()) for words in picture.card)
