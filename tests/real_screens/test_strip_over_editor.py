"""The strip over another program: every key and click reaches that program, and the strip stays on top."""

import os
import sys
import time
from collections.abc import Callable, Sequence
from typing import get_args

import pytest

from tests.real_screens.child_process import PATIENCE_S, Child, wait_until
from tests.real_screens.monitors import PROJECTOR, Window

if os.environ.get("PACER_REQUIRE_QT") != "1":
    pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)

from pacer.commands import KEYS
from pacer.run.events import Edge
from tests.real_screens.pacer_on_screens import PacerOnScreens, Shot, x_key
from tests.real_screens.private_marker import private_pixels

EDGES = get_args(Edge)

# A text editor over the whole projector. It tells every key that it gets, and where it is clicked.
EDITOR = """
import sys
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QApplication, QPlainTextEdit

class Editor(QPlainTextEdit):
    def keyPressEvent(self, event):
        if event.key() not in (Qt.Key.Key_Control, Qt.Key.Key_Shift):
            print("key", QKeySequence(event.keyCombination()).toString(), flush=True)
        super().keyPressEvent(event)
    def mousePressEvent(self, event):
        at = event.globalPosition().toPoint()
        print("click", at.x(), at.y(), flush=True)
        super().mousePressEvent(event)

app = QApplication(sys.argv)
editor = Editor()
editor.setWindowTitle("Editor")
editor.setStyleSheet("background: #205030; color: white")
screen = next(screen for screen in app.screens() if screen.name() == "DUMMY1")
editor.setScreen(screen)
editor.setGeometry(screen.availableGeometry())
editor.showFullScreen() if sys.argv[1] == "full" else editor.showMaximized()
sys.exit(app.exec())
"""

# Qt's names of the keys of a lesson that are called otherwise.
TOLD = {"PageDown": "PgDown", "PageUp": "PgUp", "Period": "."}


def keys_of_a_lesson() -> list[tuple[str, str]]:
    """Each key that means something in a lesson: as X names it, and as the editor tells it."""
    found = []
    for name in (name for key in KEYS for name in key.names):
        plain = name.removeprefix("Ctrl+")
        told = TOLD.get(plain, plain)
        found.append((x_key(name), told if name == plain else f"Ctrl+{told}"))
    return found


def lies_along(strip: Window, edge: str) -> bool:
    """Whether the strip is a ninth to a twelfth of the projector, along an edge of it."""
    x, y, wide, high = strip.x - 1368, strip.y, strip.width, strip.height
    if edge in ("bottom", "top"):
        return (x, wide, y + high if edge == "bottom" else 720 - y) == (0, 1280, 720) and 60 <= high <= 80
    return (y, high, x + wide if edge == "right" else 1280 - x) == (0, 720, 1280) and wide <= 1280 // 4


def is_on_top(pacer: PacerOnScreens, shot: Shot, strip: Window) -> bool:
    """Whether what lies at the strip's place is the strip of that very second."""
    seen = shot.image.copy(strip.x - 1368, strip.y, strip.width, strip.height)
    (expected,) = pacer.expected([shot], (strip.width, strip.height))
    return expected.is_seen_in(seen)


@pytest.mark.scenario("strip over another program")
@pytest.mark.parametrize(
    ("size", "edges"),
    [
        ("full", EDGES[:2]),
        pytest.param("full", EDGES, marks=pytest.mark.long),
        pytest.param("maximized", EDGES, marks=pytest.mark.long),
    ],
)
def test_along_every_edge_the_editor_under_the_strip_gets_every_key_and_click(
    pacer: PacerOnScreens, run_child: Callable[..., Child], size: str, edges: Sequence[str]
) -> None:
    monitors = pacer.monitors
    pacer.start_lesson()
    pacer.press("w")
    strip = pacer.wait_for_wall("Wall strip")
    # Along one edge after the other, while the Desk has the keyboard; then the editor comes, for good.
    told, kinds = keys_of_a_lesson(), ["started", "wall_turned"]
    assert len(told) > 45
    for number, edge in enumerate(edges):
        moved = time.monotonic()
        if number:
            time.sleep(0.45)
            pacer.press("s")
            kinds.append("strip_moved")
            pacer.wait_for_events(*kinds)
            assert pacer.events()[-1].body.edge == edge
        strip = pacer.wait_for_wall("Wall strip")
        while not lies_along(strip, edge):
            assert time.monotonic() < moved + PATIENCE_S, (
                f"the strip does not come to the {edge} edge: {strip}"
            )
            strip = pacer.wait_for_wall("Wall strip")
        editor = run_child([sys.executable, "-c", EDITOR, size])
        window = monitors.wait_for_window("Editor")
        wait_until(lambda: monitors.active_window_title() == "Editor", "the keyboard to be in the editor")
        pacer.wait_for_shot(
            f"9-{size}-{edge}-editor", PROJECTOR, lambda i: i.pixelColor(640, 360).name() == "#205030",
            "the editor on the projector",
        )  # fmt: skip
        monitors.key(*(x_name for x_name, _name in told))
        wait_until(lambda e=editor: e.out().count("key ") >= len(told), "every key to reach the editor")
        assert editor.out() == "".join(f"key {name}\n" for _x_name, name in told)
        place = strip.x + strip.width // 2, strip.y + strip.height // 2
        monitors.click(*place)
        editor.wait_for_output(f"click {place[0]} {place[1]}\n")
        monitors.type_text("after the click")
        wait_until(lambda e=editor: "key K\n" in e.out().split("click")[1], "keys after the click")
        assert window.x <= place[0] < window.x + window.width
        assert window.y <= place[1] < window.y + window.height
        shot = pacer.projector(f"9-{size}-{edge}")
        assert private_pixels(shot.image) == 0
        assert is_on_top(pacer, shot, strip), f"the strip is not on top: {shot.path}"
        # No key of all this was a press of the lesson.
        pacer.wait_for_events(*kinds)
        editor.kill()
        wait_until(lambda: monitors.active_window_title() == "Pacer", "the keyboard to be back in Pacer")
