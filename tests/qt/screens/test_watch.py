"""Where a window lies, on systems that tell places and on those that tell no more than its screen."""

import pytest
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QWidget

from pacer.qt.screens.watch import lies_on
from tests.qt.window_factories import screen_named, settle, take_apart


@pytest.mark.parametrize("platform", ["xcb", "wayland", "wayland-egl"])
def test_a_window_lies_on_its_screen_and_on_no_other(dressed, monkeypatch, platform):
    monkeypatch.setattr(QGuiApplication, "platformName", staticmethod(lambda: platform))
    window = QWidget()
    try:
        for here, elsewhere in (("Laptop", "Projector"), ("Projector", "Laptop")):
            window.setGeometry(screen_named(here).rect.adjusted(50, 50, -50, -50))
            window.show()
            settle()
            assert lies_on(window, screen_named(here))
            assert not lies_on(window, screen_named(elsewhere))
    finally:
        take_apart(window, None)
