"""Without a keyboard: targets on the Desk for a mouse or a finger, where they lie, and what they press."""

import itertools

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QAccessible, QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from pacer.commands import KEYS
from pacer.qt.desk import targets as module
from pacer.qt.desk.layout import desk_layout
from pacer.qt.desk.targets import PLACES, SHOWN_MS, key_of, target_boxes, words_of
from pacer.qt.kit.target import GAP, LEAST_PX, PAD, Target, least_height
from pacer.qt.kit.type_setting import fit
from pacer.qt.lesson.keys import KEY_OF_CODE
from tests.qt.desk.test_painter import DESKS, SIZES, ink
from tests.qt.hand_time import HandTime
from tests.qt.window_factories import change_screens, settle

OFFERS = [
    ("start",), ("next", "add", "pause", "burst", "undo", "end"),
    ("next", "add", "go-on", "eyes-back", "undo", "end"),
    ("next", "add", "pause", "settled", "undo", "end"), ("undo", "close"),
    ("next", "add", "pause", "missed", "undo", "bell-now"), ("next", "add", "pause", "keep", "undo", "end"),
]  # fmt: skip
WORDS = [
    "Next", "Add a minute", "Pause", "Go on", "Partner talk", "Eyes back", "All eyes are back",
    "Undo the last press", "End the lesson", "Start the lesson", "Close the lesson", "Bell now",
    "One group fewer today", "This group is out",
]  # fmt: skip
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def time(monkeypatch):
    """The time of the targets that are made from now on."""
    return HandTime(monkeypatch, module)


@pytest.fixture
def ready(time, new_stage, invented):
    """A lesson on the screens that has not begun."""
    made = new_stage(invented)
    assert made.enter()
    return made


@pytest.fixture(scope="module")
def finger():
    return QTest.createTouchDevice()


@pytest.fixture
def touch(finger, time):
    """Touches a widget, a second after the last time."""

    def touch(widget: QWidget, at: QPoint | None = None, after_ms: int = 1000) -> None:
        time.pass_ms(after_ms)
        where = at or widget.rect().center()
        QTest.touchEvent(widget, finger).press(0, where, widget).commit()
        QTest.touchEvent(widget, finger).release(0, where, widget).commit()
        settle()

    return touch


def shown(stage) -> dict[str, Target]:
    found = [one for one in stage.desk.findChildren(Target) if one.isVisible()]
    return {one.property("command"): one for one in found}


def move(stage, x: int, y: int = 200) -> None:
    at = QPointF(x, y)
    event = QMouseEvent(
        QEvent.Type.MouseMove, at, stage.desk.mapToGlobal(at), Qt.MouseButton.NoButton,
        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier,
    )  # fmt: skip
    QApplication.sendEvent(stage.desk, event)
    settle()


def test_a_whole_lesson_is_run_by_touch_alone(ready, touch, time, monkeypatch):
    made, phases = ready, []
    for guard in ("SAME_KEY_GUARD_MS", "SAME_MOMENT_MS"):  # this finger is quicker than any
        monkeypatch.setattr(f"pacer.qt.lesson.keys.{guard}", -1)
    corner = QPoint(40, 40)

    def press(command: str) -> None:
        made.clock.advance(1000)
        if command not in shown(made):
            touch(made.desk, corner)
        touch(shown(made)[command])
        made.room.keys.reader.settle()
        settle()
        phases.append(made.session.state.index)

    for command in (
        "start", "next", "next", "undo", "add", "pause", "go-on", "burst", "eyes-back", "settled",
        "next", "next", "next", "next", "end",
    ):  # fmt: skip
        press(command)
    assert phases == [0, 1, 2, 1, 1, 1, 1, 1, 1, 1, 2, 3, 4, 5, None]
    assert made.kinds == [
        "started", "moved", "moved", "undone", "time_added", "paused", "went_on", "burst_started",
        "eyes_back", "settled", "moved", "moved", "moved", "moved", "ended",
    ]  # fmt: skip
    left = []
    made.room.left.connect(lambda: left.append(True))
    press("undo")
    assert made.lesson.is_running
    press("end")
    press("close")
    assert left == [True]
    assert made.room.lesson is None


def test_targets_come_when_the_mouse_moves_and_go_some_seconds_later(stage_in_hand_time, time):
    made = stage_in_hand_time
    assert shown(made) == {}
    move(made, 100)
    assert shown(made) == {}, "where the mouse is first seen it may lie since yesterday"
    move(made, 101)
    assert set(shown(made)) == set(OFFERS[1])
    time.pass_ms(SHOWN_MS - 1)
    move(made, 120)
    time.pass_ms(SHOWN_MS - 1)
    assert len(shown(made)) == len(OFFERS[1])
    time.pass_ms(1)
    assert shown(made) == {}
    assert made.desk.targets.foot == 0


@pytest.fixture
def stage_in_hand_time(ready):
    ready.lesson.start()
    settle()
    return ready


def test_a_hand_on_a_target_keeps_them(stage_in_hand_time, time):
    made = stage_in_hand_time
    QTest.mouseClick(made.desk, LEFT, pos=QPoint(50, 50))
    target = shown(made)["undo"]
    time.pass_ms(SHOWN_MS - 1)
    QTest.mouseMove(target, QPoint(5, 5))
    settle()
    time.pass_ms(SHOWN_MS - 1)
    assert len(shown(made)) == len(OFFERS[1])
    QTest.mousePress(target, LEFT)
    time.pass_ms(SHOWN_MS * 3)
    assert len(shown(made)) == len(OFFERS[1])
    QTest.mouseRelease(target, LEFT, pos=QPoint(-50, -50))
    time.pass_ms(SHOWN_MS)
    assert shown(made) == {}


def test_the_press_that_brings_the_targets_presses_none(stage_in_hand_time, touch, time):
    made = stage_in_hand_time
    touch(made.desk, QPoint(made.desk.width() - 60, made.desk.height() - 60))
    assert made.kinds == ["started"]
    touch(shown(made)["end"], after_ms=200)
    assert made.kinds == ["started"], "nor the second tap of a hasty finger"
    touch(shown(made)["end"], after_ms=400)
    assert made.kinds == ["started", "ended"]


def test_a_target_that_took_another_one_s_place_waits_for_a_new_touch(stage_in_hand_time, touch, time):
    made = stage_in_hand_time
    touch(made.desk, QPoint(50, 50))
    touch(shown(made)["pause"])
    touch(shown(made)["go-on"], after_ms=399)
    assert made.kinds == ["started", "paused"]
    touch(shown(made)["end"])
    touch(shown(made)["close"], after_ms=399)
    assert made.room.lesson is not None


@pytest.mark.parametrize("gap", [399, 400])
def test_the_guard_against_double_presses_holds_for_a_touch_and_for_a_key_before_it(ready, time, gap):
    made = ready
    made.lesson.start()
    made.tap("PageDown", down_ms=0)
    move(made, 1)
    move(made, 2)
    time.pass_ms(1000)
    made.keyboard.at_ms += gap
    shown(made)["next"].click()  # as a screen reader presses it: without a time of its own
    assert made.kinds == ["started", "moved"] + ["moved"] * (gap == 400)


def test_a_target_that_is_held_does_what_its_key_does_when_held(stage_in_hand_time, time):
    made = stage_in_hand_time
    made.tap("PageDown").tap("PageDown")
    QTest.mouseClick(made.desk, LEFT, pos=QPoint(50, 50))
    time.pass_ms(1000)
    target = shown(made)["undo"]
    for kind, at_ms in (
        (QEvent.Type.MouseButtonPress, 5_000_000),
        (QEvent.Type.MouseButtonRelease, 5_000_700),
    ):
        at = QPointF(target.rect().center())
        event = QMouseEvent(
            kind, at, target.mapToGlobal(at), LEFT, LEFT if kind == QEvent.Type.MouseButtonPress else
            Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier,
        )  # fmt: skip
        event.setTimestamp(at_ms)
        QApplication.sendEvent(target, event)
    made.room.keys.reader.settle()
    assert made.last.how == "back"


def test_what_is_refused_is_told_as_for_a_key_and_covers_no_target(stage_in_hand_time, touch):
    made = stage_in_hand_time
    made.tap("PageDown").wait(20)
    touch(made.desk, QPoint(50, 50))
    made.desk.grab()
    touch(shown(made)["undo"])
    made.room.keys.reader.settle()
    assert made.refusals == ["Nothing was pressed in the last 10 s. Hold the key to go back one phase."]
    assert made.desk.answered == made.refusals[0]
    assert not any(made.desk.band.intersects(target.geometry()) for target in shown(made).values())


def test_a_minute_given_by_touch_is_what_its_key_gives_and_next_stays_the_larger(stage_in_hand_time, touch):
    made = stage_in_hand_time
    touch(made.desk, QPoint(50, 50))
    targets = shown(made)
    assert targets["next"].width() > 1.9 * targets["add"].width()
    touch(targets["add"])
    assert (made.last.kind, made.last.seconds) == ("time_added", 60)


def test_the_keyboard_stays_with_the_lesson_s_keys(stage_in_hand_time, touch):
    made = stage_in_hand_time
    touch(made.desk, QPoint(50, 50))
    touch(shown(made)["pause"])
    assert made.window.focusWidget() is made.desk
    assert all(one.focusPolicy() == Qt.FocusPolicy.NoFocus for one in shown(made).values())


def test_targets_are_named_buttons_in_the_words_of_the_table(stage_in_hand_time, touch):
    made = stage_in_hand_time
    touch(made.desk, QPoint(50, 50))
    for command, target in shown(made).items():
        spoken = QAccessible.queryAccessibleInterface(target)
        assert spoken.role() == QAccessible.Role.Button
        assert spoken.text(QAccessible.Text.Name) == words_of(command)
    assert sorted(words_of(command) for command in PLACES) == sorted(WORDS)


def test_every_target_presses_a_key_of_the_table_that_does_just_that():
    for command in set(PLACES) - {"start", "close"}:
        name = key_of(command)
        code = getattr(Qt.Key, f"Key_{name.removeprefix('Ctrl+')}")
        key = KEY_OF_CODE[int(code), name.startswith("Ctrl+")]
        assert key in KEYS
        assert command in [tried for tried, _argument in key.tries]


def test_a_curtain_takes_the_targets_along_and_nothing_of_them_is_on_the_wall(stage_in_hand_time, touch):
    made = stage_in_hand_time
    touch(made.desk, QPoint(50, 50))
    change_screens()
    settle()
    assert shown(made) == {}
    made.keyboard.tap("Return")
    settle()
    assert made.window.shows_desk
    assert shown(made) == {}, "they wait for a hand"
    for window in (made.wall.full, made.wall.strip):
        assert window.findChildren(Target) == []
        QTest.mouseMove(window, QPoint(90, 90))
        QTest.mouseClick(window, LEFT, pos=QPoint(80, 80))
    assert made.kinds[0] == "started"
    assert "next" not in made.kinds


# Where they lie.


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", DESKS)
@pytest.mark.usefixtures("dressed")
def test_targets_cover_nothing_of_the_desk_and_are_large(name: str, size: tuple[int, int]):
    wanted = 3 * (LEAST_PX + GAP) - GAP
    made = desk_layout(DESKS[name], QSize(*size), wanted)
    others = [ink(text) for text in made.texts] + [digit.box for digit in made.number] + [made.tape]
    others += [made.notice] if made.notice is not None else []
    for offers in OFFERS:
        boxes = target_boxes(offers, made.foot)
        for box in boxes.values():
            assert box.height() >= LEAST_PX
            assert box.width() >= LEAST_PX
            assert QRectF(0, 0, *size).contains(QRectF(box))
            for other in others:
                shared = other.intersected(QRectF(box))
                assert shared.width() <= 1 or shared.height() <= 1
        for one, other in itertools.combinations(boxes.values(), 2):
            assert not one.adjusted(-3, -3, 3, 3).intersects(other), "a finger needs a gap"
        if "close" in boxes:
            next_box = target_boxes(("next",), made.foot)["next"]
            assert not boxes["close"].intersects(next_box), "Next once too often leaves no lesson"
        lines = {box.top() for box in boxes.values()} | {box.bottom() + 1 + GAP for box in boxes.values()}
        assert len(lines) <= 6, "rows are aligned"


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.usefixtures("dressed")
def test_words_of_targets_are_never_cut(size: tuple[int, int]):
    made = desk_layout(DESKS["long"], QSize(*size), 3 * (LEAST_PX + GAP) - GAP)
    for offers in OFFERS:
        for command, box in target_boxes(offers, made.foot).items():
            setting = fit(words_of(command), box.width() - 2 * PAD, box.height() - PAD, 34, 14, 600, 2)
            assert not setting.elided, command


@pytest.mark.parametrize(("dots", "height", "least"), [
    (96, 768, 60), (135, 768, 80), (0, 540, 60), (1000, 540, 65), (282, 2160, 167),
])  # fmt: skip
def test_a_target_is_15_mm_high_by_what_its_screen_tells_but_60_pixels_at_least(dots, height, least):
    class Screen:
        def physicalDotsPerInchY(self) -> float:  # noqa: N802
            return dots

    class Window:
        def screen(self) -> Screen:
            return Screen()

        def height(self) -> int:
            return height

    assert least_height(Window()) == least


def test_the_target_that_goes_on_speaks_of_no_phase_for_a_visit_or_a_swap_may_follow():
    assert module.words_of("next") == "Next"


def test_the_sheet_of_keys_is_read_whole_no_target_lies_over_it(stage_in_hand_time):
    made = stage_in_hand_time
    QTest.mouseClick(made.desk, LEFT, pos=QPoint(50, 50))
    assert shown(made) != {}
    QTest.keyClick(made.window, Qt.Key.Key_F1)
    settle()
    assert made.desk.sheet is not None
    assert shown(made) == {}
    move(made, 60)
    move(made, 90)
    assert shown(made) == {}, "nor does a mouse that is moved on bring one"
    QTest.mouseClick(made.desk, LEFT, pos=QPoint(50, 50))
    assert made.desk.sheet is None
    assert shown(made) != {}
