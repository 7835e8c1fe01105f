"""The mark without words, where children see the only screen and she allows it."""

import pytest
from PySide6.QtCore import QRect
from PySide6.QtGui import QGuiApplication, QImage, QPainter
from PySide6.QtWidgets import QCheckBox, QLabel, QMessageBox

from pacer.qt.screens.hint_mark import LEVELS, mark_rect, paint_mark
from pacer.qt.screens.number_cards import OVERLAY
from pacer.qt.screens.present import present_screens
from pacer.qt.screens.questions import OneScreenQuestion
from pacer.run.room_plan import OneScreen
from tests.qt.lesson.test_placing import PRESENT, marked, marks  # noqa: F401
from tests.qt.window_factories import (
    live_screen,
    names_of,
    screen_named,
    settle,
)


@pytest.mark.slow
def test_the_mark_follows_the_desk_s_level_in_a_corner_and_no_desk_is_painted(marked):
    made = marked()
    (mark,) = marks()
    assert mark.isVisible()
    levels = []
    for _second in range(0, 400, 5):
        made.wait(5)
        levels.append(mark.level)
        assert mark.level == made.desk.frame.level
    assert sorted(set(levels)) == [0, 1, 2, 3]
    assert made.desk.paints == 0
    screen = screen_named("Laptop").rect
    assert mark.height() / screen.height() == pytest.approx(1 / 30, abs=0.002)
    assert screen.contains(mark.geometry())
    assert mark.geometry().center().y() > screen.height() * 0.9
    assert mark.windowFlags() & OVERLAY == OVERLAY
    assert mark.findChildren(QLabel) == []
    assert names_of(mark).split() == ["Mark", "Mark"]


@pytest.mark.parametrize("answer", [OneScreen.WALL_ONLY, OneScreen.DESK_ONLY])
def test_without_the_teacher_s_tick_there_is_no_mark(marked, answer):
    made = marked(answer)
    made.wait(130)
    assert marks() == []


def test_the_mark_goes_with_the_wall_and_clears_the_strip(marked, qtbot):
    made = marked()
    (mark,) = marks()
    made.tap("W")
    qtbot.waitUntil(made.wall.strip.isVisible, timeout=60_000)
    assert mark.isVisible()
    assert not mark.geometry().intersects(made.wall.strip.geometry())
    made.tap("W")
    assert not mark.isVisible()
    made.wait(3)
    assert not mark.isVisible()
    made.tap("W")
    assert mark.isVisible()
    made.tap("Home").tap("Return")
    assert made.room.lesson is None
    assert not mark.isVisible()


def test_where_only_the_wall_is_shown_a_moment_without_any_screen_hides_it_and_it_comes_back(
    marked, monkeypatch
):
    made = marked()
    laptop = screen_named("Laptop")
    monkeypatch.setattr(PRESENT, list)
    monkeypatch.setattr(made.room.screens, "private_screen", lambda: None)
    made.room.screens.look()
    assert not made.wall.full.isVisible()
    monkeypatch.setattr(PRESENT, lambda: [laptop])
    monkeypatch.setattr(made.room.screens, "private_screen", lambda: laptop)
    made.room.screens.look()
    assert made.wall.full.isVisible()


def test_the_mark_goes_when_a_second_screen_comes(marked, monkeypatch):
    made = marked()
    monkeypatch.setattr(PRESENT, present_screens)
    QGuiApplication.instance().screenAdded.emit(live_screen("Projector"))
    settle()
    made.wait(2)
    assert not any(mark.isVisible() for mark in marks())
    assert made.wall.full.screen().name() == "Projector"


@pytest.mark.parametrize("edge", ["bottom", "right", "left", "top"])
def test_the_mark_finds_a_lower_corner_clear_of_the_strip(edge):
    screen = QRect(0, 0, 1366, 768)
    strip = {
        "bottom": QRect(0, 698, 1366, 70), "right": QRect(1243, 0, 123, 768),
        "left": QRect(0, 0, 123, 768), "top": QRect(0, 0, 1366, 70),
    }[edge]  # fmt: skip
    place = mark_rect(screen, strip)
    assert screen.contains(place)
    assert not place.intersects(strip)
    assert place.center().y() > screen.height() * 0.8


def test_the_levels_of_the_mark_differ_in_grey_and_none_is_darker_than_an_outline(qapp):
    pictures = []
    for level in range(LEVELS):
        image = QImage(26, 26, QImage.Format.Format_RGB32)
        with QPainter(image) as painter:
            paint_mark(painter, image.rect().toRectF(), level)
        pictures.append(image.convertToFormat(QImage.Format.Format_Grayscale8))
    middles = [[image.pixelColor(13, row).value() for row in range(26)] for image in pictures]
    for one in range(LEVELS):
        for other in range(one):
            differing = [a for a, b in zip(middles[one], middles[other], strict=True) if abs(a - b) > 60]
            assert len(differing) >= 3


@pytest.mark.parametrize(("ticked", "answer"), [(False, "WALL_ONLY"), (True, "WALL_AND_MARK")])
def test_the_question_about_one_screen_offers_the_mark_and_it_is_off_at_first(
    running, monkeypatch, ticked, answer
):
    def choose(box: QMessageBox) -> int:
        tick = box.checkBox()
        assert isinstance(tick, QCheckBox)
        assert not tick.isChecked()
        assert "without words" in tick.text()
        tick.setChecked(ticked)
        box.defaultButton().click()
        return 0

    monkeypatch.setattr(QMessageBox, "exec", choose)
    for _time in range(2):  # each time anew
        assert OneScreenQuestion.ask(running.window) is OneScreen[answer]
    settle()
