"""The Room page: screens, sizes for the back row, strip, tone and clicker, all kept and all by keyboard."""

import gettext
import json
import re

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QScrollArea, QVBoxLayout, QWidget

from pacer import text
from pacer.frames.back_row import look_of
from pacer.qt.classroom import back_row_card
from pacer.qt.classroom import page as room_page
from pacer.qt.classroom.page import RoomPage
from pacer.qt.screens.number_cards import NumberCards
from pacer.qt.screens.private_window import PAGES
from pacer.run.events import Edge
from pacer.settings.model import Settings
from pacer.settings.store import load_settings
from tests.qt.kit.test_widgets import Stretched, clipped, nameless, one_round, reachable
from tests.qt.window_factories import NotedSettings, change_screens, click, screen_named, settle


class Trial:
    """The page alone in a window, and what it changed."""

    def __init__(self, settings: NotedSettings) -> None:
        self.page = RoomPage(settings)
        self.changes = settings.changes
        self.asked: list[bool] = []
        self.page.choose_screens_asked.connect(self._on_asked)
        self.window = QWidget()
        column = QVBoxLayout(self.window)
        # The pretended screens know nothing of a least size.
        column.setSizeConstraint(QVBoxLayout.SizeConstraint.SetNoConstraint)
        column.addWidget(self.page)
        self.window.showMaximized()
        self.window.activateWindow()
        settle()

    def _on_asked(self) -> None:
        self.asked.append(True)

    @property
    def picture(self):
        return self.page.picture

    @property
    def table(self) -> list[tuple[str, ...]]:
        return [tuple(cell.text() for cell in row) for row in self.picture.table.cells if row[0].isVisible()]

    def type_over(self, spin: QWidget, typed: str) -> None:
        """Type into a field in place of what it holds, key by key."""
        spin.setFocus()
        spin.selectAll()
        QTest.keyClicks(spin, typed)
        settle()


@pytest.fixture
def new_trial(dressed, tmp_path):
    made: list[Trial] = []

    def build(settings: Settings | None = None) -> Trial:
        made.append(Trial(NotedSettings(tmp_path / f"{len(made)}.json", settings or Settings())))
        return made[-1]

    yield build
    for trial in made:
        trial.window.close()
        trial.window.deleteLater()
    settle()


@pytest.fixture
def trial(new_trial):
    return new_trial()


@pytest.fixture
def reports(monkeypatch):
    """Lets every screen report a height that can be believed, in millimetres."""

    def build(height_mm: int) -> None:
        def reported(_screen: object) -> int:
            return height_mm

        for module in (room_page, back_row_card):
            monkeypatch.setattr(module, "reported_height_mm", reported)

    return build


# The picture.


def test_a_height_that_is_typed_is_kept_in_millimetres_and_judged_with_every_key(trial):
    assert trial.picture.verdict.text() == "Measure the picture's height and type it."
    assert {row[4] for row in trial.table} == {""}
    trial.type_over(trial.picture.picture_height, "40")
    assert trial.changes == [{"picture_height_mm": 400}]
    assert "Words would have to be 13.1 % of the picture" in trial.picture.verdict.text()
    QTest.keyClick(trial.picture.picture_height, Qt.Key.Key_0)
    assert trial.changes[-1] == {"picture_height_mm": 4000}
    assert trial.picture.verdict.text() == "The back row can read all of it well."
    assert trial.picture.picture_height.text() == "400"


def test_the_numbers_beside_the_verdict_are_those_of_the_test_card(trial):
    trial.type_over(trial.picture.picture_height, "100")
    table = {row[0]: row[1:] for row in trial.table}
    # Own worked value: 20 arc-minutes at 9 m are 52.4 mm, 5.2 % of a picture 1 m high.
    assert table["Smallest words"] == ("5.2 %", "52 mm", "20′", "good")
    assert len(table) == 7


def test_an_emptied_field_means_not_measured(new_trial):
    trial = new_trial(Settings(picture_height_mm=1000))
    assert trial.picture.picture_height.text() == "100"
    trial.picture.picture_height.setFocus()
    trial.picture.picture_height.selectAll()
    QTest.keyClick(trial.picture.picture_height, Qt.Key.Key_Delete)
    assert trial.changes == [{"picture_height_mm": None}]
    assert trial.picture.verdict.text() == "Measure the picture's height and type it."
    assert trial.picture.picture_height.lineEdit().placeholderText() == "not measured"


def test_fourteen_is_no_height_but_the_beginning_of_140(new_trial):
    trial = new_trial(Settings(picture_height_mm=1000))
    trial.type_over(trial.picture.picture_height, "14")
    assert trial.changes == []
    QTest.keyClick(trial.picture.picture_height, Qt.Key.Key_0)
    assert trial.changes == [{"picture_height_mm": 1400}]


@pytest.mark.parametrize(
    ("typed", "kept_mm", "shown"),
    [("9999", [990], "99"), ("abc", [], ""), ("-80", [800], "80"), ("7", [], ""), ("601", [600], "60")],
)
def test_a_key_that_would_make_it_no_height_is_not_taken(trial, typed, kept_mm, shown):
    trial.type_over(trial.picture.picture_height, typed)
    QTest.keyClick(trial.picture.picture_height, Qt.Key.Key_Tab)
    assert [change["picture_height_mm"] for change in trial.changes] == kept_mm
    assert trial.picture.picture_height.text() == shown


def test_the_back_row_s_distance_is_kept_in_millimetres_and_moves_the_verdict(new_trial):
    trial = new_trial(Settings(picture_height_mm=1000))
    assert trial.picture.back_row.value() == 9
    trial.picture.back_row.stepUp()
    assert trial.changes == [{"back_row_mm": 9500}]
    assert "at 9.5 m" in trial.picture.other_rules.text()
    trial.picture.back_row.setValue(2)
    assert trial.picture.verdict.text() == "The back row can read all of it well."


def test_every_value_that_the_fields_hold_can_be_kept_in_the_settings(trial):
    spin, row = trial.picture.picture_height, trial.picture.back_row
    for value in (spin.minimum(), spin.maximum(), spin.minimum() + 1, 333):
        spin.setValue(value)
    for value in (row.minimum(), row.maximum(), 7.3):
        row.setValue(value)
    kept = [Settings.model_validate(change) for change in trial.changes]
    assert {settings.picture_height_mm for settings in kept} == {None, 6000, 150, 3330}
    assert {settings.back_row_mm for settings in kept} == {9000, 1000, 40_000, 7300}


def test_without_a_credible_report_nothing_is_said_of_the_screen_s_own_height(trial):
    assert not trial.picture.reported.isVisible()
    assert trial.picture.picture_height.isEnabled()


def test_a_credible_report_is_used_until_something_else_is_typed(new_trial, reports):
    reports(803)
    trial = new_trial()
    box, spin = trial.picture.reported, trial.picture.picture_height
    assert box.isVisible()
    assert box.isChecked()
    assert box.text().replace("&", "") == "as the screen says: 80 cm"
    assert not spin.isEnabled()
    assert trial.picture.verdict.text().startswith("Too small for the back row: title in the strip")
    box.click()
    assert trial.changes == [{"picture_height_mm": 800}]
    assert spin.isEnabled()
    assert spin.hasFocus()
    trial.type_over(spin, "120")
    assert trial.changes[-1] == {"picture_height_mm": 1200}
    assert not box.isChecked()
    box.click()
    assert trial.changes[-1] == {"picture_height_mm": None}
    assert spin.value() == 80


def test_a_report_under_what_can_be_typed_is_taken_over_at_the_least_that_can(new_trial, reports):
    reports(110)
    trial = new_trial()
    trial.picture.reported.click()
    assert Settings.model_validate(trial.changes[-1]).picture_height_mm == 150


# Strip, tone and clicker.


@pytest.mark.parametrize("edge", Edge.__args__)
def test_the_strip_s_edge_is_chosen_from_four(new_trial, edge):
    trial = new_trial(Settings(strip_edge="top" if edge != "top" else "left"))
    trial.page.strip.buttons[edge].click()
    assert trial.changes == [{"strip_edge": edge}]
    assert [name for name, made in trial.page.strip.buttons.items() if made.isChecked()] == [edge]


def test_tone_and_loudness_are_told_like_the_rest(trial):
    trial.page.tone.box.click()
    trial.page.tone.level.setValue(30)
    assert trial.changes == [{"tone": True}, {"tone_level": 30}]


def test_a_key_pressed_in_the_clicker_s_field_changes_nothing_on_the_page(trial):
    trial.page.keys.pad.setFocus()
    for key in (Qt.Key.Key_PageDown, Qt.Key.Key_B, Qt.Key.Key_T):
        QTest.keyClick(trial.page.keys.pad, key)
    assert trial.page.keys.name.text() == "T"
    assert trial.changes == []


# The class's screen and the test card.


def test_screens_that_are_new_are_told_and_the_question_can_be_asked_now(trial):
    assert "new here" in trial.page.class_sees.text()
    click(trial.page.choose_button)
    assert trial.asked == [True]


def test_the_test_card_asks_first_where_it_is_not_known_which_screen_the_class_sees(trial):
    click(trial.picture.card_button)
    assert trial.asked == [True]
    assert not trial.page.card_window.isVisible()  # nobody answered


def test_with_one_screen_there_is_nothing_to_choose_and_the_card_fills_it(trial, monkeypatch):
    laptop = screen_named("Laptop")
    monkeypatch.setattr(room_page, "present_screens", lambda: [laptop])
    trial.page.refresh()
    assert "the class sees what you see" in trial.page.class_sees.text()
    assert not trial.page.choose_button.isEnabled()
    click(trial.picture.card_button)
    assert trial.asked == []
    assert trial.page.card_window.geometry() == laptop.rect
    QTest.keyClick(trial.page.card_window, Qt.Key.Key_Escape)
    assert not trial.page.card_window.isVisible()


# In the program.


@pytest.fixture
def room(running):
    """The program with the page open."""
    click(running.window.names["room"])
    assert running.program.pages.room.isVisible()
    return running


def page_of(running) -> RoomPage:
    return running.program.pages.room


def kept(running) -> Settings:
    return load_settings(running.where.settings_file)[0]


def test_the_page_is_made_when_it_is_first_wanted(running):
    assert running.program.pages.room is None
    QTest.keySequence(running.window, QKeySequence(f"Ctrl+{PAGES.index('room') + 1}"))
    settle()
    assert page_of(running).isVisible()
    assert running.window.names["room"].isChecked()
    QTest.keySequence(running.window, QKeySequence("Ctrl+1"))
    settle()
    assert running.today.isVisible()


def test_what_is_changed_is_in_the_file_at_once_and_there_again_at_the_next_start(room, new_program):
    page_of(room).picture.picture_height.setValue(85)
    page_of(room).picture.back_row.setValue(7.5)
    page_of(room).strip.buttons["left"].click()
    page_of(room).tone.box.click()
    found = kept(room)
    assert (found.picture_height_mm, found.back_row_mm, found.strip_edge, found.tone) == (
        850, 7500, "left", True
    )  # fmt: skip
    room.program.shut()
    again = new_program()
    click(again.window.names["room"])
    assert page_of(again).picture.picture_height.value() == 85
    assert page_of(again).picture.back_row.value() == 7.5
    assert page_of(again).strip.buttons["left"].isChecked()
    assert page_of(again).tone.box.isChecked()


def test_a_later_change_on_today_does_not_bring_back_what_was_there_before(room):
    page_of(room).picture.picture_height.setValue(85)
    page_of(room).strip.buttons["left"].click()
    page_of(room).tone.level.setValue(20)
    click(room.window.names["today"])
    room.today.choices.digits.click()
    found = kept(room)
    assert (found.picture_height_mm, found.strip_edge, found.tone_level) == (850, "left", 20)
    assert not found.wall_digits
    assert room.program.settings.now == found


def test_what_today_changes_is_seen_on_the_page(room):
    click(room.window.names["today"])
    room.today.choices.digits.click()
    click(room.window.names["room"])
    assert "Digits" not in [row[0].text() for row in page_of(room).picture.table.cells if row[0].isVisible()]


def test_choose_asks_and_the_answer_is_shown_and_kept(room, numbers_asked):
    click(page_of(room).choose_button)
    assert len(numbers_asked) == 1
    assert page_of(room).class_sees.text() == "Projector, 1920 × 1080"
    assert page_of(room).choose_button.text().replace("&", "") == "Choose again"
    assert kept(room).rooms[-1].wall.name == "Projector"
    click(page_of(room).choose_button)
    assert len(numbers_asked) == 2


def test_the_card_is_shown_on_the_class_s_screen_and_the_page_stays_in_sight(room, numbers_asked):
    page_of(room).picture.picture_height.setValue(80)
    click(page_of(room).picture.card_button)
    window = page_of(room).card_window
    assert len(numbers_asked) == 1
    assert window.geometry() == screen_named("Projector").rect
    assert page_of(room).isVisible()
    assert page_of(room).picture.card_button.text().replace("&", "") == "Close the test card"
    assert window.card.picture_height_mm == 800
    click(page_of(room).picture.card_button)
    assert not window.isVisible()
    assert page_of(room).picture.card_button.text().replace("&", "") == "Test card"


def test_without_an_answer_there_is_no_card(room, monkeypatch):
    monkeypatch.setattr(NumberCards, "ask", staticmethod(lambda *_who: None))
    click(page_of(room).picture.card_button)
    assert not page_of(room).card_window.isVisible()


def test_a_height_typed_beside_the_card_changes_the_card_at_once(room):
    click(page_of(room).picture.card_button)
    page_of(room).picture.picture_height.setValue(60)
    assert page_of(room).card_window.card.head == "9.0 m from a picture 60 cm high"


def test_enter_closes_the_card_and_gives_the_keyboard_back(room):
    click(page_of(room).picture.card_button)
    QTest.keyClick(page_of(room).card_window, Qt.Key.Key_Return)
    settle()
    assert not page_of(room).card_window.isVisible()
    assert QApplication.focusWidget() is page_of(room).picture.card_button


def test_the_card_goes_when_the_page_is_left_when_screens_change_and_when_the_program_ends(room):
    def show() -> QWidget:
        click(room.window.names["room"])
        click(page_of(room).picture.card_button)
        assert page_of(room).card_window.isVisible()
        return page_of(room).card_window

    card = show()
    click(room.window.names["today"])
    assert not card.isVisible()
    show()
    change_screens()
    assert not card.isVisible()
    room.program.room.screens.watch.settle_now()  # the pages come back once it is known where they are
    settle()
    show()
    room.program.shut()
    assert not card.isVisible()


def test_the_wall_of_a_lesson_takes_its_sizes_and_edge_from_the_page(room, invented):
    page_of(room).picture.picture_height.setValue(80)
    page_of(room).strip.buttons["top"].click()
    room.program.start_now(invented)
    settle()
    look = room.program.room.lesson.look
    assert look == look_of(kept(room))
    assert look.least_share == pytest.approx(0.06545, abs=1e-5)  # own worked value: 52.36 mm of 800
    frame = room.program.room.lesson.wall_frame
    assert frame.title == "Skip count"
    assert frame.least_share == look.least_share
    assert frame.edge == "top"


def test_the_wall_of_a_lesson_believes_a_credible_screen_where_nothing_was_typed(running, invented, reports):
    reports(700)
    running.program.start_now(invented)
    settle()
    wanted = look_of(Settings(), 700)
    assert wanted.least_share > 0.07
    assert running.program.room.lesson.look == wanted
    assert running.program.room.lesson.wall_frame.least_share == wanted.least_share


def test_page_keys_rest_while_a_lesson_runs(room, invented):
    room.program.start_now(invented)
    settle()
    QTest.keySequence(room.window, QKeySequence(f"Ctrl+{PAGES.index('room') + 1}"))
    settle()
    assert room.window.shows_desk


def test_settings_with_a_height_too_small_to_be_true_are_not_what_the_page_writes(room):
    """The file that the page writes can be read again: else all settings would be lost at the next start."""
    page_of(room).picture.picture_height.setValue(15)
    _settings, notice = load_settings(room.where.settings_file)
    assert notice == ""
    assert json.loads(room.where.settings_file.read_text())["picture_height_mm"] == 150


# Names, keyboard, room for words.


def test_every_widget_has_a_name_and_tab_comes_by_all(room):
    assert nameless() == []
    wanted = reachable(room.window)
    assert page_of(room).keys.pad in wanted
    assert page_of(room).picture.card_button in wanted
    visited = one_round(room.window.names["room"], Qt.Key.Key_Tab)
    assert [widget for widget in wanted if widget not in visited] == []


def test_no_two_key_letters_are_alike(trial, reports):
    reports(800)
    trial.page.refresh()
    texts = [one.text() for one in trial.page.findChildren(QAbstractButton) if one.isVisible()]
    texts += [one.text() for one in trial.page.findChildren(QLabel) if one.buddy()]
    letters = [found.lower() for found in re.findall(r"&(\w)", " ".join(texts))]
    assert len(letters) >= 9
    assert len(letters) == len(set(letters))


def test_nothing_is_clipped_and_nothing_scrolls_on_a_laptop(room):
    page_of(room).picture.picture_height.setValue(30)
    lay_out_again()
    assert (room.window.width(), room.window.height()) == (1366, 768)
    assert clipped() == []
    area = page_of(room).findChild(QScrollArea)
    assert (area.horizontalScrollBar().maximum(), area.verticalScrollBar().maximum()) == (0, 0)


def lay_out_again() -> None:
    """Words of another length are passed on from layout to layout, each in a turn of the event loop."""
    for _turn in range(6):
        settle()


@pytest.fixture
def long_words():
    text.use_catalogue(Stretched())
    yield
    text.use_catalogue(gettext.NullTranslations())


@pytest.mark.parametrize("reported", [False, True])
def test_words_four_tenths_longer_are_not_clipped_either(long_words, running, reports, reported):
    if reported:
        reports(800)
    click(running.window.names["room"])
    assert page_of(running).picture.reported.isVisible() is reported
    lay_out_again()
    assert clipped() == []
    for height in (14, 30, 100):
        page_of(running).picture.picture_height.setValue(height)
        lay_out_again()
        assert clipped() == []
    assert page_of(running).findChild(QScrollArea).horizontalScrollBar().maximum() == 0


def test_in_the_smallest_window_all_can_be_scrolled_to(room):
    room.window.showNormal()
    room.window.resize(room.window.minimumSizeHint().expandedTo(room.window.minimumSize()))
    settle()
    area = page_of(room).findChild(QScrollArea)
    for part in (page_of(room).tone.box, page_of(room).strip.buttons["right"], page_of(room).keys.pad):
        part.setFocus()
        settle()
        area.ensureWidgetVisible(part)
        inside = area.viewport().rect()
        assert inside.intersects(part.rect().translated(part.mapTo(area.viewport(), part.rect().topLeft())))
