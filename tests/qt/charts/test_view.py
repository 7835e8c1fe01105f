"""Pictures of Look back: what they say, that nothing overlaps or misleads, that nobody is trapped in one."""

import subprocess
import sys
from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest
import wcag_contrast_ratio
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QImage, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from pacer.frames.pictures.chart import Axis, Chart, ChartBox, ChartLine, ChartWords, Dots, Table
from pacer.qt.charts.layout import lay_out, words_within, x_at, y_at
from pacer.qt.charts.legend import legend_entries
from pacer.qt.charts.look import MONO, OVER, SCREEN, count_line
from pacer.qt.charts.marks import corners, paint_marks
from pacer.qt.charts.paint import NoRoomError, paint_chart
from pacer.qt.charts.ticks import ticks_of
from pacer.qt.charts.view import ChartView
from pacer.qt.kit import theme
from tests.qt.charts.chart_factories import (
    KINDS,
    how_long,
    improving,
    late_steps,
    lost_minutes,
    over_usually,
    where_time,
)
from tests.qt.window_factories import settle

pytestmark = pytest.mark.usefixtures("dressed")
# The room of a picture's plot in a window of each size that is promised.
ROOMS = [QRectF(0, 0, 1330, 560), QRectF(0, 0, 1880, 860), QRectF(0, 0, 620, 300)]


@pytest.fixture
def view(dressed):
    window = QWidget()
    window.setMinimumSize(600, 400)  # as the program's window has one
    column = QVBoxLayout(window)
    column.addWidget(QLineEdit())
    made = ChartView()
    column.addWidget(made, 1)
    column.addWidget(QLineEdit())
    window.resize(1366, 768)
    window.show()
    yield made
    window.close()
    window.deleteLater()
    settle()


def plain(*boxes: ChartBox, **more: object) -> Chart:
    return Chart(
        "plain", "Invented?", 3, "Three.", Axis("minutes", 0, 10), Axis("minutes", 0, 10), boxes=boxes, **more
    )


def drawn(
    chart: Chart, size: tuple[int, int] = (400, 300), *, mono: bool = False, screen: bool = True
) -> np.ndarray:
    """The marks alone, on their paper, as rows of pixels."""
    image = QImage(*size, QImage.Format.Format_RGB32)
    look = MONO if mono else SCREEN
    image.fill(look.paper)
    with QPainter(image) as painter:
        paint_marks(painter, chart, QRectF(0, 0, *size), look, 15, screen=screen)
    return np.frombuffer(image.constBits(), np.uint8).reshape(size[1], size[0], 4)[:, :, 2::-1].astype(int)


def place(chart: Chart, plot: QRectF, x: float, y: float) -> QPoint:
    """The pixel at which the axes' words place a value."""
    return QPointF(x_at(chart.x, x, plot), y_at(chart.y, y, plot)).toPoint()


def on_paper(chart: Chart, mono: bool) -> np.ndarray:
    image = QImage(900, 620, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    with QPainter(image) as painter:
        paint_chart(painter, QRectF(10, 10, 880, 600), chart, mono=mono)
    return np.frombuffer(image.constBits(), np.uint8).reshape(620, 900, 4)[:, :, 2::-1].astype(int)


# What is said


def test_the_question_the_count_the_choice_and_the_sentence_stand_beside_the_picture(view) -> None:
    chart = where_time(5)
    view.set_chart(chart)
    settle()
    assert view.title.text() == chart.title
    assert view.count.text() == "5 lessons · live · mathematics (invented)"
    assert view.summary.text() == chart.summary
    assert view.plot.isVisible()
    assert (view.accessibleName(), view.accessibleDescription()) == (chart.title, chart.summary)


def test_the_count_is_told_once_whether_the_choice_has_it_or_not() -> None:
    assert count_line(replace(where_time(1), choice="live")) == "1 lesson · live"
    assert count_line(replace(where_time(90), choice="")) == "90 lessons"
    assert count_line(replace(where_time(90), choice="90 lessons · live")) == "90 lessons · live"


@pytest.mark.parametrize("kind", KINDS)
def test_without_lessons_there_is_one_calm_sentence_and_no_axes(view, kind: str) -> None:
    view.set_chart(KINDS[kind](0))
    settle()
    assert view.calm.isVisible()
    assert view.calm.text() == "No lesson yet. After the first one its minutes are shown here."
    assert view.accessibleDescription() == view.calm.text()
    assert not view.plot.isVisible()
    assert not view.table_button.isVisible()


def test_after_an_empty_picture_comes_a_full_one_and_back(view) -> None:
    for days in (0, 5, 0, 90):
        view.set_chart(where_time(days))
        settle()
        assert view.calm.isVisible() == (days == 0)
        assert view.legend.isVisible() == (days > 0)


def test_the_table_comes_and_goes_by_its_key_and_holds_every_number(view) -> None:
    table = Table(("Day", "Minutes"), (("2 Sep", "9:40"), ("3 Sep", "8:05")), right=(1,))
    view.set_chart(replace(where_time(5), table=table))
    settle()
    assert not view.table.isVisible()
    QTest.keyClick(view.window(), Qt.Key.Key_T, Qt.KeyboardModifier.ControlModifier)
    assert view.table.isVisible()
    texts = [[view.table.item(row, column).text() for column in range(2)] for row in range(2)]
    assert texts == [["2 Sep", "9:40"], ["3 Sep", "8:05"]]
    assert view.table.item(0, 1).textAlignment() & Qt.AlignmentFlag.AlignRight
    assert view.count.isVisible(), "the choice is seen with the table, too"
    view.set_chart(replace(where_time(1), table=Table(("Day",), (("4 Sep",),))))
    assert view.table.item(0, 0).text() == "4 Sep", "another chart's numbers, not the last one's"
    QTest.keyClick(view.window(), Qt.Key.Key_T, Qt.KeyboardModifier.ControlModifier)
    assert view.plot.isVisible()


def test_tab_goes_through_the_picture_and_its_table_and_out_again(view) -> None:
    view.set_chart(where_time(5))
    first, last = view.window().findChildren(QLineEdit)
    for as_table in (False, True):
        view.table_button.setChecked(as_table)
        settle()
        first.setFocus()
        seen = []
        for _press in range(3):
            QTest.keyClick(view.window().focusWidget(), Qt.Key.Key_Tab)
            seen.append(view.window().focusWidget())
            if seen[-1] is last:
                break
        assert seen[-1] is last
        assert (view.table in seen) == as_table
        assert view.plot not in seen


def test_wheel_drag_and_clicks_change_nothing(view) -> None:
    view.set_chart(where_time(5))
    settle()
    before = (view.plot.sides, view.plot.grab().toImage())
    middle = view.plot.rect().center()
    for button in (Qt.MouseButton.LeftButton, Qt.MouseButton.RightButton):
        QTest.mousePress(view.window(), button, pos=view.plot.mapTo(view.window(), middle))
        QTest.mouseMove(view.window(), view.plot.mapTo(view.window(), middle) + QPointF(80, 40).toPoint())
        QTest.mouseRelease(view.window(), button, pos=view.plot.mapTo(view.window(), middle))
    settle()
    assert (view.plot.sides, view.plot.grab().toImage()) == before
    assert view.plot.testAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)


# What is drawn


@pytest.mark.parametrize("room", ROOMS, ids=["1366", "1920", "small"])
@pytest.mark.parametrize("days", [5, 90])
@pytest.mark.parametrize("kind", KINDS)
def test_no_words_of_a_picture_meet(kind: str, days: int, room: QRectF) -> None:
    chart = KINDS[kind](days)
    sides = lay_out(chart, room, 15)
    around = [*sides.x_ticks, *sides.y_ticks, *(one for one in (sides.x_label, sides.y_label) if one)]
    assert sides.x_ticks
    assert sides.y_ticks
    for one, other in combinations(around, 2):
        assert not one.box.intersects(other.box), (one.text, other.text)
    for one, other in combinations(words_within(chart, sides), 2):
        assert not one.box.intersects(other.box), (one.text, other.text)
    for one in around:
        assert room.adjusted(-1, -1, 1, 1).contains(one.box), one.text
        assert not one.box.intersects(sides.plot), one.text
        metrics = QFontMetricsF(theme.letters(15))
        assert max(metrics.horizontalAdvance(line) for line in one.text.split("\n")) <= one.box.width() + 0.1
    for one in words_within(chart, sides):
        assert sides.plot.contains(one.box), one.text
    for one, other in combinations(legend_entries(chart.keys, room.width(), 15), 2):
        assert not one.words.intersects(other.words)
        assert not one.sample.intersects(other.words)


def test_of_900_days_every_nth_is_named_and_of_six_causes_every_one() -> None:
    days = lay_out(where_time(900), ROOMS[0], 15)
    numbers = [round((label.at - days.plot.left()) / days.plot.width() * 900 - 0.5) for label in days.x_ticks]
    assert len({later - earlier for earlier, later in pairwise(numbers)}) == 1
    assert len(numbers) >= 10
    causes = lay_out(late_steps(5), ROOMS[2], 15)
    for label, (_at, words) in zip(causes.x_ticks, late_steps(5).x.ticks, strict=True):
        assert words.startswith(label.text.replace("\n", " ").rstrip("…"))
    assert any("\n" in label.text for label in causes.x_ticks), "long names take more than one line"


def test_a_long_row_name_takes_two_lines_where_rows_are_high_and_else_is_shortened() -> None:
    """Shortened also on its second line, where that is too long still."""
    for width, height, breaks, ends in ((1330, 560, 1, False), (1330, 330, 0, True), (640, 600, 1, True)):
        sides = lay_out(over_usually(5), QRectF(0, 0, width, height), 15)
        *others, last = (label.text for label in sides.y_ticks)
        assert (last.count("\n"), last.endswith("…")) == (breaks, ends), (width, height)
        assert not any("\n" in text or "…" in text for text in others)
        assert sides.plot.width() > width * 0.6


@pytest.mark.parametrize(
    ("lower", "upper", "words"),
    [
        (0, 10, ["0", "2", "4", "6", "8", "10"]),
        (0, 0.9, ["0.0", "0.2", "0.4", "0.6", "0.8"]),
        (-3, 3, ["−3", "−2", "−1", "0", "1", "2", "3"]),
        (0, 12000, ["0", "2000", "4000", "6000", "8000", "10000", "12000"]),
        (5, 5, ["5.0", "5.2", "5.4", "5.6", "5.8", "6.0"]),
    ],
)
def test_ticks_are_round_plain_numbers_without_thousands_of_a_unit(lower, upper, words) -> None:
    """Worked out by hand: steps of 1, 2 or 5."""
    assert [text for _at, text in ticks_of(Axis("minutes", lower, upper), 6)] == words


@pytest.mark.parametrize("kind", KINDS)
def test_the_axes_begin_and_end_exactly_where_the_chart_says(view, kind: str) -> None:
    whole = KINDS[kind](5)
    first, last = (whole.x.lower, whole.y.lower), (whole.x.upper, whole.y.upper)
    chart = replace(plain(dots=(Dots((first, last), "square", "over"),)), x=whole.x, y=whole.y)
    view.set_chart(chart)
    settle()
    image, plot = view.plot.grab().toImage(), view.plot.sides.plot.toRect().adjusted(0, 0, 1, 1)
    right_up = [plot.bottomLeft(), plot.topRight()]
    right_down = [plot.topLeft(), plot.bottomRight()]
    for corner in right_down if whole.y.upside_down else right_up:
        # Within each square, to all sides of the axes.
        seen = [image.pixelColor(corner.x() + dx, corner.y() + dy) for dx in (-2, 2) for dy in (-2, 2)]
        assert {colour.name() for colour in seen} == {OVER.name()}


def ink_box(picture: np.ndarray) -> tuple[int, int, int, int]:
    """Left, top, right, bottom of what differs from the paper."""
    inked = np.abs(picture - np.array(SCREEN.paper.getRgb()[:3])).sum(axis=2) > 60
    ys, xs = np.flatnonzero(inked.any(axis=1)), np.flatnonzero(inked.any(axis=0))
    return int(xs[0]), int(ys[0]), int(xs[-1]) + 1, int(ys[-1]) + 1


def test_a_box_covers_what_it_says_on_an_axis_from_zero_and_upside_down() -> None:
    """Ten minutes are 400 pixels across and 300 upwards: from 2 to 5 and from 0 to 4, by hand."""
    box = ChartBox(2, 5, 0, 4, "second")
    assert ink_box(drawn(plain(box))) == pytest.approx((80, 180, 200, 300), abs=1)
    turned = replace(plain(box), y=Axis("", 0, 10, upside_down=True))
    assert ink_box(drawn(turned)) == pytest.approx((80, 0, 200, 120), abs=1)


@pytest.mark.parametrize("tone", ["main", "second", "over", "quiet"])
@pytest.mark.parametrize("screen", [True, False])
def test_a_box_of_two_pixels_is_not_wiped_out_by_its_own_outline(tone, screen) -> None:
    large, tiny = ChartBox(1, 9, 2, 8, tone), ChartBox(9.2, 9.9, 0, 0.07, tone)
    picture = drawn(plain(large, tiny), screen=screen)[292:, 372:392]
    assert np.abs(picture - np.array(SCREEN.paper.getRgb()[:3])).sum(axis=2).max() > 60


def test_a_box_beyond_the_axis_ends_at_the_axis() -> None:
    left, _top, right, _bottom = ink_box(drawn(plain(ChartBox(5, 50, 2, 4, "second"))))
    assert (left, right) == pytest.approx((200, 400), abs=1)


def test_a_torn_end_reaches_what_is_known_and_shows_paper_between_its_teeth() -> None:
    whole, open_end = drawn(plain(ChartBox(2, 5, 2, 8))), drawn(plain(ChartBox(2, 5, 2, 8, open_end=True)))
    assert ink_box(open_end)[2] == pytest.approx(200, abs=1)
    paper = np.array(SCREEN.paper.getRgb()[:3])
    at_end = np.abs(open_end[70:230, 198] - paper).sum(axis=1) < 60
    assert 0.2 < at_end.mean() < 0.9, "teeth, neither an edge nor nothing"
    assert (np.abs(whole[70:230, 198] - paper).sum(axis=1) > 60).all()


def test_steps_hold_a_value_until_the_next_one() -> None:
    """By hand: from (0, 1) to (2, 0.5) first along, then down."""
    assert corners(ChartLine(((0, 1), (2, 0.5), (3, 0)), steps=True)).tolist() == [
        [0, 1],
        [2, 1],
        [2, 0.5],
        [3, 0.5],
        [3, 0],
    ]
    assert corners(ChartLine(((0, 1), (2, 0.5)))).tolist() == [[0, 1], [2, 0.5]]


def test_a_line_is_broken_where_a_value_is_missing() -> None:
    nan = float("nan")
    picture = drawn(plain(lines=(ChartLine(((0, 5), (3, 5), (5, nan), (7, 5), (10, 5))),)))
    row = np.abs(picture[150] - np.array(SCREEN.paper.getRgb()[:3])).sum(axis=1) > 60
    assert row[20:110].all()
    assert not row[135:270].any()
    assert row[290:390].all()


@pytest.mark.parametrize("mono", [False, True])
def test_a_line_is_seen_where_it_crosses_a_dark_box(mono) -> None:
    line = ChartLine(((0, 5), (10, 5)), "dashed", "over")
    paper = np.array((MONO if mono else SCREEN).paper.getRgb()[:3])
    rows = drawn(plain(ChartBox(1, 9, 0, 10), lines=(line,)), mono=mono)[140:160, 100:300]
    assert (np.abs(rows - paper).sum(axis=2) < 30).any(axis=0).mean() > 0.3, "paper beside its dashes"


def test_a_dot_at_the_very_end_of_an_axis_is_whole_on_the_screen(view) -> None:
    chart = plain(dots=(Dots(((5, 10), (5, 5))),))
    view.set_chart(chart)
    settle()
    image = view.plot.grab().toImage()
    seen = []
    for y in (10, 5):
        at = place(chart, view.plot.sides.plot, 5, y)
        column = [image.pixelColor(at.x(), at.y() + dy) for dy in range(-6, 1)]
        seen.append(sum(ratio(colour, theme.DESK_PAPER) > 3 for colour in column))
    assert seen[0] >= seen[1] - 1 > 1


def test_words_that_would_meet_are_moved_apart() -> None:
    chart = plain(
        ChartBox(0, 1, 0, 1), words=(ChartWords(5, 5, "limit 7:48"), ChartWords(5, 5.1, "mean 7:30"))
    )
    first, second = words_within(chart, lay_out(chart, ROOMS[0], 15))
    assert not first.box.intersects(second.box)


# How it can be told apart


def greys(picture: np.ndarray) -> np.ndarray:
    """Relative luminance of pixels, WCAG 2.2."""
    linear = np.where(
        picture / 255 <= 0.04045, picture / 255 / 12.92, ((picture / 255 + 0.055) / 1.055) ** 2.4
    )
    return linear @ np.array([0.2126, 0.7152, 0.0722])


@pytest.mark.parametrize("mono", [False, True])
@pytest.mark.parametrize("screen", [True, False])
@pytest.mark.parametrize("tone", ["main", "second", "over", "quiet"])
def test_the_patterns_of_a_tone_differ_in_grey(tone, screen, mono) -> None:
    """By how much of the area is dark and how often it changes along a row; no least figure is published."""
    seen = {}
    for pattern in ("filled", "hatched", "outline", "dotted"):
        inner = greys(
            drawn(plain(ChartBox(1, 9, 1, 9, tone, pattern)), mono=mono, screen=screen)[60:240, 80:320]
        )
        seen[pattern] = (inner.mean(), (np.abs(np.diff(inner, axis=1)) > 0.04).mean())
    pairs = list(combinations(seen, 2))
    if tone == "over":  # what is over is always hatched
        pairs.remove(("filled", "hatched"))
    for one, other in pairs:
        (light, rough), (other_light, other_rough) = seen[one], seen[other]
        assert abs(light - other_light) > 0.02 or abs(rough - other_rough) > 0.03, (one, other, seen)


@pytest.mark.parametrize("mono", [False, True])
def test_the_tones_differ_in_grey_and_over_is_hatched(mono) -> None:
    """Neighbouring plain tones 1.6 : 1 or more (a choice of ours); over is known by its stripes."""
    mean, rough = {}, {}
    for tone in ("main", "second", "quiet", "over"):
        inner = greys(drawn(plain(ChartBox(1, 9, 1, 9, tone)), mono=mono)[60:240, 80:320])
        mean[tone], rough[tone] = inner.mean(), (np.abs(np.diff(inner, axis=1)) > 0.1).mean()
    assert (mean["second"] + 0.05) / (mean["main"] + 0.05) > 1.6
    assert (mean["quiet"] + 0.05) / (mean["second"] + 0.05) > 1.6
    assert rough["over"] > 0.15 > max(rough[tone] for tone in ("main", "second", "quiet"))


def ratio(one: QColor, other: QColor) -> float:
    return wcag_contrast_ratio.rgb(one.getRgbF()[:3], other.getRgbF()[:3])


@pytest.mark.parametrize("look", [SCREEN, MONO], ids=["screen", "mono"])
def test_words_and_marks_stand_out_from_their_paper(look) -> None:
    """WCAG 2.2: 4.5 : 1 for words (1.4.3), 3 : 1 for marks and axes (1.4.11)."""
    for words in (look.ink, look.soft):
        assert ratio(words, look.paper) >= 4.5
        assert ratio(words, look.band) >= 4.5
    assert ratio(look.side, look.paper) >= 3
    for ink in look.tones.values():
        assert ratio(ink.line, look.paper) >= 3
        assert ratio(ink.line, look.band) >= 3


@pytest.mark.parametrize("shape", ["ring", "square", "triangle"])
def test_every_shape_differs_from_a_dot(shape) -> None:
    dot = drawn(plain(dots=(Dots(((5, 5),)),)))
    other = drawn(plain(dots=(Dots(((5, 5),), shape),)))
    assert (np.abs(dot - other).sum(axis=2) > 200).sum() >= 6


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("days", [0, 5, 900])
def test_on_paper_everything_is_grey_and_within_its_rectangle(kind: str, days: int) -> None:
    picture = on_paper(KINDS[kind](days), mono=True)
    assert (picture.max(axis=2) == picture.min(axis=2)).all()
    assert (picture[:10] == 255).all()
    assert (picture[:, :10] == 255).all()
    assert (picture[610:] == 255).all()
    assert (picture[:, 890:] == 255).all()
    assert (picture < 128).any()


def test_the_picture_in_colour_has_colour() -> None:
    picture = on_paper(where_time(5), mono=False)
    assert (picture.max(axis=2) - picture.min(axis=2)).max() > 40


def test_a_rectangle_too_low_for_a_picture_is_refused_by_name() -> None:
    image = QImage(400, 100, QImage.Format.Format_RGB32)
    with QPainter(image) as painter, pytest.raises(NoRoomError, match="Where did the time go"):
        paint_chart(painter, QRectF(0, 0, 400, 100), where_time(5))


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("days", [0, 5, 900])
@pytest.mark.parametrize("size", [(1366, 768), (700, 480)])
def test_every_picture_is_shown_whole_at_every_size(
    view, kind: str, days: int, size: tuple[int, int]
) -> None:
    view.window().resize(*size)
    view.set_chart(KINDS[kind](days))
    settle()
    frame = QRectF(view.rect())
    shown = [view.title, view.count, view.calm if days == 0 else view.summary]
    # The smaller of both windows is below any that is promised: many rows are scrolled there.
    rows = size[0] < 960 and kind == "over_usually"
    shown += [view.table_button] if days else []
    shown += [view.plot, view.legend] if days and not rows else []
    for widget in shown:
        box = QRectF(widget.mapTo(view, widget.rect().topLeft()), widget.size())
        assert widget.isVisible()
        assert frame.contains(box)
    for one, other in combinations(shown, 2):
        boxes = [QRectF(each.mapTo(view, each.rect().topLeft()), each.size()) for each in (one, other)]
        assert not boxes[0].intersects(boxes[1])
    if days:
        assert view.plot.height() >= 150
        assert view.plot.rect().contains(view.plot.sides.plot.toRect())


@pytest.mark.parametrize("make", [improving, lost_minutes, how_long])
def test_every_mark_is_seen_where_the_axes_say(view, make) -> None:
    """Marks are placed by the thousand and words of the axes one by one: both must agree."""
    chart = make(5)
    view.set_chart(chart)
    settle()
    image = view.plot.grab().toImage()
    spots = [spot for dots in chart.dots for spot in dots.points]
    spots += [((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2) for box in chart.boxes]
    spots += [line.points[-1] for line in chart.lines if line.steps]
    assert spots
    for x, y in spots:
        at = place(chart, view.plot.sides.plot, x, y)
        near = [image.pixelColor(at.x() + dx, at.y() + dy) for dx in range(-2, 3) for dy in range(-2, 3)]
        assert max(ratio(colour, theme.DESK_PAPER) for colour in near) > 2


@pytest.mark.slow
def test_what_paints_pictures_is_not_imported_before_one_is_wanted() -> None:
    code = (
        "import sys\n"
        "import pacer.qt.app, pacer.qt.look_back.page\n"
        "print(sorted({'numpy', 'pacer.qt.charts.view'} & set(sys.modules)))\n"
        "import pacer.qt.look_back.pictures_view\n"
        "print(sorted({'numpy', 'pacer.qt.charts.view'} & set(sys.modules)))\n"
    )
    said = subprocess.run(
        [sys.executable, "-W", "error", "-c", code], capture_output=True, text=True, timeout=6000, check=True
    )
    assert said.stdout.splitlines() == ["[]", "['numpy', 'pacer.qt.charts.view']"]
