"""Week: days with their lessons, planned by keys, buttons and the mouse, and told in words."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt, QTime
from PySide6.QtGui import QDragEnterEvent, QDragLeaveEvent, QDropEvent, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QTimeEdit

from pacer.plan.dates.planned import DaySlot
from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes
from pacer.qt.week.day_list import mime_of
from pacer.qt.week.outline_picker import OutlinePicker
from pacer.settings.model import Settings
from pacer.settings.planned_days import PlannedDaysStore
from tests.qt.window_factories import click, room_time_ms, settle

# The invented day is Monday, 9 March 2026, 9:00.
MON, TUE, WED, THU, FRI = (date(2026, 3, 9) + timedelta(days=number) for number in range(5))
NEXT_MON = MON + timedelta(days=7)
HEAD = 'format = 1\ntitle = "{}"\nsubject = "mathematics"\n[block]\nminutes = 75\nmini_lesson = "25"\n'
PHASE = '[[phase]]\ntitle = "Model"\nkind = "modeling"\nbudget = "20"\nnotes = "Point"\n'
ALT = Qt.KeyboardModifier.AltModifier


class Bench:
    """The program on its page Week; ``plan`` maps dates to the first letters of outlines."""

    def __init__(self, running) -> None:
        self.running = running
        click(running.window.names["week"])
        self.page = running.program.pages.week
        settle()

    @property
    def focus(self):
        return self.running.window.focusWidget()

    def key(self, key, modifiers=Qt.KeyboardModifier.NoModifier) -> None:
        QTest.keyClick(self.focus, key, modifiers)
        settle()

    def keys(self, sequence: str) -> None:
        QTest.keySequence(self.running.window, QKeySequence(sequence))
        settle()

    def on(self, day: date) -> str:
        return "".join(name[0] for name in self.running.program.planned.of(day))

    def column(self, day: date):
        return next(each for each in self.page.columns if each.isVisible() and each.list.day == day)

    def words(self, day: date) -> list[str]:
        days = self.column(day).list
        return [days.item(row).text() for row in range(days.count())]

    def told(self) -> str:
        return self.page.told.text()


@pytest.fixture
def week_of(tmp_path, new_program, room_clock):
    """Opens Week over a plan; ``at`` is the time of Monday."""

    def begin(
        plan: dict[date, str] | None = None, shapes: DayShapes | None = None, at: str = "8:30"
    ) -> Bench:
        room_clock.advance(room_time_ms(at) - room_clock.now().utc_ms)
        data = tmp_path / "data"
        (data / "outlines").mkdir(parents=True, exist_ok=True)
        for letter, title in (("a", "Halves"), ("b", "Thirds"), ("c", "Fourths")):
            text = HEAD.format(title) + PHASE
            (data / "outlines" / f"{letter}.toml").write_text(text, encoding="utf-8")
        settings = Settings(day_shapes=shapes or DayShapes(shapes=STARTING_SHAPES))
        (data / "settings.json").write_text(settings.model_dump_json(), encoding="utf-8")
        store = PlannedDaysStore(data / "planned-days.json", room_clock)
        for day, letters in (plan or {}).items():
            names = tuple(f"{letter}.toml" for letter in letters)
            store.change(lambda days, day=day, names=names: days.with_day(day, names))
        return Bench(new_program(data))

    return begin


def test_by_mouse_alone_a_lesson_is_moved_on_and_taken_off_its_day_again(week_of):
    week = week_of({MON: "ab"})

    def choose(day: date, words: str) -> None:
        menu = week.column(day).list.menu()
        next(each for each in menu.actions() if each.text() == words).trigger()
        settle()

    week.column(MON).list.setFocus()
    week.column(MON).list.choose(0)
    choose(MON, "Move to the next school day")
    assert (week.on(MON), week.on(TUE)) == ("b", "a")
    choose(TUE, "Take off this day")
    assert (week.on(MON), week.on(TUE)) == ("b", "")
    assert [each.text() for each in week.column(TUE).list.menu().actions()] == ["Add a lesson…"]


def test_the_days_stand_there_with_date_shape_and_outlines_in_order(week_of):
    week = week_of({MON: "ab", WED: "c"}, DayShapes(shapes=STARTING_SHAPES, week={1: "Early release", 4: ""}))
    assert week.page.title.text() == "Week of 9 March"
    assert week.words(MON) == ["Halves\nmathematics · next", "Thirds\nmathematics"]
    column = week.column(TUE)
    assert (column.weekday.text(), column.date.text()) == ("Tuesday", "10 March")
    assert column.shape.text() == "Early release, 48 min"
    assert week.column(FRI).shape.text() == "no school"
    assert week.column(MON).weekday.text() == "Monday · next"
    assert week.column(TUE).list.accessibleName() == "Tuesday 10 March, Early release, 48 min, no lesson"
    assert len([each for each in week.page.columns if each.isVisible()]) == 5


def test_arrows_lead_from_day_to_day_and_on_into_the_next_week(week_of):
    week = week_of({TUE: "a"})
    assert week.focus.day == MON
    for _day in range(4):
        week.key(Qt.Key.Key_Right)
    assert week.focus.day == FRI
    week.key(Qt.Key.Key_Right)
    assert (week.focus.day, week.page.title.text()) == (NEXT_MON, "Week of 16 March")
    week.key(Qt.Key.Key_Left)
    assert week.focus.day == FRI


def test_a_lesson_is_put_on_a_day_by_keys_alone(week_of, monkeypatch):
    week = week_of()
    asked = []

    def answer(dialog: OutlinePicker) -> OutlinePicker.DialogCode:
        asked.append(dialog.windowTitle())
        QTest.keyClicks(dialog.typed, "thir")
        return OutlinePicker.DialogCode.Accepted

    monkeypatch.setattr(OutlinePicker, "exec", answer)
    week.key(Qt.Key.Key_Right)
    week.key(Qt.Key.Key_A)
    assert asked == ["A lesson for Tuesday 10 March"]
    assert week.on(TUE) == "b"
    assert week.told() == "Thirds is on Tuesday 10 March."
    assert week.focus is week.column(TUE).list


def test_alt_and_arrows_move_it_to_another_day_and_in_the_order_of_its_own(week_of):
    week = week_of({MON: "ab", TUE: "c"})
    week.key(Qt.Key.Key_Right, ALT)
    assert (week.on(MON), week.on(TUE)) == ("b", "ca")
    assert week.focus.lesson().title == "Halves"
    week.key(Qt.Key.Key_Up, ALT)
    assert week.on(TUE) == "ac"
    week.key(Qt.Key.Key_Left, ALT)
    assert (week.on(MON), week.on(TUE)) == ("ba", "c")
    week.keys("Ctrl+Z")
    week.keys("Ctrl+Z")
    week.keys("Ctrl+Z")
    assert (week.on(MON), week.on(TUE)) == ("ab", "c")
    assert week.told().startswith("Taken back: ")
    week.keys("Ctrl+Y")
    assert (week.on(MON), week.on(TUE)) == ("b", "ca")


def test_delete_takes_it_off_its_day_and_the_file_stays(week_of):
    week = week_of({MON: "ab"})
    week.key(Qt.Key.Key_Delete)
    assert week.on(MON) == "b"
    assert week.told() == "Halves is off Monday 9 March; its file stays."
    assert (week.running.where.outlines / "a.toml").is_file()


def test_enter_opens_the_outline(week_of):
    week = week_of({MON: "ab"})
    week.key(Qt.Key.Key_Down)
    week.key(Qt.Key.Key_Return)
    assert week.running.window.names["outline"].isChecked()
    assert week.running.program.pages.outline.editor.file.path.name == "b.toml"


def drop(week: Bench, what: DaySlot | str, to: date, at: QPoint | None = None) -> None:
    days = week.column(to).list
    point = QPointF(at or QPoint(5, days.viewport().height() - 2))
    data, none = mime_of(what), Qt.KeyboardModifier.NoModifier
    enters = QDragEnterEvent(point.toPoint(), Qt.DropAction.MoveAction, data, Qt.MouseButton.LeftButton, none)
    QApplication.sendEvent(days.viewport(), enters)
    assert enters.isAccepted()
    event = QDropEvent(point, Qt.DropAction.MoveAction, data, Qt.MouseButton.LeftButton, none)
    QApplication.sendEvent(days.viewport(), event)
    settle()


def test_the_day_that_would_take_what_is_dragged_is_marked_until_it_is_gone(week_of):
    week = week_of({MON: "ab"})
    days, none = week.column(TUE).list, Qt.KeyboardModifier.NoModifier
    button = Qt.MouseButton.LeftButton
    data = mime_of(DaySlot(MON, 0))  # Qt keeps no reference
    before = days.grab().toImage()
    days.dragEnterEvent(QDragEnterEvent(QPoint(5, 5), Qt.DropAction.MoveAction, data, button, none))
    assert days.grab().toImage() != before
    assert days.property("target") is True
    days.dragLeaveEvent(QDragLeaveEvent())
    assert days.grab().toImage() == before
    assert days.property("target") is False
    drop(week, DaySlot(MON, 0), TUE)
    assert days.property("target") is False


def test_in_a_low_window_what_was_carried_leaves_room_for_two_lessons(week_of):
    column = week_of({MON: "ab"}).column(MON)
    column.setMinimumSize(0, 0)
    column.show_day(replace(column.card, carried=("Left over from Halves, 6 Mar 2026, see Look back",)))
    column.resize(170, 300)
    assert column.carried.text() == "Carried here: 1 note"
    assert "see Look back" in column.carried.toolTip()
    column.resize(170, 420)
    assert "see Look back" in column.carried.text()


def test_it_is_dragged_to_another_day_into_the_order_and_from_the_list_of_all(week_of):
    week = week_of({MON: "ab", TUE: "c"})
    drop(week, DaySlot(MON, 0), TUE)
    assert (week.on(MON), week.on(TUE)) == ("b", "ca")
    drop(week, DaySlot(TUE, 1), TUE, QPoint(5, 1))
    assert week.on(TUE) == "ac"
    drop(week, "b.toml", WED)
    assert week.on(WED) == "b"


def test_a_snow_day_moves_all_from_the_chosen_day_on(week_of):
    week = week_of({MON: "a", TUE: "b", FRI: "c"})
    week.key(Qt.Key.Key_Right)
    click(week.page.snow_button)
    assert [week.on(day) for day in (MON, TUE, WED, FRI, NEXT_MON)] == ["a", "", "b", "", "c"]
    assert week.column(TUE).shape.text() == "no school"
    week.keys("Ctrl+Z")
    assert [week.on(day) for day in (MON, TUE, WED, FRI)] == ["a", "b", "", "c"]
    assert week.column(TUE).shape.text() == "Regular, 75 min"


def test_two_weeks_stand_below_each_other(week_of):
    week = week_of({MON: "a", NEXT_MON: "b"})
    click(week.page.view_buttons["two weeks"])
    assert len([each for each in week.page.columns if each.isVisible()]) == 10
    assert week.words(NEXT_MON) == ["Thirds\nmathematics"]
    assert week.page.title.text() == "9 March to 20 March"
    week.page.focus_day()
    week.key(Qt.Key.Key_Down)
    assert week.focus.day == NEXT_MON


def test_the_unit_says_what_was_taught_moved_and_dropped(week_of):
    week = week_of({MON: "ab", WED: "c"})
    week.key(Qt.Key.Key_Right, ALT)
    week.key(Qt.Key.Key_Left)
    week.key(Qt.Key.Key_Delete)
    click(week.page.view_buttons["unit"])
    table = week.page.unit.table
    rows = [[table.item(row, column).text() for column in range(5)] for row in range(table.rowCount())]
    assert rows == [
        ["Halves", "to come, moved from Mon 9 Mar", "", "", "Tue 10 Mar"],
        ["Thirds", "dropped", "", "", ""],
        ["Fourths", "to come", "", "", "Wed 11 Mar"],
    ]


def test_another_shape_is_chosen_for_the_day(week_of):
    week = week_of({TUE: "a"})
    week.key(Qt.Key.Key_Right)
    box = week.page.day_actions.shape
    box.setCurrentIndex(box.findText("Early release"))
    box.activated.emit(box.currentIndex())
    settle()
    assert week.column(TUE).shape.text() == "Early release, 48 min"
    assert week.running.program.settings.now.day_shapes.days == {"2026-03-10": "Early release"}


def test_an_outline_whose_file_is_gone_is_told_where_it_stands(week_of):
    week = week_of({TUE: "ab"})
    (week.running.where.outlines / "a.toml").unlink()
    week.page.refresh()
    assert week.words(TUE) == ["a\nits file can't be used", "Thirds\nmathematics"]
    week.key(Qt.Key.Key_Right)
    assert not week.page.print_button.isEnabled()


def test_today_runs_the_first_planned_outline_that_was_not_taught(week_of):
    week = week_of({MON: "bc"})
    running = week.running
    click(running.window.names["today"])
    assert running.today.title.text() == "Thirds"
    assert running.today.about.text().startswith("lesson 1 of 2 · ")
    running.program.start_now(running.today.entry().outline)
    running.program.room.lesson.session.do("bell-now")
    running.today.refresh_block()
    assert running.today.title.text() == "Fourths"
    week.page.refresh()
    running.program.room.shut()


def test_a_planned_file_that_is_gone_is_told_on_today(week_of):
    week = week_of({TUE: "a"})
    (week.running.where.outlines / "a.toml").unlink()
    week.running.clock.advance(12 * 3_600_000)
    week.running.today.refresh_block()
    words = "a.toml is planned for Tuesday 10 March, and is not in your folder. Plan another one on Week."
    assert week.running.today.notice.text() == words


def test_the_schools_last_bell_is_set_on_week_and_today_stands_on_the_next_day_after_it(week_of):
    week = week_of({TUE: "a"}, DayShapes(), at="15:10")
    assert week.page.day == MON
    bell = week.page.head.last_bell
    assert bell.time().toString("H:mm") == "16:00"
    bell.setTime(QTime(15, 0))
    settle()
    assert week.running.program.settings.now.last_bell == "15:00"
    assert week.running.program.lesson_day.at(datetime(2026, 3, 9, 15, 10)) == TUE
    assert [each.weekday for each in shown(week) if each.is_lesson_day] == ["Tuesday"]


def test_a_last_bell_that_is_still_being_typed_moves_nothing(week_of):
    week = week_of({TUE: "a"})
    bell, settings = week.page.head.last_bell, week.running.program.settings
    heard: list[str] = []
    settings.subscribe(lambda: heard.append(settings.now.last_bell))
    bell.setFocus()
    bell.setSelectedSection(QTimeEdit.Section.HourSection)
    QTest.keyClicks(bell, "15")  # at "1" the day would be over, and Today stand on the next one
    QTest.keyClick(bell, Qt.Key.Key_Return)
    assert heard == ["15:00"]
    bell.setSelectedSection(QTimeEdit.Section.HourSection)
    QTest.keyClicks(bell, "14")
    click(week.running.window.names["today"])
    assert heard == ["15:00", "14:00"], "leaving the field takes what was typed, too"


def test_where_another_window_changed_a_day_its_lessons_are_shown_before_the_step_is_taken_again(week_of):
    week = week_of({TUE: "ab"})
    week.column(TUE).list.setFocus()
    week.column(TUE).list.choose(0)
    other = PlannedDaysStore(week.running.where.planned_days_file, week.running.clock)
    other.change(lambda days: days.with_day(TUE, ("c.toml", "a.toml")))
    week.key(Qt.Key.Key_Delete)
    assert "another window" in week.told()
    assert [words.split("\n")[0] for words in week.words(TUE)] == ["Fourths", "Halves"], "what is to look at"


def shown(week):
    return [column.card for column in week.page.columns if column.isVisible()]
