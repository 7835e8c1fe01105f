"""Keys of a real X server in a lesson: held at several rates of repeat, and on seven layouts."""

import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from pacer.commands import KEYS
from tests.real_screens.child_process import Child, wait_until
from tests.real_screens.monitors import LAPTOP, TwoMonitors
from tests.real_screens.pacer_on_screens import PacerOnScreens, is_curtain
from tests.real_screens.private_marker import is_private

# Prints the table's first name for each key that is pressed, or "-" for no key of the table.
LISTENER = """
from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QApplication, QWidget
from pacer.qt.lesson.keys import KeyReader

ALONE = (Qt.Key.Key_Shift, Qt.Key.Key_Control)

class Window(QWidget):
    def event(self, event):
        if event.type() in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            found = reader.read(event)
            if event.type() == QEvent.Type.KeyPress and event.key() not in ALONE:
                print(found.key.names[0] if found.key else "-", flush=True)
            return True
        return super().event(event)

application = QApplication([])
reader, window = KeyReader(), Window()
window.setWindowTitle("Listener")
window.show()
application.exec()
"""

# Delay in milliseconds and repeats a second: the X server's own, a common quick one, one slower than it is
# told as a hold, and one so fast that Qt finds hardly any repeat with its release.
RATES = [(660, 25), (250, 30), (500, 10), (150, 100)]

# X11 keycodes: where a US board has the letter, and where another layout types it (xkeyboard-config).
PLACES = {
    name: start + step
    for start, row in {10: "123456789", 24: "QWERTYUIOP", 38: "ASDFGHJKL", 52: "ZXCVBNM"}.items()
    for step, name in enumerate(row)
}
ELSEWHERE = {"de": {"Z": 29, "Y": 52}, "fr": {"Z": 25, "W": 52, "M": 47}}
LAYOUTS = ("de", "fr", "ru", "gr", "il", "es", "jp")
LETTERS = [name for key in KEYS for name in key.names if len(name) == 1 and name.isalpha() and name != "B"]
DIGITS = [str(number) for number in range(1, 10)]


@pytest.fixture
def keyboard(two_monitors: TwoMonitors) -> Iterator[TwoMonitors]:
    """The monitors, whose keyboard has the layout and the rate of a fresh server afterwards."""
    yield two_monitors
    two_monitors.lay_out_keyboard("us")
    two_monitors.repeat_keys(660, 25)


@pytest.fixture
def pacer(keyboard: TwoMonitors, run_child: Callable[..., Child], tmp_path: Path) -> PacerOnScreens:
    """The program, not yet started, with one invented lesson."""
    return PacerOnScreens(keyboard, run_child, tmp_path)


@pytest.mark.scenario("held keys, real repeat")
@pytest.mark.parametrize(
    "rates", [[RATES[0], RATES[3]], pytest.param(RATES * 2, marks=pytest.mark.long)], ids=["two", "all"]
)
def test_a_held_key_does_once_what_it_does_at_every_rate_of_repeat(
    pacer: PacerOnScreens, rates: list[tuple[int, int]]
) -> None:
    pacer.start_lesson()
    told = ["started"]
    for delay_ms, per_second in rates:
        pacer.monitors.repeat_keys(delay_ms, per_second)
        for name in ("Up", "Page_Down", "Page_Up"):
            pacer.monitors.hold_key(name, 0.85)
        pacer.monitors.key("t")  # whatever the held keys sent was read before it
        told += ["time_added", "moved", "moved", "table_mark"]
        moves = [event.body for event in pacer.wait_for_events(*told) if event.body.kind == "moved"]
        assert [move.how for move in moves[-2:]] == ["next", "back"], (
            f"at {delay_ms} ms, {per_second} a second"
        )


def test_every_letter_and_digit_of_the_table_works_on_every_layout(
    keyboard: TwoMonitors, run_child: Callable[..., Child]
) -> None:
    child = run_child([sys.executable, "-c", LISTENER])
    keyboard.activate(keyboard.wait_for_window("Listener"))
    read = 0
    for layout in LAYOUTS:
        keyboard.lay_out_keyboard(layout)
        places = PLACES | ELSEWHERE.get(layout, {})
        pressed = {name: str(places[name]) for name in LETTERS} | {name: str(PLACES[name]) for name in DIGITS}
        keys = [*pressed.values(), *(f"shift+{key}" for key in pressed.values())]
        # The full stop's place, which a clicker's button presses, and undo and a jump.
        keys += ["60", f"ctrl+{places['Z']}", f"ctrl+{PLACES['3']}"]
        keyboard.key("Caps_Lock", *(str(places[name]) for name in "DN"), "Caps_Lock")
        keyboard.key("Num_Lock", "87", "88", "Num_Lock")  # 1 and 2 of the number pad
        keyboard.key(*keys)
        expected = ["-", "D", "N", "-", "-", "1", "2", "-", *pressed, *pressed, "B", "Ctrl+Z", "Ctrl+3"]
        read += len(expected)
        wait_until(lambda most=read: len(child.out().split()) >= most, f"every key to be read, {layout}")
        assert child.out().split()[-len(expected) :] == expected, layout


@pytest.mark.scenario("a lesson on a keyboard layout")
@pytest.mark.parametrize("layout", [pytest.param("fr", marks=pytest.mark.long), "ru"])
def test_a_lesson_is_led_from_its_screen_question_on_with_the_keys_of_a_layout(
    pacer: PacerOnScreens, layout: str
) -> None:
    pacer.forget_the_room()
    pacer.monitors.lay_out_keyboard(layout)
    pacer.start_on_today()
    pacer.monitors.key("Return")
    pacer.monitors.wait_for_window("Screen 2")
    pacer.monitors.key(str(PLACES["2"]))
    pacer.wait_for_events("started")
    for key in (PLACES["V"], PLACES["3"], 60, PLACES["N"]):
        pacer.monitors.key(str(key))
    told = pacer.wait_for_events("started", "voice", "tally", "time_hidden", "moved")
    assert told[2].body.number == 3
    assert told[-1].body.ending == "moved on"


@pytest.mark.parametrize(("delay_ms", "per_second"), [(250, 30), (150, 100)])
def test_a_key_that_is_held_while_what_is_shown_changes_counts_for_nothing_in_what_comes(
    pacer: PacerOnScreens, delay_ms: int, per_second: int
) -> None:
    monitors = pacer.monitors
    monitors.repeat_keys(delay_ms, per_second)
    pacer.forget_the_room()
    pacer.start()
    monitors.wait_for_window("Pacer")
    wait_until(lambda: monitors.active_window_title() == "Pacer", "the keyboard to be in Pacer")
    pacer.wait_for_shot("17-curtain", LAPTOP, is_curtain, "the curtain over the pages")
    time.sleep(0.5)  # the screens have settled
    monitors.hold_key("Return", 1.5)
    pacer.wait_for_shot("17-today", LAPTOP, is_private, "Enter to lift the curtain")
    monitors.key("F12")  # whatever the held key sent was read before it
    time.sleep(0.5)
    assert (pacer.window("Screen 2"), pacer.events()) == (None, []), "the key that lifted it pressed Start"

    monitors.key("Return")
    monitors.wait_for_window("Screen 2")
    monitors.hold_key("2", 1.5)
    monitors.key("v")
    told = pacer.wait_for_events("started", "voice")
    assert len(told) == 2, "the digit that answered was a press of the lesson, too"
