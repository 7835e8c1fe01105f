"""The first start: three ways to begin, by keys and mouse; it comes once, never before what can't wait."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel

from pacer.log.day_records import DayRecords
from pacer.qt.first_start.page import WAYS, FirstStartPage
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from tests.qt.window_factories import click, settle, take_apart

KEY = Qt.Key


@pytest.fixture
def page(dressed):
    """The page alone, as large as at 200 %, with the keyboard on the first way; it notes what is chosen."""
    made = FirstStartPage()
    made.ways = []
    made.chosen.connect(made.ways.append)
    made.resize(960, 480)
    made.show()
    made.activateWindow()
    made.setFocus()
    settle()
    yield made
    take_apart(made, None)


@pytest.mark.parametrize(
    ("keys", "way"),
    [
        ([KEY.Key_1], "template"), ([KEY.Key_2], "write"), ([KEY.Key_3], "paste"),
        ([KEY.Key_Return], "template"), ([KEY.Key_Right, KEY.Key_Enter], "write"),
        ([KEY.Key_Left, KEY.Key_Space], "paste"), ([KEY.Key_Down, KEY.Key_Down, KEY.Key_Return], "paste"),
        ([KEY.Key_Tab, KEY.Key_Return], "write"),
    ],
)  # fmt: skip
def test_a_number_or_arrows_and_return_choose_a_way(page, keys, way):
    for key in keys:
        QTest.keyClick(QApplication.focusWidget(), key)
    assert page.ways == [way]


@pytest.mark.parametrize("way", WAYS)
def test_a_click_anywhere_on_a_card_is_its_choice(page, way):
    card = page.cards[way]
    for inside in (card.rect().center(), card.rect().center() / 2):  # the words, the picture
        there = page.childAt(card.mapTo(page, inside))
        QTest.mouseClick(there, Qt.MouseButton.LeftButton)
    assert page.ways == [way, way]


def test_in_the_smallest_window_every_word_is_whole_and_every_card_in_sight(page):
    for words in page.findChildren(QLabel):
        assert words.height() >= words.heightForWidth(words.width()), words.text()
    for card in page.cards.values():
        assert page.rect().contains(card.rect().translated(card.mapTo(page, card.rect().topLeft())))


def test_it_stands_in_the_place_of_today_until_a_choice_and_then_is_gone_for_good(
    real_first_start, new_program
):
    first = new_program()
    pages = first.program.pages
    assert pages.first_start.isVisible()
    click(first.window.names["room"])
    click(first.window.names["today"])
    assert pages.first_start.isVisible(), "looking elsewhere is no choice"
    click(pages.first_start.cards["template"])
    assert first.today.isVisible()
    assert first.today.entry().is_template
    assert first.today.entry().outline.block.length_s >= 60 * 60, "a whole block, with time for groups"
    click(first.window.names["room"])
    click(first.window.names["today"])
    assert first.today.isVisible()
    assert new_program().program.pages.first_start is None


def test_paste_mine_opens_what_reads_it_and_leaving_that_leads_to_today(
    real_first_start, new_program, monkeypatch
):
    opened = []
    monkeypatch.setattr(
        "pacer.qt.taken.window.TakenWindow.exec", lambda window: opened.append(window.windowTitle())
    )
    first = new_program()
    click(first.program.pages.first_start.cards["paste"])
    assert opened == ["Take what I have"]
    assert first.today.isVisible()


@pytest.mark.parametrize("way", ["write", "outline"])
def test_write_my_own_is_an_empty_outline_and_one_that_is_written_answers_the_question(
    real_first_start, new_program, way
):
    first = new_program()
    pages = first.program.pages
    if way == "outline":
        click(first.window.names["outline"])
        pages.outline.pane.editor.setPlainText("Warm-up 2")
        pages.outline.flush()
        settle()
    else:
        pages.first_start.chosen.emit(way)
        settle()
        assert pages.outline.pane.editor.toPlainText() == ""
        assert first.window.focusWidget() is pages.outline.pane.editor
    click(first.window.names["today"])
    assert first.today.isVisible()


def test_a_lesson_that_was_cut_off_comes_before_everything(real_first_start, new_program, tmp_path, invented):
    with DayRecords.open(tmp_path / "data") as records:
        Session(ManualClock(), records.journal()).start(invented)
    running = new_program()
    assert running.program.pages.first_start is None
    assert running.today.resume_button.isVisible()
