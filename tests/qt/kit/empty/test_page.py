"""An empty page says what it will show, with a picture that has words, and one action by key and mouse."""

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QTableWidget

from pacer.qt.kit import theme
from pacer.qt.kit.empty.page import EmptyOver, EmptyPage
from pacer.qt.kit.empty.pictures import COLUMNS, PICTURES, ROWS, picture_words
from tests.qt.window_factories import settle, take_apart


def shown(page: EmptyPage, width: int = 700, height: int = 380) -> EmptyPage:
    page.resize(width, height)
    page.show()
    page.activateWindow()
    page.setFocus()
    settle()
    return page


def test_the_sentence_is_the_pages_name_and_return_or_a_click_is_its_one_action(dressed):
    page = shown(EmptyPage("Here stands the past.", "lesson", "&Teach one", tip="Ctrl+1"))
    asked = []
    page.asked.connect(lambda: asked.append(True))
    assert page.accessibleName() == page.sentence.text() == "Here stands the past."
    assert page.picture.accessibleName() == picture_words("lesson")
    QTest.keyClick(page.focusWidget(), Qt.Key.Key_Return)
    QTest.mouseClick(page.button, Qt.MouseButton.LeftButton)
    assert asked == [True, True]
    take_apart(page, None)


def test_making_one_opens_no_window(dressed):
    opened = []
    dressed.focusWindowChanged.connect(opened.append)
    pages = [EmptyPage("Here stands the past.", "chart", action) for action in ("Go", "")]
    settle()
    assert [window for window in QApplication.topLevelWidgets() if window.isVisible()] == []
    assert opened == []
    dressed.focusWindowChanged.disconnect(opened.append)
    for page in pages:
        take_apart(page, None)


def test_where_only_time_fills_the_page_there_is_no_button(dressed):
    page = shown(EmptyPage("Here stands the past.", "chart"))
    assert not page.button.isVisible()
    take_apart(page, None)


def test_in_little_room_every_word_is_whole_and_the_picture_gives_way(dressed):
    page = shown(EmptyPage("A sentence of two lines where there is little room. " * 2, "split", "&Go"))
    for _time in range(2):  # what the words need is known once they have their width
        page.resize(420, page.minimumSizeHint().height())
        settle()
    assert page.sentence.height() >= page.sentence.heightForWidth(page.sentence.width())
    assert page.rect().contains(page.button.geometry())
    assert not page.picture.geometry().intersects(page.sentence.geometry())
    take_apart(page, None)


def test_every_picture_has_words_and_paints_shapes_within_its_place(dressed):
    assert len({picture_words(name) for name in PICTURES}) == len(PICTURES)
    for shapes in PICTURES.values():
        for shape in shapes:
            assert shape.x >= 0, shape
            assert shape.x + shape.wide <= COLUMNS, shape
            assert shape.y >= 0, shape
            assert shape.y + shape.high <= ROWS, shape
    page = shown(EmptyPage("Here stands the past.", "records"))
    image = page.picture.grab().toImage()
    seen = ((x, y) for x in range(0, image.width(), 2) for y in range(image.height()))
    colours = {image.pixelColor(x, y).rgb() for x, y in seen}
    assert {theme.DESK_PAPER.rgb(), theme.OUTLINE.rgb()} <= colours
    take_apart(page, None)


def test_laid_over_an_empty_table_it_is_as_large_as_the_table_and_goes_once_there_is_something(dressed):
    table = QTableWidget()
    over = EmptyOver(table, "Here each line becomes a phase.", "outline", "Begin")
    table.resize(500, 300)
    table.show()
    over.show_if(True)
    table.resize(640, 420)
    settle()
    assert over.geometry() == table.rect()
    table.resize(640, 90)
    settle()
    assert not over.picture.isVisible()
    assert over.button.geometry().left() >= over.sentence.geometry().right(), "side by side"
    assert over.rect().contains(over.button.geometry())
    assert over.rect().contains(over.sentence.geometry())
    over.show_if(False)
    assert not over.isVisible()
    take_apart(table, None)
