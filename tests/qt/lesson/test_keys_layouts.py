"""Every key of a lesson works on keyboards of other layouts, with Shift, and with Caps Lock."""

import pytest
from PySide6.QtCore import Qt

from pacer.commands import KEYS

SHIFT = Qt.KeyboardModifier.ShiftModifier
KEYPAD = Qt.KeyboardModifier.KeypadModifier
WRITTEN = [name for key in KEYS for name in key.names if len(name) == 1 or name == "Period"]
# What a row of keys types, beginning at an X11 keycode (xkeyboard-config, symbols).
CYRILLIC = {24: "йцукенгшщз", 38: "фывапролд", 52: "ячсмитьбю"}
HEBREW = {24: "/'קראטוןםפ", 38: "שדגכעיחלך", 52: "זסבהנמצתץ"}
QWERTY = {24: "QWERTYUIOP", 38: "ASDFGHJKL", 52: "ZXCVBNM", 60: "."}
AZERTY_DIGITS = {10: "&é\"'(-è_ç"}

pytestmark = pytest.mark.skipif("sys.platform != 'linux'", reason="the keycodes are those of Linux")


def _typed(rows):
    return {start + step: typed for start, row in rows.items() for step, typed in enumerate(row)}


def _does(new_stage, invented, name, **how):
    made = new_stage(invented).start()
    made.tap(name, **how)
    return made.kinds, made.refusals


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name in WRITTEN if not name.isdigit()])
@pytest.mark.parametrize("layout", [CYRILLIC, HEBREW], ids=["ru", "il"])
def test_a_letter_that_cannot_be_typed_goes_by_its_place(new_stage, invented, layout, name):
    place = next(at for at, typed in _typed(QWERTY).items() if typed == name.replace("Period", "."))
    foreign = _does(new_stage, invented, _typed(layout)[place], scan_code=place)
    assert foreign == _does(new_stage, invented, name)
    assert foreign[0] != ["started"] or foreign[1]


@pytest.mark.parametrize("number", range(1, 10))
def test_digits_go_by_their_keys_where_they_need_shift(new_stage, invented, number):
    made = new_stage(invented).start()
    made.tap(AZERTY_DIGITS[10][number - 1], scan_code=9 + number)
    assert made.last.number == number
    made.tap(str(number), modifiers=SHIFT, scan_code=9 + number)
    assert made.session.state.count("tally") == 2


def test_control_and_a_digit_go_by_their_keys_too(stage):
    stage.tap("é", modifiers=Qt.KeyboardModifier.ControlModifier, scan_code=11)
    assert (stage.last.how, stage.last.to) == ("jump", 1)


def test_control_z_goes_by_its_place_in_another_script(stage):
    stage.tap("Up").tap("я", modifiers=Qt.KeyboardModifier.ControlModifier, scan_code=52)
    assert stage.last.kind == "undone"


@pytest.mark.slow
@pytest.mark.parametrize("name", WRITTEN)
def test_a_letter_with_shift_counts_as_the_letter(new_stage, invented, name):
    assert _does(new_stage, invented, name, modifiers=SHIFT) == _does(new_stage, invented, name)


@pytest.mark.parametrize("name", ["PageDown", "PageUp", "Space", "Up", "Home"])
def test_other_keys_with_shift_mean_nothing(stage, name):
    stage.tap(name, modifiers=SHIFT)
    assert stage.kinds == ["started"]


@pytest.mark.parametrize("modifiers", [KEYPAD, KEYPAD | SHIFT])
def test_digits_of_the_number_pad_count_with_shift_as_well(stage, modifiers):
    stage.tap("3", modifiers=modifiers, scan_code=89)
    assert stage.last.number == 3
