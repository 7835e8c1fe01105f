"""The Wall, the Desk and the tapes: what is drawn, where, how large and how well it can be told apart."""

import itertools
import warnings
from dataclasses import replace

import numpy as np
import pytest
import wcag_contrast_ratio
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QRect, QRectF, QSize
from PySide6.QtGui import QColor, QFontMetricsF, QGuiApplication, QImage, QPainter

from pacer.commands import KEYS
from pacer.frames.desk import DeskFrame, TapeRow
from pacer.frames.record import RecordRow
from pacer.frames.wall import WallFrame
from pacer.frames.words import wording
from pacer.pace.stages import LEVELS
from pacer.qt.desk import painter as desk_painter
from pacer.qt.desk.layout import desk_layout
from pacer.qt.desk.marks import DeskText
from pacer.qt.desk.tapes import column_layout, paint_tapes, tapes_layout
from pacer.qt.kit import theme, type_setting
from pacer.qt.paper.picture import draw, png
from pacer.qt.wall.layout import changed_area, leaving_fourth, wall_layout
from pacer.qt.wall.marks import Square, Words
from pacer.qt.wall.painter import paint_strip, paint_wall
from tests.qt.wall.wall_factories import (
    SIZES,
    advance,
    assert_change_is_covered,
    luminance,
    pixels,
    strip,
    wall,
)

pytestmark = pytest.mark.usefixtures("qapp")

STRIPS = [(1024, 69), (1366, 69), (1920, 97), (3840, 194)]
LONG = "Wiederholung der Bruchrechnung am Zahlenstrahl mit Geschwindigkeitsbegrenzungen"
TITLES = [
    "Review", LONG, "x" * 200, "<b>Bold</b> & <i>x</i>", "الكسور على خط الأعداد", "שברים על ישר המספרים",
    "e\u0301\u0302\u0304\u0308\u0303 n\u0303", "two\nlines\tand a tab", "🙂 fractions",
]  # fmt: skip


def desk(level: int = 0, **changes: object) -> DeskFrame:
    stage = LEVELS[level]
    rows = tuple(
        TapeRow(title, minutes * 60, spent, running=title == "Modeling", visited=spent > 0)
        for title, minutes, spent in (
            ("Skip count", 2, 118), ("Review", 3, 250), ("Modeling", 7, 192), ("Vocabulary", 3, 0),
            ("Look back", 2, 0),
        )
    )  # fmt: skip
    frame = DeskFrame(
        stage, wording.stage_word(stage), level, phase_title="Modeling", number="3:48",
        headline="move by 9:14", under="in 4 min", next_title="Vocabulary", clock="9:10",
        outlook="groups at 9:27", tape=rows,
        near=("Your talk without a break: 4:10", "Examples: 1 of 2"), notes="Ask table 3 for 5/4.",
    )  # fmt: skip
    return replace(frame, **changes)


WALLS = {
    "running": wall(),
    "one minute": wall(1, 38),
    "ten": wall(10, 600),
    "twenty": wall(20, 1051),
    "twenty-five": wall(25, 1490),
    "sixty": wall(60, 3599),
    "ninety": wall(90, 5399),
    "digits only": wall(0, 458, full=0, fourths=0),
    "squares only": wall(digits=None),
    "waiting": wall(waiting=True, note="Wait"),
    "waiting, squares only": wall(digits=None, waiting=True, note="Wait"),
    "over": wall(10, 0, over=True, note="Finish up"),
    "over, squares only": wall(10, 0, digits=None, over=True, note="Finish up"),
    "over, digits only": wall(0, 0, over=True, note="Finish up"),
    "hidden": WallFrame("hidden", title="Guided practice", line="Problems 1–4", next_title="Look back"),
    "ready": WallFrame("full", title="Fractions on a number line", line="Watch, then try"),
}


def close(image: QImage, x: float, y: float, colour: QColor) -> bool:
    at = image.pixelColor(int(x), int(y))
    return all(abs(a - b) <= 6 for a, b in zip(at.getRgb()[:3], colour.getRgb()[:3], strict=True))


def ratio(one: QColor, other: QColor) -> float:
    return wcag_contrast_ratio.rgb(one.getRgbF()[:3], other.getRgbF()[:3])


# Type


def test_the_weight_axis_of_lexend_moves():
    """Bold is wider than regular: the axis is set, not only the font's weight property."""
    bold, regular = (QFontMetricsF(theme.font(100, weight)) for weight in (theme.BOLD, theme.REGULAR))
    assert bold.horizontalAdvance("Guided practice") > regular.horizontalAdvance("Guided practice") + 10


def test_capitals_of_lexend_are_as_high_as_the_layouts_count_on():
    for weight in (theme.REGULAR, theme.BOLD):
        assert QFontMetricsF(theme.font(1000, weight)).capHeight() == pytest.approx(
            1000 * theme.CAP_SHARE, abs=1
        )


def test_fixed_words_stay_within_lexend():
    """A character that falls back to another font would look different on every machine."""
    assert not theme.in_lexend("↑")
    assert not theme.in_lexend("✓")
    stages = [wording.stage_word(stage) for stage in (*LEVELS, "ready", "paused", "ended")]
    keys = [text for key in KEYS for text in (key.label, key.title)]
    for text in (
        *stages,
        *keys,
        "Next",
        "Wait",
        "Finish up",
        "at least 9:00 of 8:00",
        "+0:10",
        type_setting.ELLIPSIS,
    ):
        assert theme.in_lexend(text), text


@given(
    text=st.text(max_size=120),
    width=st.integers(20, 2000),
    largest=st.integers(8, 200),
    lines=st.integers(1, 3),
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_text_is_fitted_into_its_width(text: str, width: int, largest: int, lines: int):
    """Whatever is typed, no line is wider than the box unless not even one letter fits."""
    made = type_setting.fit(text, width, 1000, largest, max(6, largest // 2), theme.REGULAR, lines)
    assert 1 <= len(made.lines) <= lines
    for line in made.lines:
        assert advance(made, line) <= width + 1.5 or len(line) <= 2 or width < 4 * made.px


def test_text_shrinks_before_it_wraps_and_is_elided_only_at_last():
    room = (600, 400, 80, 40, theme.BOLD)
    assert type_setting.fit("Review", *room, 2).px == 80
    shrunk = type_setting.fit("Guided practice", *room, 1)
    assert 40 <= shrunk.px < 80
    assert not shrunk.elided
    wrapped = type_setting.fit("Guided practice at the number line", *room, 2)
    assert len(wrapped.lines) == 2
    assert " ".join(wrapped.lines) == "Guided practice at the number line"
    elided = type_setting.fit(LONG * 2, *room, 2)
    assert elided.elided
    assert elided.px == 40
    assert elided.lines[-1].endswith(type_setting.ELLIPSIS)


def test_markup_is_shown_as_it_is_typed():
    assert type_setting.fit("<b>x</b> &amp;", 900, 100, 40, 20, theme.REGULAR).lines == ("<b>x</b> &amp;",)


@pytest.mark.parametrize(("text", "at_the_right"), [("שברים", True), ("الكسور", True), ("Review", False)])
def test_right_to_left_text_begins_at_the_right_margin(text: str, at_the_right: bool):
    image = draw(wall(title=text, line="", next_title=""), 1920, 1080)
    ink = np.nonzero(luminance(pixels(image)[30:200] / 255).min(axis=0) < 0.4)[0]
    assert bool(1920 - ink.max() < ink.min()) is at_the_right


# Contrast


def test_text_and_fills_have_contrast_of_seven_and_outlines_of_three():
    """For a lit room; 7 : 1 is the level of WCAG 2.2, success criterion 1.4.6, and 3 : 1 that of 1.4.11."""
    text = [
        (theme.INK, theme.PAPER), (theme.SECONDARY, theme.PAPER), (theme.SQUARE, theme.PAPER),
        (theme.WAIT_LIGHT, theme.PAPER), (theme.INK, theme.CLOSING), (theme.INK, theme.SAND),
        (theme.INK, theme.SAND_LINE), (theme.ON_PLUM, theme.PLUM),
    ]  # fmt: skip
    for ink, ground in text:
        assert ratio(ink, ground) >= 7, (ink.name(), ground.name())
    for ground in (theme.PAPER, theme.CLOSING, theme.SAND):
        assert ratio(theme.OUTLINE, ground) >= 3
    assert ratio(theme.OVERRUN, theme.PAPER) >= 3
    assert ratio(theme.OVERRUN, theme.SAND) >= 3


def test_outlines_keep_their_contrast_where_they_are_drawn():
    """A thin line blurred over two pixels would lose it: the darkest pixel across an edge is measured."""
    for whole, size in ((8, (1366, 768)), (60, (1024, 768)), (60, (1920, 97))):
        frame = wall(whole, 0, over=True, note="Finish up")
        frame = strip(frame) if size[1] < 200 else frame
        image = draw(frame, *size)
        for square in wall_layout(frame, QSize(*size)).squares[:: max(1, whole // 5)]:
            x, y, side, _height = square.box
            across = [image.pixelColor(x + dx, y + side // 2) for dx in range(-1, 4)]
            assert max(ratio(at, theme.PAPER) for at in across) >= 3


def test_a_pause_changes_the_pattern_and_not_the_lightness():
    lights = [luminance(np.array(c.getRgbF()[:3])) for c in (theme.WAIT_DARK, theme.WAIT_LIGHT, theme.SQUARE)]
    assert (lights[0] + lights[1]) / 2 == pytest.approx(lights[2], rel=0.03)
    frame = wall()
    x, y, side, _height = wall_layout(frame, QSize(1920, 1080)).squares[0].inner
    inside = np.s_[y + 4 : y + side - 4, x + 4 : x + side - 4]
    running = luminance(pixels(draw(frame, 1920, 1080))[inside] / 255)
    waiting = luminance(pixels(draw(replace(frame, waiting=True, note="Wait"), 1920, 1080))[inside] / 255)
    assert waiting.mean() == pytest.approx(running.mean(), rel=0.08)
    assert waiting.std() > 0.02 > running.std()


# The Wall


@pytest.mark.slow
@pytest.mark.parametrize(
    ("size", "title"),
    [(SIZES[1], title) for title in TITLES] + [(size, LONG) for size in SIZES if size != SIZES[1]],
)
@pytest.mark.parametrize("name", WALLS)
def test_nothing_on_the_wall_is_clipped_or_overlaps(name: str, size: tuple[int, int], title: str):
    """Every word lies in its box, every box in the picture, and no two boxes share a place."""
    frame = replace(WALLS[name], title=title, line=title, next_title=title)
    for second in ("", title):
        made = wall_layout(replace(frame, second_line=second), QSize(*size))
        picture = QRect(0, 0, *size)
        for mark in made.marks:
            assert picture.contains(mark.box.rect()), mark
        for mark in made.words.values():
            assert len(mark.setting.lines) * mark.setting.line_height <= mark.box.height + 1.01
            assert all(advance(mark.setting, line) <= mark.box.width + 2 for line in mark.setting.lines)
        for one, other in itertools.combinations(made.marks, 2):
            shared = one.box.rect().intersected(other.box.rect())
            assert shared.width() <= 2 or shared.height() <= 2, (one, other)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", WALLS)
def test_words_on_the_wall_are_never_too_small_for_the_back_row(name: str, size: tuple[int, int]):
    """Capitals of 5 % of the picture are 20 minutes of arc at 9 m for a picture 1 m high: 2 d tan(θ/2)."""
    for title in ("Review", LONG):
        made = wall_layout(replace(WALLS[name], title=title), QSize(*size))
        assert made.words
        for mark in made.words.values():
            assert mark.setting.cap_height >= 0.05 * size[1]
        for digit in made.digits:
            assert digit.px * theme.CAP_SHARE >= 0.08 * size[1]


def test_squares_reach_eight_percent_up_to_forty_minutes_on_a_wide_picture():
    sides = {
        whole: wall_layout(wall(whole, 60), QSize(1920, 1080)).squares[0].box.width for whole in range(1, 91)
    }
    assert min(side for whole, side in sides.items() if whole <= 20) >= 0.08 * 1080
    assert min(side for whole, side in sides.items() if whole <= 60) >= 0.05 * 1080


@pytest.mark.parametrize("size", [*SIZES, *STRIPS])
@pytest.mark.parametrize(
    ("whole", "left_s"), [(1, 38), (7, 250), (10, 599), (12, 700), (20, 1051), (25, 316), (60, 3599)]
)
def test_the_squares_drawn_are_those_of_the_frame(whole: int, left_s: int, size: tuple[int, int]):
    """Counted in the picture: one probe in each fourth of each square."""
    frame = wall(whole, left_s)
    frame = strip(frame) if size[1] < 200 else frame
    squares = wall_layout(frame, QSize(*size)).squares
    image = draw(frame, *size)
    filled = 0
    for square in squares:
        for index in range(4):
            box = square.fourth(index)
            filled += close(image, box.x + box.width / 2, box.y + box.height / 2, theme.SQUARE)
    assert len(squares) == whole
    assert filled == 4 * frame.full + frame.fourths == -(-left_s // 15)


@pytest.mark.parametrize("size", SIZES)
def test_squares_lie_in_ten_frames_in_reading_order(size: tuple[int, int]):
    squares = [square.box for square in wall_layout(wall(20, 1200), QSize(*size)).squares]
    for begin in (0, 10):
        rows = squares[begin : begin + 5], squares[begin + 5 : begin + 10]
        assert all(len({box.y for box in row}) == 1 for row in rows)
        assert [box.x for box in rows[0]] == [box.x for box in rows[1]]
    inner = squares[1].x - squares[0].x - squares[0].width
    beside = squares[10].x - squares[4].x - squares[4].width
    below = squares[10].y - squares[5].y - squares[5].height
    assert max(beside, below) > 2 * inner


def test_the_leaving_square_is_the_last_and_loses_its_fourths_in_one_order():
    size = QSize(1920, 1080)
    left = [wall_layout(wall(2, seconds), size).squares for seconds in (120, 105, 90, 75, 60, 45, 1)]
    assert [[square.fourths for square in squares] for squares in left] == [
        [4, 4], [4, 3], [4, 2], [4, 1], [4, 0], [3, 0], [1, 0]
    ]  # fmt: skip
    first = left[0][0]
    corners = [(first.fourth(i).x, first.fourth(i).y) for i in range(4)]
    assert corners == sorted(corners, key=lambda at: (at[1], at[0]))


def test_equal_counts_have_equal_squares_whatever_is_said_or_left():
    """Only words that could not be read from the back row otherwise make squares smaller."""
    size, task = QSize(1366, 768), "Problems 1–4 on your whiteboard, then show how"
    for whole in (3, 8, 10, 25):
        frames = [
            wall(whole, whole * 60),
            wall(whole, 14),
            wall(whole, 30, title=LONG, line=task, second_line=task),
        ]
        frames += [wall(whole, 0, over=True, note="Finish up"), wall(whole, 30, waiting=True, note="Wait")]
        assert len({wall_layout(frame, size).squares[0].box.width for frame in frames}) == 1
    assert len({wall_layout(wall(n, 60), size).squares[0].box.width for n in range(1, 10)}) == 1


@pytest.mark.parametrize("size", [*SIZES, *STRIPS])
def test_digits_do_not_move_when_they_change(size: tuple[int, int]):
    """From 9:59 to 0:00 every character keeps its cell."""
    frames = [wall(10, seconds) for seconds in (599, 111, 71, 11, 1)]
    frames = [strip(frame) if size[1] < 200 else frame for frame in frames]
    assert (
        len({tuple(digit.box for digit in wall_layout(frame, QSize(*size)).digits) for frame in frames}) == 1
    )


@pytest.mark.slow
def test_a_digit_is_drawn_within_its_cell():
    size = QSize(1920, 1080)
    for text in ("0:00", "8:88", "1:11", "4:47"):
        frame = wall(digits=text, line="", title="", next_title="", whole=0, full=0, fourths=0)
        image = pixels(draw(frame, 1920, 1080))
        dark = luminance(image / 255) < 0.5
        for digit in wall_layout(frame, size).digits:
            x, y, width, height = digit.box
            dark[y : y + height, x : x + width] = False
        assert not dark.any()


STEPS = [
    ("a second", wall(8, 458), wall(8, 457)),
    ("ten seconds", wall(8, 450), wall(8, 449)),
    ("a fourth", wall(8, 466), wall(8, 465)),
    ("the first fourth of a full square", wall(8, 480), wall(8, 465)),
    ("the last fourth", wall(8, 436), wall(8, 435)),
    ("ten minutes", wall(20, 600), wall(20, 599)),
    ("pause", wall(), wall(waiting=True, note="Wait")),
    ("pause, squares only", wall(digits=None), wall(digits=None, waiting=True, note="Wait")),
    ("over", wall(8, 1), wall(8, 0, over=True, note="Finish up")),
    ("title", wall(), wall(title="Vocabulary")),
    ("hidden", wall(), WallFrame("hidden", title="Guided practice")),
    ("off", wall(), WallFrame("off")),
    ("one more minute", wall(8, 60), wall(9, 120)),
    ("stacked accents", wall(title="Z" + "\u0323\u0330" * 8), wall(8, 457, title="Z" + "\u0323\u0330" * 8)),
]


@pytest.mark.parametrize("in_strip", [False, True])
@pytest.mark.parametrize(("old", "new"), [step[1:] for step in STEPS], ids=[step[0] for step in STEPS])
def test_what_is_said_to_change_is_all_that_changes(old: WallFrame, new: WallFrame, in_strip: bool):
    """Painting only the changed area over the old picture gives exactly the new picture."""
    width, height = (1366, 70) if in_strip else (1366, 768)
    if in_strip:
        old, new = strip(old), strip(new) if new.face != "off" else new
    assert_change_is_covered(old, new, width, height)


def test_a_second_repaints_a_digit_and_a_fourth_repaints_itself():
    size = QSize(1920, 1080)
    second = changed_area(wall(8, 458), wall(8, 457), size)
    assert len(second) == 1
    fourth = changed_area(wall(8, 465, digits=None), wall(8, 450, digits=None), size)
    assert len(fourth) == 1
    assert fourth[0].width() < wall_layout(wall(digits=None), size).squares[0].box.width * 0.6
    assert changed_area(wall(), wall(), size) == []


def test_no_more_than_a_tenth_of_the_picture_changes_while_time_runs():
    size, whole = QSize(1920, 1080), 1920 * 1080
    for left in range(479, 0, -1):
        areas = changed_area(wall(8, left + 1), wall(8, left), size)
        assert sum(area.width() * area.height() for area in areas) <= whole / 10


def test_hidden_time_leaves_no_gap_that_could_be_read():
    """The hidden Wall is the same whatever time was, and its words lie together in the middle."""
    frame = WALLS["hidden"]
    for size in SIZES:
        made = wall_layout(frame, QSize(*size))
        assert not made.squares
        assert not made.digits
        title, line = made.words["title"].box, made.words["line"].box
        assert line.y - (title.y + title.height) < 0.06 * size[1]
        assert 0.2 * size[1] < title.y < 0.5 * size[1]
    low = wall_layout(strip(frame), QSize(1920, 97)).words
    assert low["title"].box.x < 60
    assert low["line"].box.x - low["title"].box.x - low["title"].box.width < 60


def test_the_wall_that_is_off_is_paper():
    assert (pixels(draw(WallFrame("off", title="Review"), 320, 180)) == theme.PAPER.getRgb()[:3]).all()


def test_time_up_shows_outlines_and_finish_up_in_place_of_the_digits():
    made = wall_layout(WALLS["over"], QSize(1920, 1080))
    assert [square.fourths for square in made.squares] == [0] * 10
    assert not made.digits
    assert made.words["note"].setting.lines in (("Finish up",), ("Finish", "up"))


def test_the_fourth_that_went_can_fade():
    frame, size = wall(8, 465), QSize(1366, 768)
    box = leaving_fourth(frame, size)
    assert box is not None
    images = []
    for share in (0.0, 0.5):
        image = QImage(1366, 768, QImage.Format.Format_RGB32)
        with QPainter(image) as painter:
            paint_wall(painter, QRect(0, 0, 1366, 768), frame, leaving=share)
        images.append(pixels(image))
    rows, columns = np.nonzero((images[0] != images[1]).any(axis=2))
    assert box.x <= columns.min()
    assert columns.max() < box.x + box.width
    assert box.y <= rows.min()
    assert rows.max() < box.y + box.height
    assert leaving_fourth(wall(8, 480), size) is None


@pytest.mark.parametrize(
    ("size", "title"),
    [(STRIPS[1], title) for title in TITLES] + [(size, LONG) for size in STRIPS if size != STRIPS[1]],
)
@pytest.mark.parametrize("name", [name for name in WALLS if name != "ninety"])
def test_the_strip_is_one_row_that_does_not_overflow(name: str, title: str, size: tuple[int, int]):
    made = wall_layout(strip(replace(WALLS[name], title=title)), QSize(*size))
    marks = sorted((m for m in made.marks if isinstance(m, Words)), key=lambda mark: mark.box.x)
    marks_right = max([0, *(m.box.x + m.box.width for m in (*made.squares, *made.digits))])
    assert marks_right <= size[0]
    for mark in marks:
        assert mark.box.x >= marks_right - 2
        marks_right = mark.box.x + mark.box.width
        assert marks_right <= size[0]
        assert all(advance(mark.setting, line) <= mark.box.width + 2 for line in mark.setting.lines)
    for square in made.squares:
        assert square.box.y >= 0
        assert square.box.y + square.box.height <= size[1]
    assert "title" in made.words


def test_paint_strip_paints_any_frame_as_a_strip():
    image = QImage(1920, 97, QImage.Format.Format_RGB32)
    with QPainter(image) as painter:
        paint_strip(painter, QRect(0, 0, 1920, 97), wall())
    assert (pixels(image) == pixels(draw(strip(wall()), 1920, 97))).all()


# The Desk


def seen_by(rgb: np.ndarray, eyes: str) -> np.ndarray:
    """The luminance that a kind of eyes sees; Machado, Oliveira and Fernandes 2009, severity 1."""
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    if eyes != "grey":
        with warnings.catch_warnings():
            # Its authors call the tritan matrix an approximation, and the library says so each time; at its
            # import, which takes seconds, it warns that it cannot draw plots, which nobody asks it to.
            warnings.simplefilter("ignore")
            from colour.blindness import matrix_cvd_Machado2009

            matrix = np.asarray(matrix_cvd_Machado2009(eyes, 1.0))
        linear = np.clip(linear @ matrix.T, 0, 1)
    return linear @ np.array([0.2126, 0.7152, 0.0722])


@pytest.mark.slow
@pytest.mark.parametrize("eyes", ["grey", "Protanomaly", "Deuteranomaly", "Tritanomaly"])
def test_states_differ_by_height_and_pattern_without_their_words_and_colours(eyes: str):
    """Seen at the margin, where no word stands: how far the area reaches, how light it is, how striped."""
    looks = []
    for level in range(4):
        margin = pixels(draw(desk(level), 1366, 768))[:, :36] / 255
        light = seen_by(margin, eyes)
        paper = seen_by(np.array(theme.PAPER.getRgbF()[:3]), eyes)
        height = (np.abs(light.mean(axis=1) - paper) > 0.03).mean()
        foot = light[-100:]
        looks.append((height, foot.mean(), foot.std()))
    for (height, light, stripes), (higher, other_light, other_stripes) in itertools.combinations(looks, 2):
        assert higher > height + 0.2
        assert abs(light - other_light) > 0.04 or abs(stripes - other_stripes) > 0.02
    assert looks[2][2] > 0.02 > max(looks[0][2], looks[1][2], looks[3][2])


DESKS = {
    **{LEVELS[level]: desk(level) for level in range(4)},
    "cap": desk(3, number="+12:05", headline="Review is past its 5:00 cap", under="1:10 ago"),
    "paused": desk(stage="paused", word="PAUSED"),
    "ready": DeskFrame("ready", "READY", 0),
    "notice": desk(1, notice="5:10 of your talk: P for partners"),
    "long": desk(
        2, phase_title=LONG, headline=f"{LONG} is past its 5:00 cap", next_title=LONG, notes=LONG * 9,
        notice=f"Away for 4:10; it counts. {LONG}", outlook=LONG, near=(LONG,) * 12,
        tape=tuple(TapeRow(f"{n} {LONG}", 60 + n % 5 * 30, 70 * (n < 30), n == 30) for n in range(60)),
    ),
    "other scripts": desk(3, phase_title=TITLES[4], next_title=TITLES[5], headline=TITLES[6]),
}  # fmt: skip


def ink(text: DeskText) -> QRectF:
    """From the capitals of the first line to the baseline of the last."""
    top = text.box.top() + text.setting.ascent - text.setting.cap_height
    height = text.setting.cap_height + (len(text.setting.lines) - 1) * text.setting.line_height
    return QRectF(text.box.left(), top, text.setting.width, height)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", DESKS)
def test_nothing_on_the_desk_is_clipped_or_overlaps(name: str, size: tuple[int, int]):
    made = desk_layout(DESKS[name], QSize(*size))
    picture = QRectF(0, 0, *size)
    for text in made.texts:
        assert picture.contains(ink(text)), text
        assert all(advance(text.setting, line) <= text.box.width() + 2 for line in text.setting.lines), text
    boxes = [(text.part, ink(text)) for text in made.texts] + [("digit", digit.box) for digit in made.number]
    for (part, one), (other_part, other) in itertools.combinations(boxes, 2):
        shared = one.intersected(other)
        touching = part == other_part == "digit"
        assert touching or shared.width() <= 1 or shared.height() <= 1, (part, other_part)
    if made.notice is not None:
        inside = [text.part for text in made.texts if made.notice.intersects(ink(text))]
        assert inside == ["notice"]
    below = [text.box.top() for text in made.texts if text.part.startswith(("near", "notes", "hint"))]
    assert made.tape.bottom() <= min(below) + 1


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", DESKS)
def test_the_far_page_can_be_read_from_three_metres(name: str, size: tuple[int, int]):
    """12, 20 and 40 minutes of arc at 3 m, on a screen 188 mm high: 10.5, 17.5 and 35 mm (2 d tan(θ/2))."""
    frame, made = DESKS[name], desk_layout(DESKS[name], QSize(*size))
    height = size[1]
    parts = {text.part: text.setting for text in made.texts if text.box.left() < made.far.right()}
    assert all(setting.cap_height >= 10.5 / 188 * height for setting in parts.values())
    if made.number_cells is not None:
        assert made.number_cells.cap_height >= (0.185 if size[0] / size[1] > 1.7 else 0.15) * height
    if size[0] / size[1] > 1.7:
        if frame.headline == "move by 9:14":
            assert parts["headline"].cap_height >= 17.5 / 188 * height - 1
        assert parts["word"].cap_height >= 0.12 * height


def test_the_state_area_is_one_shape_that_grows_from_the_bottom():
    areas = [desk_layout(desk(level), QSize(1920, 1080)).area for level in range(4)]
    assert [area.bottom() for area in areas] == [1080] * 4
    heights = [area.height() for area in areas]
    assert heights == sorted(heights)
    assert heights[0] == 0
    assert heights[3] == 1080


def test_words_can_be_read_all_through_a_fade():
    """Ink against the blended ground never falls under 3 : 1, the level for large text (WCAG 2.2, 1.4.3)."""
    for before, after in ((desk(2), desk(3)), (desk(3), desk(0))):
        for step in range(11):
            image = QImage(1366, 768, QImage.Format.Format_RGB32)
            with QPainter(image) as painter:
                desk_painter.paint_desk(painter, QRect(0, 0, 1366, 768), after, fade=step / 10, before=before)
            used = desk_painter._far_ink(after, before, step / 10)
            for y in (60, 700):
                assert ratio(used, image.pixelColor(4, y)) >= 3, step


@pytest.mark.parametrize("count", [1, 7, 20, 60])
def test_the_tape_never_overlaps_and_always_names_the_running_phase(count: int):
    rows = [
        TapeRow(f"Phase {n}", 60 + n % 4 * 60, 90 * (n < count // 2), n == count // 2) for n in range(count)
    ]
    made = column_layout(rows, QRectF(0, 0, 500, 400), 26)
    for above, below in itertools.pairwise(made):
        assert above.box.bottom() <= below.box.top()
    assert made[-1].box.bottom() <= 400.5
    labels = sorted((row.label[0] for row in made if row.label is not None), key=QRectF.top)
    for one, other in itertools.pairwise(labels):
        assert other.center().y() - one.center().y() >= 26
    assert made[count // 2].label is not None
    tall = [row.box.height() / row.bar.planned_s for row in made]
    assert max(tall) == pytest.approx(min(tall), rel=0.01)


# Look back

RECORDS = [
    RecordRow("a", "Skip count", "k", 120, 118, "done", 1, False),
    RecordRow("b", "Review", "k", 180, 312, "done", 1, False),
    RecordRow("c", "Practice", "k", 480, 540, "bell", 1, True),
    RecordRow("d", "Look back", "k", 120, 0, None, 0, False),
]


def test_an_overrun_that_is_too_short_to_be_seen_as_one_is_told_by_its_figure_alone():
    rows = [TapeRow("Mini lesson", 1500, 1502), TapeRow("Circle", 780, 900), TapeRow("Share", 300, 0)]
    first, second, _third = column_layout(rows, QRectF(0, 0, 300, 280), 17)
    assert first.overrun is None
    assert first.figure[1].lines == ("25 +0:02",)
    assert second.overrun.height() >= 3


def test_all_bars_share_one_zero_and_one_scale():
    made = tapes_layout(RECORDS, QRectF(30, 30, 900, 300), 20)
    for row in made.rows:
        assert row.planned.left() == row.actual.left() == made.zero
        assert row.planned.width() == pytest.approx(row.bar.planned_s * made.per_s)
        assert row.actual.width() == pytest.approx(row.bar.actual_s * made.per_s)
        if row.overrun is not None:
            assert row.overrun.left() == pytest.approx(row.planned.right())
            assert row.overrun.right() == pytest.approx(row.actual.right())
    assert [row.overrun is not None for row in made.rows] == [False, True, True, False]
    assert made.ticks[0] == (made.zero, "0")


def test_an_end_that_was_cut_off_is_drawn_open_and_named_at_least():
    image = QImage(960, 360, QImage.Format.Format_RGB32)
    image.fill(theme.PAPER)
    with QPainter(image) as painter:
        made = paint_tapes(painter, QRectF(30, 30, 900, 300), RECORDS, 20)
    assert made.rows[2].figure[1].lines == ("at least 9:00 of 8:00",)
    assert made.rows[1].figure[1].lines == ("5:12 of 3:00",)

    def right_edge_is_closed(index: int) -> bool:
        box = made.rows[index].actual
        column = [
            image.pixelColor(round(box.right()) - 2, y)
            for y in range(round(box.top()) + 1, round(box.bottom()))
        ]
        return all(ratio(at, theme.PAPER) > 1.1 for at in column)

    assert right_edge_is_closed(0)
    assert not right_edge_is_closed(2)


def test_rows_of_the_desk_can_be_painted_as_bars_too():
    made = tapes_layout(desk().tape, QRectF(0, 0, 900, 300), 20)
    assert [row.bar.open for row in made.rows] == [False, False, True, False, False]


# Pictures


def test_pictures_are_painted_at_the_size_asked_for():
    for frame in (wall(), desk()):
        image = QImage.fromData(png(frame, 640, 360), "PNG")
        assert (image.width(), image.height(), image.devicePixelRatio()) == (640, 360, 1)


def test_the_tests_have_two_screens():
    if QGuiApplication.platformName() != "offscreen":
        pytest.skip("another platform was asked for by PACER_TEST_PLATFORM")
    assert [(s.size().width(), s.size().height()) for s in QGuiApplication.screens()] == [
        (1366, 768),
        (1920, 1080),
    ]


def test_a_square_knows_its_parts():
    square = Square(wall_layout(wall(), QSize(1920, 1080)).squares[0].box, 4)
    inner = square.inner.rect()
    assert square.box.rect().contains(inner)
    parts = [square.fourth(index).rect() for index in range(4)]
    assert all(inner.contains(part) for part in parts)
    assert not any(one.intersects(other) for one, other in itertools.combinations(parts, 2))
