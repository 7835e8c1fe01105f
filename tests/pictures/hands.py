"""The hands and the camera: finds what is on the screens by its words, presses it, and takes pictures."""

import time
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEvent, QRect, Qt
from PySide6.QtGui import QColor, QGuiApplication, QImage, QKeyEvent, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QListWidget, QScrollArea, QWidget

from tests.pictures import frozen

BESIDE = QColor(128, 128, 128)  # a screen's part that no window covers
LAPTOP, CLASS, LEDGE = 0, 1, 2


def _words(widget: QWidget) -> set[str]:
    text = widget.text() if isinstance(widget, QAbstractButton) else ""
    return {text.replace("&", ""), widget.accessibleName()}


def found(words: str, kind: type = QWidget) -> QWidget:
    """The first visible widget of a kind whose text or name says this, those in sight before others."""
    seen = [one for one in QApplication.allWidgets() if isinstance(one, kind) and one.isVisible()]
    for one in seen:
        if words in _words(one):
            return one
    names = sorted({word for one in seen for word in _words(one) if word})
    raise LookupError(f"nothing says {words!r}; there are {names}")


def press(words: str) -> None:
    """Press a button."""
    button = found(words, QAbstractButton)
    assert button.isEnabled(), f"{words} is grey"
    button.click()
    frozen.settle()


def choose(name: str, text: str | int) -> None:
    """Choose a row of a list or a box by its number or the beginning of its words."""
    box = found(name, (QListWidget, QComboBox))
    is_list = isinstance(box, QListWidget)
    rows = [box.item(row).text() if is_list else box.itemText(row) for row in range(box.count())]
    row = text if isinstance(text, int) else next(at for at, row in enumerate(rows) if row.startswith(text))
    box.setFocus()
    if is_list:
        box.setCurrentRow(row)
    else:
        box.setCurrentIndex(row)
        box.activated.emit(row)
    frozen.settle()


def write(name: str, text: str) -> None:
    """Type into a field."""
    field = found(name)
    field.setFocus()
    QTest.keyClicks(field, text)
    frozen.pass_ms(3000)


def tap(keys: str, on: str = "Desk", kind: type = QWidget) -> None:
    """Press keys one after the other, a second apart, on the Desk or whatever of a kind has that name."""
    for key in keys.split():
        frozen.pass_ms(1000)
        code = getattr(Qt.Key, f"Key_{key.removeprefix('Ctrl+')}")
        held = Qt.KeyboardModifier.ControlModifier if "+" in key else Qt.KeyboardModifier.NoModifier
        target = found(on, kind)
        for event in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            QApplication.sendEvent(target, QKeyEvent(event, code, held))
            frozen.pass_ms(80)


def meanwhile(opens: Callable[[], object], then: Callable[[], object]) -> None:
    """Do something that waits for an answer, and the rest while it waits."""

    def answered() -> None:
        frozen.settle()
        then()

    frozen.real_single_shot(0, answered)
    opens()
    frozen.settle()


def _rank(window: QWidget) -> tuple[int, str]:
    flags = window.windowFlags()
    on_top = bool(flags & Qt.WindowType.WindowStaysOnTopHint)
    frameless = bool(flags & Qt.WindowType.FramelessWindowHint)
    return 3 if on_top else 2 if window.parent() is not None else int(frameless), window.windowTitle()


class Camera:
    """Takes pictures of whole screens into a folder; ``size`` is told in their names."""

    def __init__(self, folder: Path, size: str) -> None:
        self._folder, self._size = folder, size

    @property
    def is_narrow(self) -> bool:
        """Whether a page has less than all its columns."""
        return int(self._size.partition("x")[0]) < 1140

    def screen(self, number: int) -> QImage:
        """All windows of a screen, the upper ones over the lower ones."""
        # From left to right: Qt's order is another one where there are three.
        places = sorted((screen.geometry() for screen in QGuiApplication.screens()), key=QRect.x)
        place = places[number]
        image = QImage(place.size(), QImage.Format.Format_RGB32)
        image.fill(BESIDE)
        with QPainter(image) as painter:
            for window in sorted((w for w in QApplication.topLevelWidgets() if w.isVisible()), key=_rank):
                if window.geometry().intersects(place):
                    painter.drawPixmap(window.pos() - place.topLeft(), window.grab())
        return image

    def take(self, name: str, screen: int = LAPTOP) -> None:
        """One picture."""
        frozen.settle()
        self.keep(name, self.screen(screen))

    def keep(self, name: str, image: QImage) -> None:
        """Keep a picture under a name."""
        path = self._folder / f"{name}-{self._size}.png"
        assert image.save(str(path)), path

    def both(self, name: str) -> None:
        """The Wall and the Desk at a moment."""
        self.take(f"wall-{name}", CLASS)
        self.take(f"desk-{name}", LAPTOP)

    def card(self, name: str) -> None:
        """The Desk card at a moment."""
        self.take(f"card-{name}", LEDGE)

    def page(self, name: str) -> None:
        """A page, and what is below its edge where it is scrolled."""
        self.take(name)
        bars = [area.verticalScrollBar() for area in QApplication.allWidgets()
                if isinstance(area, QScrollArea) and area.isVisible()]  # fmt: skip
        bars = [bar for bar in bars if bar.maximum() > 0]
        for bar in bars:
            bar.setValue(bar.maximum())
        if bars:
            self.take(f"{name}-below")
        for bar in bars:
            bar.setValue(0)

    def wait_for(self, colour: QColor, screen: int, place: tuple[float, float] = (1 / 2, 1 / 3)) -> None:
        """Wait until a place of a screen shows a colour: what another process paints comes when it comes."""
        for _look in range(400):
            frozen.settle()
            seen = self.screen(screen)
            if seen.pixelColor(int(seen.width() * place[0]), int(seen.height() * place[1])) == colour:
                return
            time.sleep(0.05)
        raise TimeoutError("the picture does not come")
