"""Look back's Repair: borders dragged and typed, forgotten presses, endings and reasons in one tap."""

from dataclasses import replace
from itertools import pairwise

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor, QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QPushButton, QWidget

from pacer.log.day_records import DayRecords
from pacer.qt.kit import theme
from pacer.qt.look_back.repair.panel import RepairPanel
from pacer.qt.screens.private_window import MainWindow
from pacer.run.clock import ManualClock
from pacer.run.corrections import (
    BorderMoved,
    Correction,
    DayFlagged,
    EndingSaid,
    ReasonGiven,
    StartMoved,
    TakenBack,
    TomorrowNoted,
    VisitSplit,
    effective,
)
from pacer.run.repair import repaired
from pacer.run.session import MemoryJournal, Session
from pacer.run.state import LessonState
from tests.qt.window_factories import click, room_time_ms, settle

# Skip count 9:00 to 9:02:30, done; review to 9:07:50, unsaid; model to 9:17:30, moved on; vocabulary to 9:18,
# unsaid; look back to 9:28 and the bell.
PRESSES = (
    (150, "next done"),
    (320, "next"),
    (580, "next moved-on"),
    (30, "jump look-back"),
    (600, "bell-now"),
)
SKIP, REVIEW, MODEL, VOCABULARY, LOOK_BACK = range(5)  # its visits


def lesson_of(invented, presses=PRESSES, start: str = "9:00") -> LessonState:
    clock = ManualClock(room_time_ms(start))
    session = Session(clock, MemoryJournal())
    session.start(invented, utc_offset_s=offset_s(start))
    for seconds, press in presses:
        clock.advance(seconds * 1000)
        session.tick()
        session.do(*press.split())
    return session.state


def offset_s(start: str) -> int:
    """So that the classroom's clock shows the room's time wherever the tests run."""
    hours, minutes = (int(part) for part in start.split(":"))
    shown = room_time_ms(start) // 1000 % 86_400
    return hours * 3600 + minutes * 60 - shown


class Bench:
    """The panel with an owner that keeps what is said and shows the lesson again."""

    def __init__(self, state: LessonState, stages=None) -> None:
        self.state, self.stages = state, stages
        self.events: list[Correction] = []
        self.said: list = []
        self.writes = True
        self.panel = RepairPanel()
        self.panel.said.connect(self._on_said)
        self.panel.taken_back.connect(self._on_taken_back)
        self.window = MainWindow(QWidget(), demo=False)
        self.window.show_page("look back", self.panel)
        self.window.resize(1100, 700)
        self.window.show()
        self.show()

    def show(self) -> None:
        self.panel.show_lesson(self.state, effective(self.events), self.stages)
        settle()

    def _on_said(self, body) -> None:
        self.said.append(body)
        if self.writes:
            self.events.append(Correction(len(self.events), 0, body))
            self.panel.show_lesson(self.state, effective(self.events), self.stages)

    def _on_taken_back(self, number: int) -> None:
        self._on_said(TakenBack(target=number))

    @property
    def mended(self) -> LessonState:
        return repaired(self.state, effective(self.events))

    @property
    def line(self):
        return self.panel.timeline

    def x(self, border: int) -> float:
        return self.line.layout_now().borders[border + 1].x

    def at(self, x: float) -> QPoint:
        return QPoint(round(x), round(self.line.layout_now().band.center().y()))

    def press(self, x: float) -> None:
        QTest.mousePress(self.line, Qt.MouseButton.LeftButton, pos=self.at(x))

    def move(self, x: float) -> None:
        QTest.mouseMove(self.line, self.at(x))
        settle()

    def release(self, x: float) -> None:
        QTest.mouseRelease(self.line, Qt.MouseButton.LeftButton, pos=self.at(x))
        settle()

    def drag(self, border: int, pixels: int) -> None:
        x = round(self.x(border))
        self.press(x)
        step = 1 if pixels > 0 else -1
        for done in range(step, pixels + step, step):
            self.move(x + done)
        self.release(x + pixels)

    def key(
        self, key: Qt.Key, modifier=Qt.KeyboardModifier.NoModifier, widget: QWidget | None = None
    ) -> None:
        QTest.keyClick(widget or QApplication.focusWidget(), key, modifier)
        settle()

    def type(self, field: QLineEdit, text: str, key: Qt.Key | None = Qt.Key.Key_Return) -> None:
        field.setFocus()
        field.selectAll()
        QTest.keyClicks(field, text)
        if key is not None:
            self.key(key, widget=field)

    def ended(self, visit: int) -> QLineEdit:
        return self.panel.visits.rows[visit].ended

    def took(self, visit: int) -> QLineEdit:
        return self.panel.visits.rows[visit].took

    def texts(self) -> list[list[str]]:
        rows = self.panel.visits.rows
        return [
            [r.phase.text(), r.began.text(), r.ended.text(), r.took.text(), r.reason.text()] for r in rows
        ]


@pytest.fixture
def new_bench(dressed):
    made: list[Bench] = []

    def build(state: LessonState, stages=None) -> Bench:
        made.append(Bench(state, stages))
        return made[-1]

    yield build
    for bench in made:
        bench.window.close()
        bench.window.deleteLater()
    settle()


@pytest.fixture
def bench(new_bench, invented) -> Bench:
    return new_bench(lesson_of(invented))


LEFT, RIGHT, SHIFT = Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier


# --- what is shown


def test_a_lesson_is_shown_with_its_visits_and_showing_it_says_nothing(bench) -> None:
    """Worked by hand from the five presses."""
    assert bench.texts() == [
        ["Skip count", "9:00", "9:02:30", "2:30", ""],
        ["Review", "9:02:30", "9:07:50", "5:20", ""],
        ["Model", "9:07:50", "9:17:30", "9:40", ""],
        ["Vocabulary and talk", "9:17:30", "9:18", "0:30", ""],
        ["Look back", "9:18", "9:28", "10:00", ""],
    ]
    assert bench.panel.day.text() == "Nothing is repaired."
    assert not bench.panel.take_back.isEnabled()
    assert not bench.panel.as_it_was.isEnabled()
    assert bench.said == []


def test_the_boxes_are_to_scale_and_the_times_stand_at_the_borders(bench) -> None:
    made = bench.line.layout_now()
    widths = [piece.box.width() for piece in made.pieces]
    assert [round(width / widths[0], 3) for width in widths] == [
        round(s / 150, 3) for s in (150, 320, 580, 30, 600)
    ]
    labels = [mark.label[1].lines[0] for mark in made.borders if mark.label is not None]
    assert labels == ["9:00", "9:02:30", "9:07:50", "9:17:30", "9:18", "9:28"]
    boxes = [mark.label[0] for mark in made.borders if mark.label is not None]
    assert not any(a.intersects(b) for a in boxes for b in boxes if a is not b)


def test_the_timeline_gives_its_borders_in_words(bench) -> None:
    words = bench.line.accessibleDescription()
    assert words.startswith("Border 1 of 6: the lesson begins with Skip count at 9:00.")
    assert "Border 3 of 6: Review ends, Model begins at 9:07:50." in words
    assert "Border 6 of 6: Look back ends at 9:28." in words
    bench.events.append(Correction(0, 0, BorderMoved(visit=REVIEW, t_ms=400_000)))
    bench.show()
    words = bench.line.accessibleDescription()
    assert "Border 3 of 6: Review ends, Model begins at 9:06:40, before the repair 9:07:50." in words


def test_every_widget_that_takes_the_keyboard_has_a_name(bench) -> None:
    kinds = (QPushButton, QLineEdit, QComboBox)
    for widget in (each for kind in kinds for each in bench.panel.findChildren(kind)):
        if widget.isVisibleTo(bench.panel):
            assert widget.accessibleName() or getattr(widget, "text", str)(), widget
    assert bench.line.accessibleName()


def test_a_repaired_border_leaves_the_old_one_dashed_and_the_day_says_so(bench) -> None:
    bench.events.append(Correction(0, 0, BorderMoved(visit=REVIEW, t_ms=400_000)))
    bench.show()
    assert bench.panel.day.text() == "repaired: 1 change of times"
    (was,) = bench.line.layout_now().was
    assert was.label[1].lines == ("was 9:07:50",)
    picture, band = bench.line.grab().toImage(), bench.line.layout_now().band
    column = [
        QColor(picture.pixel(round(was.x - 0.5), y)) for y in range(int(band.top()) - 4, int(band.bottom()))
    ]
    dark = [colour.lightness() < 150 for colour in column]
    assert 0.3 < sum(dark) / len(dark) < 0.8  # dashes and gaps


# --- drag


def test_a_drag_shows_both_phases_as_they_would_be_and_says_one_thing_when_let_go(bench) -> None:
    x = round(bench.x(REVIEW))
    bench.press(x)
    for pixels in range(1, 31):
        bench.move(x - pixels)
    now = bench.line.line.borders[REVIEW + 1].t_ms
    assert now < 470_000
    assert bench.said == []
    line = bench.line.line
    text = bench.panel.preview.text()
    assert f"Review {line.length_words(REVIEW)} (was 5:20)" in text
    assert f"Model {line.length_words(MODEL)} (was 9:40)" in text
    bench.release(x - 30)
    assert bench.said == [BorderMoved(visit=REVIEW, t_ms=now)]
    assert (bench.state.utc_ms(now) // 1000) % 5 == 0
    assert bench.mended.visits[REVIEW].end_ms == bench.mended.visits[MODEL].begin_ms == now
    assert bench.ended(REVIEW).text() == line.clock(now)


def test_a_press_without_a_move_and_one_moved_back_say_nothing(bench) -> None:
    x = round(bench.x(REVIEW))
    bench.press(x)
    bench.release(x)
    bench.press(x)
    for to in (x + 40, x - 10, x):
        bench.move(to)
    bench.release(x)
    assert bench.said == []
    assert bench.line.line.borders[REVIEW + 1].t_ms == 470_000


def test_a_drag_that_is_given_up_says_nothing(bench) -> None:
    x = round(bench.x(REVIEW))
    bench.press(x)
    bench.move(x + 40)
    bench.key(Qt.Key.Key_Escape, widget=bench.line)
    bench.release(x + 40)
    assert bench.said == []
    assert bench.line.line.borders[REVIEW + 1].t_ms == 470_000


@pytest.mark.parametrize(("pixels", "edge_ms"), [(-2000, 150_000), (2000, 1_050_000)])
def test_a_border_never_goes_past_its_neighbours(bench, pixels: int, edge_ms: int) -> None:
    x = round(bench.x(REVIEW))
    bench.press(x)
    bench.move(x + pixels)
    bench.release(x + pixels)
    assert bench.said == [BorderMoved(visit=REVIEW, t_ms=edge_ms)]


def test_of_two_borders_on_one_place_the_one_that_can_go_that_way_is_meant(bench) -> None:
    bench.events.append(Correction(0, 0, BorderMoved(visit=REVIEW, t_ms=150_000)))
    bench.show()
    bench.drag(SKIP, 25)
    bench.drag(SKIP, -25)
    assert [body.visit for body in bench.said] == [REVIEW, SKIP]
    assert bench.said[0].t_ms > 150_000 > bench.said[1].t_ms


def test_where_it_could_not_be_written_the_old_line_stays(bench) -> None:
    bench.writes = False
    bench.drag(REVIEW, -30)
    assert len(bench.said) == 1
    assert bench.line.line.borders[REVIEW + 1].t_ms == 470_000
    assert bench.ended(REVIEW).text() == "9:07:50"


def test_the_mouse_tells_where_a_border_is(bench) -> None:
    bench.move(bench.x(REVIEW) + 3)
    assert bench.line.cursor().shape() == Qt.CursorShape.SplitHCursor
    bench.move(bench.x(REVIEW) + 60)
    assert bench.line.cursor().shape() == Qt.CursorShape.ArrowCursor


# --- keyboard


def test_the_timeline_is_one_place_for_tab_and_up_and_down_go_from_border_to_border(bench) -> None:
    bench.panel.as_it_was.setEnabled(True)
    bench.panel.as_it_was.setFocus()
    bench.key(Qt.Key.Key_Tab)
    names = []
    for _time in range(7):
        assert QApplication.focusWidget() is bench.line
        names.append(bench.line.accessibleName())
        bench.key(Qt.Key.Key_Down)
    assert [name.split(":")[0] for name in names] == [f"Border {n} of 6" for n in (*range(1, 7), 6)]
    bench.key(Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is bench.panel.unsaid.buttons[0][0]
    bench.key(Qt.Key.Key_Backtab)
    assert (QApplication.focusWidget(), bench.line.current) == (bench.line, 5)
    assert bench.said == []


def test_tab_goes_as_the_eye_does_and_reasons_are_within_reach(bench) -> None:
    """Downwards, and in a line to the right; also after the rows were made anew by what was said."""
    bench.panel.unsaid.buttons[0][0].click()
    settle()
    bench.line.setFocus()
    seen = [QApplication.focusWidget()]
    while len(seen) < 60:
        bench.key(Qt.Key.Key_Tab)
        here = QApplication.focusWidget()
        if here is bench.line or not bench.panel.isAncestorOf(here):
            break
        seen.append(here)
    inner = bench.panel.area.widget()  # it scrolls under the line that stands below
    middles = [each.mapTo(inner, each.rect().center()) for each in seen if inner.isAncestorOf(each)]
    assert [each for each in seen if not inner.isAncestorOf(each)] == [seen[0], *seen[-2:]]
    for before, following in pairwise(middles):
        lower, beside = following.y() > before.y() + 8, abs(following.y() - before.y()) <= 8
        assert lower or (beside and following.x() > before.x())
    first_chip = next(iter(bench.panel.reasons.chips.values()))
    assert seen.index(first_chip) <= 5
    assert {bench.panel.forgotten.add, bench.panel.flagged, bench.panel.take_back} < set(seen)


def test_arrows_move_15_seconds_and_with_shift_one_and_enter_says_them_as_one(bench) -> None:
    bench.line.setFocus()
    bench.key(Qt.Key.Key_Down)
    bench.key(Qt.Key.Key_Down)
    for key, modifier in ((LEFT, 0), (LEFT, 0), (RIGHT, SHIFT), (RIGHT, SHIFT), (LEFT, SHIFT)):
        bench.key(key, modifier or Qt.KeyboardModifier.NoModifier)
    assert bench.said == []
    assert "9:07:21" in bench.line.accessibleName()
    assert bench.panel.preview.text().startswith(
        "Review ends, Model begins at 9:07:21 · Review 4:51 (was 5:20)"
    )
    bench.key(Qt.Key.Key_Return)
    bench.key(Qt.Key.Key_Return)
    assert bench.said == [BorderMoved(visit=REVIEW, t_ms=441_000)]
    assert bench.line.current == REVIEW + 1


def test_leaving_the_border_says_what_was_moved_and_escape_gives_it_up(bench) -> None:
    bench.line.setFocus()
    bench.key(Qt.Key.Key_Down)
    bench.key(RIGHT)
    bench.key(Qt.Key.Key_Down)
    assert bench.said == [BorderMoved(visit=SKIP, t_ms=165_000)]
    bench.key(RIGHT)
    bench.key(Qt.Key.Key_Escape)
    bench.key(RIGHT)
    bench.key(LEFT)
    bench.key(Qt.Key.Key_Down)
    assert len(bench.said) == 1
    bench.key(LEFT)
    bench.panel.flagged.setFocus()
    assert bench.said[1:] == [BorderMoved(visit=MODEL, t_ms=1_035_000)]


def test_taking_back_the_last_change_puts_back_a_border_that_is_still_in_the_hand(bench) -> None:
    assert not bench.panel.take_back.isEnabled()
    bench.line.setFocus()
    bench.key(Qt.Key.Key_Down)
    bench.key(RIGHT)
    bench.panel.take_back.click()
    assert bench.line.moving is None
    assert bench.said == []
    assert not bench.panel.take_back.isEnabled()
    bench.panel.reasons.chips[2, "questions"].click()
    bench.line.setFocus()
    bench.key(RIGHT)
    bench.panel.take_back.click()
    assert bench.line.moving is None
    assert bench.panel.last.text() == "Last change: Model: many questions"


def test_the_keyboard_stops_at_the_neighbours_too(bench) -> None:
    bench.line.setFocus()
    bench.key(Qt.Key.Key_Down)
    for _time in range(40):
        bench.key(LEFT)
    bench.key(Qt.Key.Key_Return)
    assert bench.said == [BorderMoved(visit=SKIP, t_ms=0)]


def test_the_same_lesson_shown_again_takes_nothing_out_of_the_hand(bench) -> None:
    bench.line.setFocus()
    bench.key(Qt.Key.Key_Down)
    bench.key(RIGHT)
    words = bench.panel.preview.text()
    bench.show()
    assert (bench.panel.preview.text(), bench.line.line.borders[SKIP + 1].t_ms) == (words, 165_000)
    bench.key(Qt.Key.Key_Return)
    assert bench.said == [BorderMoved(visit=SKIP, t_ms=165_000)]


# --- typing


@pytest.mark.parametrize(
    ("text", "t_ms"),
    [("9:06", 360_000), ("9:06:15", 375_000), ("9.06", 360_000), ("9:06 am", 360_000), ("+4:30", 420_000)],
)
def test_an_end_is_typed_as_a_time_of_day_or_a_length(bench, text: str, t_ms: int) -> None:
    bench.type(bench.ended(REVIEW), text, None)
    assert bench.said == []
    assert bench.ended(REVIEW).note.isVisible()
    assert "Review ends, Model begins at" in bench.ended(REVIEW).note.text()
    bench.key(Qt.Key.Key_Return, widget=bench.ended(REVIEW))
    bench.panel.flagged.setFocus()
    assert bench.said == [BorderMoved(visit=REVIEW, t_ms=t_ms)]


@pytest.mark.parametrize(
    ("text", "t_ms"), [("4:30", 420_000), ("+4:30", 420_000), ("4", 390_000), ("90 s", 240_000)]
)
def test_how_long_it_took_is_typed_as_a_length(bench, text: str, t_ms: int) -> None:
    bench.type(bench.took(REVIEW), text)
    assert bench.said == [BorderMoved(visit=REVIEW, t_ms=t_ms)]
    assert bench.texts()[MODEL][1] == bench.ended(REVIEW).text()


@pytest.mark.slow
@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("soon", "“soon” is no time of day. Type it like 9:02:30."),
        ("9:99", "“9:99” is no time of day. Type it like 9:02:30."),
        ("25:00", "“25:00” is no time of day. Type it like 9:02:30."),
        ("9:01", "Review began at 9:02:30 and what follows ended at 9:17:30. Type a time in between."),
        ("9:18", "Review began at 9:02:30 and what follows ended at 9:17:30. Type a time in between."),
        ("+99999:00", "“99999:00” is no length. Type minutes and seconds, for example 4:30."),
        ("+-3", "“-3” is no length. Type minutes and seconds, for example 4:30."),
    ],
)
def test_odd_input_is_told_beside_the_field_and_stays_there(bench, text: str, why: str) -> None:
    field = bench.ended(REVIEW)
    field.setFocus()
    field.selectAll()
    QTest.keyClick(field, Qt.Key.Key_Delete)
    QTest.keyClicks(field, text)
    bench.key(Qt.Key.Key_Tab)
    assert (bench.said, field.text()) == ([], text)
    assert field.note.isVisible()
    assert field.note.text() == field.accessibleDescription() == why
    # Something else that is said takes nothing away.
    bench.panel.unsaid.buttons[0][0].click()
    settle()
    assert (field.text(), field.note.text()) == (text, why)
    field.setFocus()
    bench.key(Qt.Key.Key_Escape, widget=field)
    assert (field.text(), field.note.isVisible()) == ("9:07:50", False)


def test_an_emptied_field_shows_again_what_stands(bench) -> None:
    for field, text in ((bench.ended(REVIEW), "9:07:50"), (bench.took(REVIEW), "5:20")):
        field.setFocus()
        field.selectAll()
        bench.key(Qt.Key.Key_Delete, widget=field)
        assert field.text() == ""
        bench.key(Qt.Key.Key_Tab)
        assert (field.text(), field.note.isVisible()) == (text, False)
    assert bench.said == []


def test_the_time_that_is_shown_typed_again_says_nothing(bench) -> None:
    bench.type(bench.ended(REVIEW), "9:07:50")
    bench.type(bench.ended(VOCABULARY), "9:18:00")
    bench.type(bench.took(REVIEW), "5:20")
    assert bench.said == []
    assert bench.ended(VOCABULARY).text() == "9:18"


def test_in_the_afternoon_the_hour_of_a_twelve_hour_clock_is_understood(new_bench, invented) -> None:
    bench = new_bench(lesson_of(invented, start="13:00"))
    assert bench.ended(REVIEW).text() == "13:07:50"
    bench.type(bench.ended(REVIEW), "1:06")
    bench.type(bench.ended(REVIEW), "1:05 pm")
    assert bench.said == [BorderMoved(visit=REVIEW, t_ms=360_000), BorderMoved(visit=REVIEW, t_ms=300_000)]


def test_around_midnight_too(new_bench, invented) -> None:
    bench = new_bench(lesson_of(invented, start="23:55"))
    assert bench.ended(MODEL).text() == "0:12:30"
    bench.type(bench.ended(MODEL), "0:10")
    assert bench.said == [BorderMoved(visit=MODEL, t_ms=900_000)]


def test_what_could_not_be_written_stays_in_the_field_and_enter_tries_again(bench) -> None:
    bench.writes = False
    bench.type(bench.ended(REVIEW), "9:06")
    bench.panel.flagged.setFocus()
    assert bench.ended(REVIEW).text() == "9:06"
    assert len(bench.said) == 1
    bench.writes = True
    bench.ended(REVIEW).setFocus()
    bench.key(Qt.Key.Key_Return)
    assert len(bench.said) == 2
    assert bench.texts()[MODEL][1] == "9:06"


def test_another_lesson_takes_odd_input_away(bench, invented) -> None:
    bench.type(bench.ended(REVIEW), "soon")
    bench.state, bench.events = lesson_of(invented, (*PRESSES[:2], (60, "bell-now"))), []
    bench.show()
    assert [row[2] for row in bench.texts()] == ["9:02:30", "9:07:50", "9:08:50"]
    assert not bench.ended(REVIEW).note.isVisible()


# --- a forgotten press


def choose(box: QComboBox, words: str) -> None:
    """Choose as a person does, with the keyboard."""
    box.setFocus()
    QTest.keyClick(box, Qt.Key.Key_Home)
    for _step in range(box.findText(words)):
        QTest.keyClick(box, Qt.Key.Key_Down)
    settle()
    assert box.currentText() == words


def test_a_forgotten_press_is_added_within_a_visit(bench) -> None:
    form = bench.panel.forgotten
    choose(form.visit, "5 Look back")
    choose(form.phase, "Practice")
    bench.type(form.time, "9:20", None)
    assert form.note.text() == "Look back 2:00 until 9:20, then Practice 8:00"
    bench.key(Qt.Key.Key_Return, widget=form.time)
    assert bench.said == [VisitSplit(visit=LOOK_BACK, t_ms=1_200_000, to=4)]
    assert [row[:4] for row in bench.texts()[4:]] == [
        ["Look back", "9:18", "9:20", "2:00"],
        ["Practice", "9:20", "9:28", "8:00"],
    ]
    assert (form.time.text(), form.note.isVisible()) == ("", False)
    assert "within Look back" in bench.panel.last.text()


def test_the_likely_phase_is_offered_first_and_a_click_on_the_timeline_fills_in_visit_and_time(bench) -> None:
    form = bench.panel.forgotten
    made = bench.line.layout_now()
    QTest.mouseClick(bench.line, Qt.MouseButton.LeftButton, pos=bench.at(made.x(300_000)))
    assert (form.visit.currentText(), form.phase.currentText()) == ("2 Review", "Model")
    assert form.time.text().startswith("9:0")
    assert bench.said == []


def test_a_press_that_was_late_moves_its_border_and_makes_no_second_visit(bench) -> None:
    form = bench.panel.forgotten
    choose(form.visit, "2 Review")
    choose(form.phase, "Model")
    bench.type(form.time, "+3:00")
    assert bench.said == [BorderMoved(visit=REVIEW, t_ms=330_000)]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "Type when Model came: Review ran from 9:02:30 to 9:07:50."),
        ("half past", "“half past” is no time of day. Type it like 9:02:30."),
        ("9:02:30", "Review ran from 9:02:30 to 9:07:50. Type a time in between."),
        ("9:30", "Review ran from 9:02:30 to 9:07:50. Type a time in between."),
    ],
)
def test_an_odd_time_of_a_forgotten_press_is_told_and_nothing_is_lost(bench, text: str, why: str) -> None:
    form = bench.panel.forgotten
    choose(form.visit, "2 Review")
    bench.type(form.time, text, None)
    form.add.click()
    settle()
    assert (bench.said, form.time.text(), form.note.text()) == ([], text, why)
    bench.panel.flagged.click()
    settle()
    assert (form.time.text(), form.visit.currentText()) == (text, "2 Review")


# --- endings


def test_all_unsaid_endings_are_asked_and_one_tap_answers_each(new_bench, invented) -> None:
    state = lesson_of(invented)
    bench = new_bench(state, {1: "move_on", 3: "steady"})
    asked = bench.panel.unsaid
    questions = [pair[0].accessibleName() for pair in asked.buttons]
    assert questions == ["How did Review end? Done", "How did Vocabulary and talk end? Done"]
    guesses = [each.guess for each in asked._shown]
    assert guesses == ["counts as moved on", "counts as done"]
    asked.buttons[0][1].setFocus()
    bench.key(Qt.Key.Key_Space)
    assert QApplication.focusWidget() is asked.buttons[0][0]
    bench.key(Qt.Key.Key_Return)
    assert bench.said == [EndingSaid(phase=1, ending="moved on"), EndingSaid(phase=3, ending="done")]
    assert not asked.isVisible()
    assert bench.panel.day.text() == "Nothing is repaired."


def test_without_knowing_what_the_desk_showed_no_guess_is_told(bench) -> None:
    assert [each.guess for each in bench.panel.unsaid._shown] == ["", ""]


def test_an_ending_that_was_said_wrongly_is_corrected_and_a_wheel_changes_none(bench) -> None:
    box = bench.panel.visits.rows[MODEL].ending
    box.setFocus()
    at, turn = QPointF(5, 5), QPoint(0, -120)
    buttons, modifiers = Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier
    wheel = QWheelEvent(at, at, turn, turn, buttons, modifiers, Qt.ScrollPhase.NoScrollPhase, False)
    QApplication.sendEvent(box, wheel)
    assert (bench.said, box.currentText()) == ([], "moved on")
    bench.key(Qt.Key.Key_Up, widget=box)
    assert bench.said == [EndingSaid(phase=2, ending="done")]
    assert box.currentText() == "done"


# --- reasons


def test_a_tap_gives_a_reason_another_one_changes_it_and_a_second_takes_it_away(bench) -> None:
    chips = bench.panel.reasons.chips
    assert sorted({phase for phase, _reason in chips}) == [0, 1, 2, 5]  # +0:30, +2:20, +2:40 and +8:00
    chips[1, "talked"].click()
    assert bench.texts()[REVIEW][4] == "I talked on"
    chips[1, "late"].click()
    assert [reason for (phase, reason), chip in chips.items() if chip.isChecked()] == ["late"]
    chips[1, "late"].setFocus()
    bench.key(Qt.Key.Key_Space)
    assert bench.said == [ReasonGiven(phase=1, reason=reason) for reason in ("talked", "late", "")]
    assert not any(chip.isChecked() for chip in chips.values())
    assert QApplication.focusWidget() is chips[1, "late"]
    assert bench.panel.day.text() == "Nothing is repaired."


def test_a_reason_that_could_not_be_written_is_not_shown_as_given(bench) -> None:
    bench.writes = False
    chip = bench.panel.reasons.chips[1, "talked"]
    chip.click()
    bench.panel.flagged.click()
    assert len(bench.said) == 2
    assert not chip.isChecked()
    assert not bench.panel.flagged.isChecked()


# --- the day, and taking back


def test_a_day_is_marked_as_not_like_others_and_as_one_after_all(bench) -> None:
    bench.panel.flagged.setFocus()
    bench.key(Qt.Key.Key_Space)
    assert bench.panel.flagged.isChecked()
    bench.key(Qt.Key.Key_Space)
    assert bench.said == [DayFlagged(flagged=True), DayFlagged(flagged=False)]


def test_changes_are_taken_back_one_by_one_and_each_is_named_before(bench) -> None:
    bench.drag(REVIEW, -30)
    moved = bench.mended
    bench.type(bench.ended(SKIP), "9:02")
    bench.panel.reasons.chips[2, "questions"].click()
    bench.events.append(Correction(len(bench.events), 0, TomorrowNoted(text="two examples")))
    bench.show()
    assert bench.panel.last.text() == "Last change: Model: many questions"
    bench.panel.take_back.click()
    assert bench.panel.last.text() == "Last change: Skip count ends, Review begins at 9:02"
    bench.panel.take_back.click()
    assert bench.mended == moved
    bench.panel.take_back.setFocus()
    bench.panel.take_back.click()
    assert bench.mended == bench.state
    assert bench.panel.last.text() == ""
    assert not bench.panel.take_back.isEnabled()
    assert bench.line.hasFocus()
    assert effective(bench.events).thing == "two examples"
    assert bench.line.layout_now().was == ()


def test_that_pauses_count_here_is_told_where_there_was_one(bench, invented) -> None:
    assert not bench.panel.pauses.isVisible()
    bench.state = lesson_of(invented, ((60, "pause"), (60, "go-on"), *PRESSES))
    bench.show()
    assert bench.panel.pauses.isVisible()
    assert bench.took(SKIP).text() == "4:30"


def test_the_lesson_as_it_was_can_be_looked_at_and_not_changed(bench) -> None:
    bench.type(bench.ended(REVIEW), "9:06")
    said = len(bench.said)
    bench.panel.as_it_was.click()
    settle()
    assert bench.ended(REVIEW).text() == "9:07:50"
    assert bench.panel.day.text() == "As it was, before the repair"
    bench.drag(REVIEW, 30)
    bench.line.setFocus()
    bench.key(RIGHT)
    bench.key(Qt.Key.Key_Return)
    assert not bench.ended(REVIEW).isEnabled()
    assert not bench.panel.forgotten.add.isEnabled()
    assert len(bench.said) == said
    bench.panel.as_it_was.click()
    settle()
    assert bench.ended(REVIEW).text() == "9:06"


def test_a_change_that_no_longer_fits_is_named_as_such_and_can_be_taken_back(bench) -> None:
    bench.events = [
        Correction(0, 0, BorderMoved(visit=77, t_ms=5)),
        Correction(1, 0, ReasonGiven(phase=50, reason="late")),
    ]
    bench.show()
    assert bench.panel.last.text() == "Last change: a change that no longer fits"
    bench.panel.take_back.click()
    bench.panel.take_back.click()
    assert effective(bench.events).effective == ()


def test_a_lesson_of_one_phase_a_running_one_and_very_long_words_can_be_shown(new_bench, invented) -> None:
    bench = new_bench(lesson_of(invented, ((5, "bell-now"),)))
    assert [row[:4] for row in bench.texts()] == [["Skip count", "9:00", "9:00:05", "0:05"]]
    long = replace_titles(lesson_of(invented), "Number lines and thirds of thirds " * 4)
    bench.state = long
    bench.show()
    assert bench.line.width() <= bench.window.width()
    bench.state = lesson_of(invented, PRESSES[:2])
    bench.show()
    assert [row[2] for row in bench.texts()] == ["9:02:30", "9:07:50", ""]
    bench.drag(SKIP, 10)
    assert len(bench.said) == 1


def replace_titles(state: LessonState, title: str) -> LessonState:
    phases = tuple(phase.model_copy(update={"title": title}) for phase in state.plan.phases)
    return replace(state, outline=state.plan.model_copy(update={"phases": phases}))


def test_a_lesson_longer_than_a_month_of_milliseconds_can_be_mended(new_bench, invented) -> None:
    """The program was closed in a lesson and looked at after the holidays."""
    bench = new_bench(lesson_of(invented, ((60, "next"), (40 * 86_400, "bell-now"))))
    bench.line.setFocus()
    bench.key(Qt.Key.Key_Down)
    bench.key(Qt.Key.Key_Down)
    bench.key(LEFT)
    bench.key(Qt.Key.Key_Return)
    assert bench.said == [BorderMoved(visit=1, t_ms=60_000 + 40 * 86_400_000 - 15_000)]


# --- in the program


def test_in_the_program_a_repair_is_written_and_read_back(new_program, tmp_path, invented) -> None:
    with DayRecords.open(tmp_path / "data") as records:
        clock = ManualClock(room_time_ms("9:00"))
        session = Session(clock, records.journal())
        session.start(invented)
        for seconds, press in PRESSES:
            clock.advance(seconds * 1000)
            session.tick()
            session.do(*press.split())
        events = list(session.events)
    running = new_program()
    click(running.window.names["look back"])
    page = running.program.pages.look_back.lesson
    page.repair_button.click()
    settle()
    panel = page.repair
    panel.visits.rows[REVIEW].took.setFocus()
    panel.visits.rows[REVIEW].took.selectAll()
    QTest.keyClicks(panel.visits.rows[REVIEW].took, "3:00")
    QTest.keyClick(panel.visits.rows[REVIEW].took, Qt.Key.Key_Return)
    settle()
    assert page.table.item(1, 2).text() == "3:00"
    assert "repaired" in page.about.text()
    with DayRecords.open(tmp_path / "data") as records:
        (run,) = records.runs()
        assert [event.body for event in records.after().of(run.id)] == [
            BorderMoved(visit=REVIEW, t_ms=330_000)
        ]
        assert records.events(run.id) == events
    panel.take_back.click()
    settle()
    assert page.table.item(1, 2).text() == "5:20"


def test_the_chip_of_a_reason_that_is_given_is_dark(bench) -> None:
    chip = bench.panel.reasons.chips[1, "talked"]
    chip.click()
    settle()
    picture = chip.grab().toImage()
    assert picture.pixelColor(20, 6) == theme.SQUARE


# --- a Start that was pressed late


def test_the_begin_is_dragged_before_the_press_and_never_past_it(new_bench, invented) -> None:
    """Start was pressed at 9:08; a moved begin lengthens the first phase and keeps every other clock time."""
    bench = new_bench(lesson_of(invented, start="9:08"))
    made = bench.line.layout_now()
    zero, eight = made.borders[0].x, 480_000 * made.per_ms
    bench.press(zero)
    bench.move(zero - eight / 2)
    bench.move(zero - eight)
    bench.release(zero - eight)
    (body,) = bench.said
    assert isinstance(body, StartMoved)
    assert abs(body.early_ms - 480_000) <= 15_000
    shown = bench.texts()
    assert [row[1:3] for row in shown[1:]] == [
        ["9:10:30", "9:15:50"], ["9:15:50", "9:25:30"], ["9:25:30", "9:26"], ["9:26", "9:36"],
    ]  # fmt: skip
    bench.press(bench.line.layout_now().borders[0].x)
    bench.move(bench.line.layout_now().band.right())
    bench.release(bench.line.layout_now().band.right())
    assert bench.said[-1] == StartMoved(early_ms=0)
    assert bench.texts()[0][1:4] == ["9:08", "9:10:30", "2:30"]


def test_a_begin_is_typed_in_the_first_row_and_what_comes_after_is_written_from_the_press(
    new_bench, invented
) -> None:
    bench = new_bench(lesson_of(invented, start="9:08"))
    bench.type(bench.panel.visits.rows[0].began, "9:00")
    assert bench.said == [StartMoved(early_ms=480_000)]
    assert bench.texts()[0][1:4] == ["9:00", "9:10:30", "10:30"]
    assert "was 9:08" in " ".join(
        mark.label[1].lines[0] for mark in bench.line.layout_now().was if mark.label is not None
    )
    assert bench.panel.day.text() == "repaired: 1 change of times"
    bench.type(bench.ended(SKIP), "9:06")
    assert bench.said[-1] == BorderMoved(visit=SKIP, t_ms=-120_000)
    assert bench.texts()[1][1:3] == ["9:06", "9:15:50"]
    assert bench.panel.last.text() == "Last change: Skip count ends, Review begins at 9:06"
    bench.panel.take_back.click()
    bench.panel.take_back.click()
    settle()
    assert bench.mended == bench.state
    assert bench.texts()[0][1:4] == ["9:08", "9:10:30", "2:30"]


def test_a_begin_after_the_press_is_told_and_not_taken(new_bench, invented) -> None:
    bench = new_bench(lesson_of(invented, start="9:08"))
    field = bench.panel.visits.rows[0].began
    bench.type(field, "9:09")
    assert bench.said == []
    assert field.note.text() == "The lesson may begin at 8:08 at the earliest and at 9:08 at the latest."
