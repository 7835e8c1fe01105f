"""How many actions it takes from a fresh start of the program: each key and each click counts as one."""

from datetime import date, timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QDialog

from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes
from pacer.settings.model import Settings
from pacer.settings.planned_days import PlannedDaysStore
from tests.qt.week.test_page import HEAD, PHASE
from tests.qt.window_factories import click, room_time_ms, settle

MON, TUE = date(2026, 3, 9), date(2026, 3, 10)
WEEK = timedelta(days=7)
EARLY_TUESDAY = DayShapes(shapes=STARTING_SHAPES, week={1: "Early release"})


class Hands:
    """A teacher's hands on a program that has just started; every press is counted."""

    def __init__(self, running, printed: list[str]) -> None:
        self.running, self.printed, self.actions = running, printed, 0

    def press(self, keys: str) -> None:
        self.actions += 1
        window = self.running.window
        window.activateWindow()
        settle()
        if "+" not in keys:
            QTest.keyClick(window.focusWidget(), getattr(Qt.Key, f"Key_{keys}"))
        else:
            QTest.keySequence(window, QKeySequence(keys))
        settle()

    def click(self, widget) -> None:
        assert widget.isVisible(), "a hand can only press what is seen"
        assert widget.isEnabled()
        self.actions += 1
        click(widget)

    def week(self):
        return self.running.program.pages.week

    def planned(self, day: date) -> tuple[str, ...]:
        return self.running.program.planned.of(day)


@pytest.fixture
def hands(tmp_path, new_program, room_clock, monkeypatch):
    """Starts the program at a time of Monday over a plan; Enter, or Print, in the print dialog is counted."""
    printed: list[str] = []

    def begin(at: str, plan: dict[date, str], width: int = 1366, shapes: DayShapes = EARLY_TUESDAY) -> Hands:
        room_clock.advance(room_time_ms(at) - room_clock.now().utc_ms)
        data = tmp_path / "data"
        (data / "outlines").mkdir(parents=True)
        for letter, title in (("a", "Halves"), ("b", "Thirds")):
            (data / "outlines" / f"{letter}.toml").write_text(HEAD.format(title) + PHASE, encoding="utf-8")
        settings = Settings(day_shapes=shapes)
        (data / "settings.json").write_text(settings.model_dump_json(), encoding="utf-8")
        store = PlannedDaysStore(data / "planned-days.json", room_clock)
        for day, letters in plan.items():
            names = tuple(f"{letter}.toml" for letter in letters)
            store.change(lambda days, day=day, names=names: days.with_day(day, names))
        made = Hands(new_program(data), printed)
        made.running.window.showNormal()
        made.running.window.resize(width, 768 if width > 1000 else 540)
        settle()

        def print_it(dialog: QPrintDialog) -> QDialog.DialogCode:
            made.actions += 1
            dialog.printer().setOutputFormat(QPrinter.OutputFormat.PdfFormat)
            dialog.printer().setOutputFileName(str(tmp_path / "card.pdf"))
            printed.append(f"{dialog.windowTitle()}; {dialog.printer().docName()}")
            return QDialog.DialogCode.Accepted

        monkeypatch.setattr(QPrintDialog, "exec", print_it)
        return made

    return begin


CARD = ["Print the card of Tuesday 10 March 2026; 2026-03-10 Thirds"]
TOMORROW = {MON: "a", TUE: "b"}


def test_the_evening_before_tomorrows_early_release_card_is_two_presses_away(hands):
    evening = hands("20:30", TOMORROW)
    assert evening.running.today.day_row.line.text().startswith("Tomorrow, Tuesday 10 March · Early release")
    evening.press("Ctrl+P")
    assert (evening.printed, evening.actions) == (CARD, 2)


def test_in_the_evening_f4_says_that_tomorrow_ends_early_and_four_presses_print_its_card(hands):
    evening = hands("20:30", TOMORROW, shapes=DayShapes())
    evening.press("F4")
    evening.press("E")
    assert evening.running.today.day_row.line.text().startswith("Tomorrow, Tuesday 10 March · Early release")
    evening.press("Ctrl+P")
    assert (evening.printed, evening.actions) == (CARD, 4)


def test_on_week_f4_says_the_shape_of_the_chosen_day(hands):
    evening = hands("20:30", TOMORROW, shapes=DayShapes())
    evening.press("Ctrl+2")
    evening.press("F4")
    evening.press("E")
    assert evening.running.program.settings.now.day_shapes.days == {TUE.isoformat(): "Early release"}


def test_in_the_morning_tomorrows_card_is_four_presses_away(hands):
    morning = hands("8:00", TOMORROW)
    morning.press("Ctrl+2")
    morning.press("Right")
    morning.press("Ctrl+P")
    assert (morning.printed, morning.actions) == (CARD, 4)


@pytest.mark.parametrize("width", [960, 1366])
def test_by_mouse_tomorrows_card_takes_at_most_four_clicks_at_any_hour(hands, width):
    morning = hands("8:00", TOMORROW, width)
    morning.click(morning.running.window.names["week"])
    column = next(each for each in morning.week().columns if each.list.day == TUE)
    morning.click(column.weekday)
    morning.click(morning.week().print_button)
    assert (morning.printed, morning.actions) == (CARD, 4)


def test_by_mouse_in_the_evening_it_takes_fewer(hands):
    evening = hands("20:30", TOMORROW)
    evening.click(evening.running.today.card_button)
    assert (evening.printed, evening.actions) == (CARD, 2)


def last_week(hands) -> Hands:
    return hands("7:30", {MON - WEEK: "a", TUE - WEEK: "ab"})


def copied(hand: Hands) -> bool:
    return (hand.planned(MON), hand.planned(TUE)) == (("a.toml",), ("a.toml", "b.toml"))


def test_last_week_is_copied_by_two_keys(hands, qtbot):
    hand = last_week(hands)
    hand.press("Ctrl+2")
    hand.press("Alt+C")
    qtbot.waitUntil(
        lambda: copied(hand), timeout=60_000
    )  # Qt shows a button that a letter presses for a moment
    assert copied(hand)
    assert hand.actions == 2
    assert hand.week().undo_button.isEnabled()


def test_last_week_is_copied_by_two_clicks(hands):
    hand = last_week(hands)
    hand.click(hand.running.window.names["week"])
    hand.click(hand.week().copy_button)
    assert copied(hand)
    assert hand.actions == 2


def test_by_mouse_a_lesson_is_taken_off_its_day_and_steps_go_back_and_forth(hands):
    hand = hands("7:30", {MON: "a"})
    hand.click(hand.running.window.names["week"])
    week = hand.week()
    assert not week.redo_button.isEnabled()
    hand.click(week.day_actions.take_off_button)
    assert hand.planned(MON) == ()
    assert not week.day_actions.take_off_button.isEnabled()
    hand.click(week.undo_button)
    assert hand.planned(MON) == ("a.toml",)
    hand.click(week.redo_button)
    assert hand.planned(MON) == ()
    assert not week.redo_button.isEnabled()


def test_on_friday_after_the_last_bell_week_shows_the_one_to_plan(hands, room_clock, qtbot):
    hand = hands("20:00", {MON: "a", TUE: "ab"})
    room_clock.advance(4 * 86_400_000)
    hand.running.today.refresh_block()
    hand.press("Ctrl+2")
    hand.press("Alt+C")
    qtbot.waitUntil(lambda: bool(hand.planned(MON + WEEK)), timeout=60_000)
    assert (hand.planned(MON + WEEK), hand.actions) == (("a.toml",), 2)


@pytest.fixture
def fresh(new_program, room_clock, monkeypatch, tmp_path):
    """The program in an empty folder, on Monday evening; the print dialog is answered and counted."""
    room_clock.advance(room_time_ms("20:30") - room_clock.now().utc_ms)
    printed: list[str] = []
    made = Hands(new_program(), printed)

    def print_it(dialog: QPrintDialog) -> QDialog.DialogCode:
        made.actions += 1
        printed.append(dialog.windowTitle())
        return QDialog.DialogCode.Rejected

    monkeypatch.setattr(QPrintDialog, "exec", print_it)
    return made


def is_early_tuesday(hand: Hands) -> bool:
    line = hand.running.today.day_row.line.text()
    return line == "Tomorrow, Tuesday 10 March · Early release, 48 min, ends 9:48"


def test_from_an_empty_folder_tomorrows_early_release_card_is_four_keys_away(fresh):
    fresh.press("Ctrl+D")
    fresh.press("E")
    assert is_early_tuesday(fresh)
    fresh.press("Ctrl+P")
    assert (fresh.printed, fresh.actions) == (["Print the card of Tuesday 10 March 2026"], 4)


def test_from_an_empty_folder_it_is_four_clicks_away(fresh):
    today, which = fresh.running.today, fresh.running.today.day_row.which
    fresh.click(which)
    rows, at = which.view(), which.model().index(which.findText("Early release"), 0)
    fresh.actions += 1
    QTest.mouseClick(rows.viewport(), Qt.MouseButton.LeftButton, pos=rows.visualRect(at).center())
    settle()
    if which.currentIndex() != at.row():  # Qt takes no click so soon after the list came down
        which.setCurrentIndex(at.row())
        which.activated.emit(at.row())
        which.hidePopup()
    assert is_early_tuesday(fresh)
    fresh.click(today.card_button)
    assert (fresh.printed, fresh.actions) == (["Print the card of Tuesday 10 March 2026"], 4)
