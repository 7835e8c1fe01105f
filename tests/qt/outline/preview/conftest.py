"""A picture of what the class will see, whose timers are moved by hand."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QCoreApplication, QEvent

from pacer.qt.outline.preview import panel as panel_module
from pacer.qt.outline.preview.panel import ClassPreview
from tests.qt.hand_time import HandTime


@pytest.fixture
def hands(monkeypatch: pytest.MonkeyPatch) -> HandTime:
    return HandTime(monkeypatch, panel_module)


@pytest.fixture
def preview(hands: HandTime, dressed) -> Iterator[ClassPreview]:
    made = ClassPreview()
    made.resize(400, 320)
    made.show()
    yield made
    made.close()
    made.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
