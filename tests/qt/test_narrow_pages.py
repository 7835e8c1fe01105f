"""The pages at 960 × 540: a common laptop's screen at 200 %."""

import pytest
from PySide6.QtWidgets import QAbstractButton, QComboBox, QLabel, QLineEdit, QScrollArea
from window_nursery import click, settle

SIZE = (960, 540)
PAGES = ("today", "outline", "split", "room")


@pytest.fixture
def small(running):
    running.window.showNormal()
    running.window.resize(*SIZE)
    settle()
    return running


@pytest.mark.parametrize("page", PAGES)
def test_nothing_of_a_page_lies_beside_the_window(small, page):
    click(small.window.names[page])
    settle()
    assert small.window.width() == SIZE[0]
    shown = small.window.pages.currentWidget()
    for area in shown.findChildren(QScrollArea):
        assert not area.isVisible() or area.horizontalScrollBar().maximum() == 0
    for kind in (QAbstractButton, QComboBox, QLineEdit, QLabel):
        for widget in shown.findChildren(kind):
            if widget.isVisible() and widget.width():
                right = widget.mapTo(small.window, widget.rect().topRight()).x()
                assert right < SIZE[0], (page, widget.accessibleName() or widget.text())


def test_the_words_of_split_are_whole(small):
    click(small.window.names["split"])
    settle()
    for words in small.window.pages.currentWidget().findChildren(QLabel):
        if words.isVisible() and words.wordWrap():
            assert words.height() >= words.heightForWidth(words.width()), words.text()
        elif words.isVisible():
            assert words.width() >= words.sizeHint().width(), words.text()
