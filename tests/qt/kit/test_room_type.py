"""Letters of a page by its room."""

import pytest
from PySide6.QtWidgets import QComboBox, QLabel, QListWidget, QPushButton, QVBoxLayout, QWidget

from pacer.qt.kit.room_type import suit_type
from pacer.qt.kit.style import wear
from pacer.qt.kit.widgets import label
from tests.qt.window_factories import settle, take_apart


@pytest.fixture
def page(dressed):
    whole = QWidget()
    yield whole
    take_apart(whole, None)


def test_on_a_very_large_screen_letters_headings_lists_and_buttons_grow_and_shrink_again(page):
    heading, rows, push, words = label("Library", "large"), QListWidget(), QPushButton("Edit"), QLabel("a")
    layout = QVBoxLayout(page)
    for widget in (heading, rows, push, words):
        layout.addWidget(widget)
    wear(page)

    def sizes(width: int) -> list[int]:
        page.resize(width, 600)
        page.show()
        settle()
        suit_type(page)
        return [widget.fontInfo().pixelSize() for widget in (heading, rows, push, words)]

    usual = sizes(1366)
    assert usual == [20, 15, 15, 15]
    assert sizes(3840) == [35, 26, 26, 26]
    late = QLabel("came later")
    layout.addWidget(late)
    assert sizes(3840) == [35, 26, 26, 26]
    assert late.fontInfo().pixelSize() == 26
    assert sizes(1366) == usual


def test_what_follows_the_letters_of_its_parent_grows_once_and_is_as_before_afterwards(page):
    """The frame around the choices of a box is a window, which no style sheet keeps from that."""
    box = QComboBox()
    box.addItems(["This week", "Three weeks"])
    frame = box.view().parentWidget()
    QVBoxLayout(page).addWidget(box)
    wear(page)
    page.show()
    settle()
    sizes = []
    for width in (1366, 3840, 1366):
        page.resize(width, 600)
        suit_type(page)
        sizes.append(frame.fontInfo().pixelSize())
    assert sizes == [15, 26, 15]
