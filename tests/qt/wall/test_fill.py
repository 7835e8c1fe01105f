"""What fills the Wall: a typed problem, a picture or its card, a blank page, partner talk; with the strip."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QImage, QPainter, QRegion

from pacer.frames.wall import PictureKey, WallFrame
from pacer.qt.kit import theme
from pacer.qt.paper.picture import draw
from pacer.qt.wall.fill import SHRINK, beside_strip, problem_lines, size_of_picture
from pacer.qt.wall.layout import changed_area, wall_layout
from pacer.qt.wall.marks import Picture, TextBlock, WallLayout
from pacer.qt.wall.painter import paint_wall
from pacer.qt.wall.strip import strip_box
from tests.qt.wall.wall_factories import (
    EDGES,
    KEY,
    SIZES,
    advance,
    assert_change_is_covered,
    assert_tidy,
    hidden,
    of_colour,
    pixels,
    talk,
    wall,
    words_of,
)

pytestmark = pytest.mark.usefixtures("qapp")

QUESTION = "Which is larger, 2/3 or 3/4?\nShow it on the number line."
RIBBON = (
    "Ada has a ribbon that is 3/4 of a metre long. She cuts off 1/8 of a metre for a bow and then "
    "gives half of what is left to her cousin. How much ribbon does each of them have now? Draw a "
    "number line from 0 to 1, mark every eighth on it and show each step with an arrow. Then write a "
    "sentence that begins: I know that ____ because ____ . Read it to your partner and listen to "
    "what you hear back. Then s"
)
LONG = "Wiederholung der Bruchrechnung am Zahlenstrahl mit Geschwindigkeitsbegrenzungen"
ACCENTS = "e\u0301\u0302\u0304\u0308\u0303 n\u0303\n" + "Z" + "\u0323\u0330" * 8
PROBLEMS = {
    "question": QUESTION,
    "equation": "2/3 + 1/6 = ____",
    "frame": "A fraction names ____ .\n\nThe whole is ____ .\nEach part is ____ .",
    "long": RIBBON,
    "one long word": "x" * 60,
    "right to left": "ما هو الكسر الأكبر؟ 2/3 أو 3/4\nאיזה שבר גדול יותר?",
    "stacked accents": ACCENTS,
    "many lines": "\n".join(f"{n}/8 = ____" for n in range(1, 9)),
    "markup": "<b>2</b> &lt; 3",
}


def problem(text: str, **changes: object) -> WallFrame:
    return wall(**({"fill": "problem", "problem": text} | changes))


def picture(**changes: object) -> WallFrame:
    return wall(**({"fill": "picture", "picture": KEY} | changes))


def shown(made: WallLayout) -> list:
    return [mark for part, mark in made.words.items() if part.startswith("problem")]


def size_of_letters(made: WallLayout) -> int:
    return shown(made)[0].setting.px


# The typed problem.


@pytest.mark.parametrize("size", [SIZES[0], SIZES[2]])
@pytest.mark.parametrize("edge", EDGES)
@pytest.mark.parametrize("name", PROBLEMS)
def test_a_problem_fills_the_wall_beside_the_strip(name: str, edge: str, size: tuple[int, int]):
    frame = problem(PROBLEMS[name], edge=edge)
    strip = strip_box(edge, *size).rect()
    space = beside_strip(edge, *size).rect()
    assert not strip.intersects(space)
    assert strip.united(space) == QRect(0, 0, *size)
    assert min(strip.width(), strip.height()) / size[1] == pytest.approx(0.09, abs=0.005)
    for shape in (
        frame,
        hidden(frame),
        replace(frame, waiting=True, note="Wait"),
        replace(frame, title=LONG),
    ):
        made = wall_layout(shape, QSize(*size))
        assert_tidy(made)
        assert shown(made)
        assert all(space.contains(mark.box.rect()) for mark in shown(made))
        assert all(strip.contains(mark.box.rect()) for mark in (*made.digits, *made.squares))


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("edge", EDGES)
def test_nothing_of_a_problem_of_four_hundred_letters_is_lost(edge: str, size: tuple[int, int]):
    """Letters go down to 16 minutes of arc at the very least, four fifths of the usual 20 (ISO 9241-303)."""
    assert len(RIBBON) == 400
    made = wall_layout(problem(RIBBON, edge=edge), QSize(*size))
    assert " ".join(" ".join(mark.setting.lines) for mark in shown(made)) == RIBBON
    cap = size_of_letters(made) * theme.CAP_SHARE
    assert cap >= SHRINK * 0.05 * size[1] - 1
    if size[0] / size[1] > 1.7:
        assert cap >= 0.05 * size[1]


@pytest.mark.parametrize("name", ["question", "equation", "frame", "right to left", "many lines"])
def test_a_short_problem_is_in_very_large_type(name: str):
    made = wall_layout(problem(PROBLEMS[name]), QSize(1920, 1080))
    assert size_of_letters(made) * theme.CAP_SHARE >= (0.05 if name == "many lines" else 0.08) * 1080


def test_lines_are_kept_and_an_equation_is_not_broken():
    made = wall_layout(problem(PROBLEMS["frame"]), QSize(1366, 768))
    rows = [line for mark in shown(made) for line in mark.setting.lines]
    assert rows == ["A fraction names ____ .", "The whole is ____ .", "Each part is ____ ."]
    assert problem_lines("\n a\tb \r\n\nc\n\n") == ("a b", "", "c")
    boxes = [mark.box for mark in shown(made)]
    assert boxes[1].y - boxes[0].y > boxes[2].y - boxes[1].y  # the empty line
    assert len({box.x for box in boxes}) == 1  # from one margin
    equation = shown(wall_layout(problem("2/3 + 1/6 = ____"), QSize(1366, 768)))
    assert [mark.setting.lines for mark in equation] == [("2/3 + 1/6 = ____",)]
    markup = shown(wall_layout(problem("<b>2</b> &lt; 3"), QSize(1366, 768)))
    assert markup[0].setting.lines == ("<b>2</b> &lt; 3",)


def test_a_problem_too_long_for_any_size_ends_in_an_ellipsis():
    made = wall_layout(problem(RIBBON * 4), QSize(1366, 768))
    assert_tidy(made)
    assert shown(made)[-1].setting.lines[-1].endswith("…")
    assert_tidy(wall_layout(problem("\n".join(["1/2"] * 60)), QSize(1366, 768)))


def test_the_title_is_said_once_above_a_short_problem_and_in_the_strip_of_a_long_one():
    size = QSize(1024, 768)
    for text in (QUESTION, RIBBON):
        made = wall_layout(problem(text, line=""), size)
        assert words_of(made).count("Guided practice") == 1
    short, long = (wall_layout(problem(text), size).words["title"] for text in (QUESTION, RIBBON))
    assert short.quiet
    assert short.box.y < 100
    assert long.box.y > 680


def test_a_problem_keeps_its_place_and_size_whatever_the_time_does():
    frames = [problem(QUESTION, left_s=left) for left in (480, 458, 14)]
    frames += [hidden(frames[0]), replace(frames[0], waiting=True, note="Wait")]
    frames.append(problem(QUESTION, left_s=0, over=True, note="Finish up"))
    places = {tuple(mark.box for mark in shown(wall_layout(frame, QSize(1366, 768)))) for frame in frames}
    assert len(places) == 1


def test_a_strip_with_nothing_to_say_is_not_there_at_all():
    made = wall_layout(hidden(problem(QUESTION, line="")), QSize(1366, 768))
    assert [type(mark) for mark in made.marks] == [TextBlock]
    assert list(made.words) == ["title", "problem", "problem 2"]


@given(text=st.text(max_size=400), edge=st.sampled_from(EDGES))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_is_typed_lies_in_the_picture(text: str, edge: str):
    made = wall_layout(problem(text, edge=edge), QSize(1366, 768))
    for mark in shown(made):
        assert QRect(0, 0, 1366, 768).contains(mark.box.rect())
        assert all(advance(mark.setting, line) <= mark.box.width + 2 for line in mark.setting.lines)


# The picture.


def place_of(frame: WallFrame, size: tuple[int, int]) -> Picture:
    return next(mark for mark in wall_layout(frame, QSize(*size)).marks if isinstance(mark, Picture))


@pytest.mark.slow
@pytest.mark.parametrize("size", [(1024, 768), (1366, 768)])
@pytest.mark.parametrize("edge", EDGES)
@pytest.mark.parametrize(("wide", "high"), [(1600, 400), (400, 1600), (1200, 900)])
def test_a_picture_is_whole_in_the_middle_beside_the_strip(
    edge: str, size: tuple[int, int], wide: int, high: int
):
    image = pixels(draw(picture(edge=edge), *size, pictures=of_colour("#8A1030", wide, high)))
    rows, columns = np.nonzero((image == (0x8A, 0x10, 0x30)).all(axis=2))
    place = place_of(picture(edge=edge), size).box
    width, height = columns.max() - columns.min() + 1, rows.max() - rows.min() + 1
    assert len(rows) == width * height  # nothing lies over it
    assert width / height == pytest.approx(wide / high, rel=0.02)
    frame = picture(edge=edge)
    asked = size_of_picture(edge, QSize(*size), (frame.line, frame.second_line))
    assert (width, height) == pytest.approx(
        QSize(wide, high).scaled(asked, Qt.AspectRatioMode.KeepAspectRatio).toTuple(),
        abs=1,
    )
    left, right = columns.min() - place.x, place.x + place.width - columns.max() - 1
    above, below = rows.min() - place.y, place.y + place.height - rows.max() - 1
    assert left == pytest.approx(right, abs=1)
    assert above == pytest.approx(below, abs=1)
    assert beside_strip(edge, *size).rect().contains(place.rect())
    # A thin frame, then paper.
    row = image[(rows.min() + rows.max()) // 2]
    assert (np.abs(row[columns.min() - 1].astype(int) - theme.OUTLINE.getRgb()[:3]) <= 40).all()


def test_a_picture_as_large_as_asked_for_is_copied_pixel_by_pixel():
    """Also on a screen of a fractional ratio: no letter of a page is smeared."""
    noise = np.random.default_rng(5).integers(0, 255, (64, 64, 4), dtype=np.uint8)
    noise[..., 3] = 255
    image = QImage(noise.tobytes(), 64, 64, 256, QImage.Format.Format_RGB32)
    for ratio in (1.0, 1.25, 1.5, 2.0):
        target = QImage(round(800 * ratio), round(600 * ratio), QImage.Format.Format_RGB32)
        target.setDevicePixelRatio(ratio)
        with QPainter(target) as painter:
            paint_wall(painter, QRect(0, 0, 800, 600), picture(), pictures=lambda *_asked: image)
        found = pixels(target)
        rows, columns = np.nonzero((found == noise[0, 0, 2::-1]).all(axis=2))
        assert any(
            (found[y : y + 64, x : x + 64] == noise[:, :, 2::-1]).all()
            for y, x in zip(rows, columns, strict=True)
            if found[y : y + 64, x : x + 64].shape == (64, 64, 3)
        ), ratio


@pytest.mark.parametrize("size", [SIZES[0], SIZES[2]])
@pytest.mark.parametrize("edge", EDGES)
@pytest.mark.parametrize("title", ["Guided practice", LONG, "الكسور على خط الأعداد"])
def test_a_picture_that_is_not_there_is_a_plain_card_with_title_and_line(
    title: str, edge: str, size: tuple[int, int]
):
    place = place_of(picture(edge=edge, title=title), size)
    assert [words.part for words in place.card] == ["title", "line"]
    assert_tidy(WallLayout(size, place.card))
    assert all(place.box.rect().contains(words.box.rect()) for words in place.card)
    assert all(words.setting.cap_height >= 0.05 * size[1] for words in place.card)
    assert_tidy(wall_layout(picture(edge=edge, title=title), QSize(*size)))


def test_a_picture_is_asked_for_at_the_size_of_its_place_and_of_this_screen():
    asked = []

    def note(*what: object) -> None:
        asked.append(what)

    target = QImage(1600, 1200, QImage.Format.Format_RGB32)
    target.setDevicePixelRatio(2)
    with QPainter(target) as painter:
        paint_wall(painter, QRect(0, 0, 800, 600), picture(edge="left"), pictures=note)
    lines = (picture().line, picture().second_line)
    assert asked == [(KEY, size_of_picture("left", QSize(800, 600), lines), 2.0)]
    place = place_of(picture(edge="left"), (800, 600)).box
    assert 0.98 * place.width < asked[0][1].width() <= place.width - 2


def test_a_second_beside_a_picture_does_not_ask_for_the_picture():
    asked = []

    def note(*what: object) -> None:
        asked.append(what)

    old, new = picture(left_s=458), picture(left_s=457)
    region = QRegion()
    for area in changed_area(old, new, QSize(1366, 768)):
        region += area
    target = QImage(1366, 768, QImage.Format.Format_RGB32)
    with QPainter(target) as painter:
        paint_wall(painter, QRect(0, 0, 1366, 768), new, area=region, pictures=note)
    assert asked == []


# Blank.


def test_the_blank_page_is_paper_and_nothing_else():
    frame = WallFrame("blank", title="Review", digits="1:00", full=1, whole=1)
    assert (pixels(draw(frame, 320, 180)) == theme.PAPER.getRgb()[:3]).all()


# What changes.


STEPS = {
    "a second": (problem(QUESTION), problem(QUESTION, left_s=457)),
    "a fourth": (problem(QUESTION, left_s=466), problem(QUESTION, left_s=465)),
    "pause": (problem(QUESTION), problem(QUESTION, waiting=True, note="Wait")),
    "another problem": (problem(QUESTION), problem("2/3 + 1/6 = ____")),
    "a problem with as many lines": (problem("1/2\n1/3"), problem("1/4\n1/5")),
    "stacked accents": (problem(ACCENTS), problem(ACCENTS, left_s=457)),
    "to the countdown": (problem(QUESTION), wall()),
    "a second beside a picture": (picture(), picture(left_s=457)),
    "the next page": (picture(), picture(picture=PictureKey(2, 2))),
    "another card": (picture(), picture(title="Review")),
    "picture to problem": (picture(), problem(QUESTION)),
    "to blank": (picture(), WallFrame("blank")),
    "blank to off": (WallFrame("blank"), WallFrame("off")),
    "to hidden": (picture(), hidden(picture())),
    "a second of talk": (talk(28), talk(27)),
    "the second partner": (talk(16), talk(15, turn=2)),
    "the second partner, digits only": (
        talk(16, whole=0, full=0, fourths=0), talk(15, turn=2, whole=0, full=0, fourths=0)
    ),
    "two minutes of talk": (
        wall(2, 61, title="Partner talk", turn=1), wall(2, 60, title="Partner talk", turn=2)
    ),
    "talk to time": (talk(1), replace(talk(0), turn=0, over=True, note="Finish up")),
    "talk beside a picture": (picture(whole=1, left_s=16, turn=1), picture(whole=1, left_s=15, turn=2)),
    "larger words": (wall(), wall(least_share=0.08)),
}  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("edge", ["bottom", "left"])
@pytest.mark.parametrize("name", STEPS)
def test_what_is_said_to_change_is_all_that_changes(name: str, edge: str):
    old, new = (replace(frame, edge=edge) for frame in STEPS[name])
    assert_change_is_covered(old, new, 1366, 768)
    pages = {1: of_colour("#8A1030"), 2: of_colour("#108A30", 400, 900)}

    def page(key: PictureKey, size: QSize, ratio: float) -> QImage:
        return pages[key.page](key, size, ratio)

    assert_change_is_covered(old, new, 683, 384, page)


@pytest.mark.parametrize("name", ["a second", "a second beside a picture", "a second of talk"])
@pytest.mark.parametrize("edge", EDGES)
def test_a_second_changes_one_digit(name: str, edge: str):
    old, new = (replace(frame, edge=edge) for frame in STEPS[name])
    assert len(changed_area(old, new, QSize(1920, 1080))) == 1
