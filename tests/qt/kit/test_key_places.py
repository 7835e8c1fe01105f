"""A key counts for what its layout types, and where that is no letter of the table, for its place."""

from types import SimpleNamespace

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent

from pacer.commands import KEYS
from pacer.qt.kit import key_places
from pacer.qt.kit.key_places import code_of, name_at

# The letter, its X11 keycode (xkeyboard-config, keycodes/evdev), its USB HID usage's PS/2 make code
# (Microsoft's translation table) and its macOS virtual key code (HIToolbox/Events.h).
PUBLISHED = [
    ("1", 10, 0x02, 0x12),
    ("9", 18, 0x0A, 0x19),
    ("0", 19, 0x0B, 0x1D),
    ("Q", 24, 0x10, 0x0C),
    ("P", 33, 0x19, 0x23),
    ("A", 38, 0x1E, 0x00),
    ("D", 40, 0x20, 0x02),
    ("L", 46, 0x26, 0x25),
    ("Z", 52, 0x2C, 0x06),
    ("M", 58, 0x32, 0x2E),
    (".", 60, 0x34, 0x2F),
]
PLATFORMS = ("linux", "win32", "darwin")


def _native(platform, keycode, make_code, virtual_key):
    """The scan code and the virtual key that Qt gives on a platform."""
    return {"linux": (keycode, 0), "win32": (make_code, 0), "darwin": (1, virtual_key)}[platform]


def _press(typed, scan_code=0, virtual_key=0):
    code = typed if isinstance(typed, int) else ord(typed.upper())
    return QKeyEvent(QEvent.Type.KeyPress, code, Qt.KeyboardModifier.NoModifier, scan_code, virtual_key, 0)


@pytest.mark.parametrize("platform", PLATFORMS)
@pytest.mark.parametrize("published", PUBLISHED, ids=lambda row: row[0])
def test_a_place_is_known_by_the_platform_s_published_number(platform, published):
    name, *numbers = published
    assert name_at(platform, *_native(platform, *numbers)) == name


@pytest.mark.parametrize("platform", PLATFORMS)
def test_every_letter_and_digit_has_one_place_on_each_platform(platform):
    numbers = range(1, 128)
    found = [name_at(platform, 1, n) if platform == "darwin" else name_at(platform, n, 0) for n in numbers]
    found += [name_at(platform, 1, 0)] if platform == "darwin" else []
    assert "".join(sorted(found)) == ".0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@pytest.mark.parametrize("platform", PLATFORMS)
def test_an_event_without_native_numbers_has_no_place(platform):
    assert name_at(platform, 0, 0) == ""


@pytest.mark.parametrize("platform", PLATFORMS)
def test_a_letter_of_another_script_is_read_by_its_place_on_every_platform(monkeypatch, platform):
    monkeypatch.setattr(key_places, "sys", SimpleNamespace(platform=platform, maxunicode=0x10FFFF))
    for typed in "вδג":
        assert code_of(_press(typed, *_native(platform, 40, 0x20, 0x02))) == Qt.Key.Key_D


@pytest.fixture
def linux(monkeypatch):
    monkeypatch.setattr(key_places, "sys", SimpleNamespace(platform="linux", maxunicode=0x10FFFF))


@pytest.mark.parametrize(
    ("typed", "place", "read"),
    [
        ("z", "Y", "z"),  # German
        ("w", "Z", "w"),  # French
        ("m", ";", "m"),  # French
        (",", "M", ","),  # French: the comma is no M
        ("é", "2", "2"),  # French, without Shift
        ("2", "2", "2"),  # French, with Shift
        (":", ".", "."),  # French: a clicker's button presses the place of the full stop
        (".", ",", "."),  # French, with Shift
        ("š", "3", "3"),  # Czech
        (".", "E", "."),  # Dvorak
        ("v", ".", "v"),  # Dvorak
        ("ü", "W", "ü"),  # Azerbaijani: a Latin letter stays one
        ("'", "W", "w"),  # Hebrew
        ("ץ", ".", "."),
        ("ς", "W", "w"),  # Greek
        ("ю", ".", "."),  # Russian
        (".", "/", "."),  # Russian
        ("ो", "A", "a"),  # Hindi: a sign, no letter
        ("€", "E", "€"),  # a symbol on the third level
        (int(Qt.Key.Key_unknown), "D", "d"),
        (0, "D", "d"),
        (int(Qt.Key.Key_Dead_Circumflex), "9", "9"),
    ],
)
def test_what_the_layout_types_wins_and_else_the_place(linux, typed, place, read):
    keycode = {name: number for number in range(9, 70) if (name := name_at("linux", number, 0))}.get(place, 0)
    assert code_of(_press(typed, keycode)) == ord(read.upper())


def test_keys_with_a_name_are_never_read_by_their_place(linux):
    names = [name for key in KEYS for name in key.names if len(name) > 1 and "+" not in name]
    for name in set(names) - {"Period"}:
        code = int(getattr(Qt.Key, f"Key_{name}"))
        assert code_of(_press(code, 65)) == code
