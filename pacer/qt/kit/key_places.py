"""Which letter, digit or full stop a key stands for: what the layout types, else what its place says."""

import sys

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent

# What stands on a US board, by the number of the row's first key. The numbers are those of Linux
# (input-event-codes.h) and, for these keys, of Windows too (make codes of scan code set 1, as in Microsoft's
# "USB HID to PS/2 Scan Code Translation Table").
_ROWS = {2: "1234567890", 16: "QWERTYUIOP", 30: "ASDFGHJKL", 44: "ZXCVBNM", 52: "."}
_OF_SCAN_CODE = {start + step: name for start, row in _ROWS.items() for step, name in enumerate(row)}
# The same of macOS, by virtual key code from 0 (kVK_ANSI_… in HIToolbox/Events.h); blank: none of ours.
_OF_VIRTUAL_KEY = dict(enumerate("ASDFHGZXCV BQWERYT123465 97 80 OU IP LJ K    NM."))
_XKB_OFFSET = 8  # X11 and Wayland count Linux's numbers from 8 (xkeyboard-config, keycodes/evdev)


def name_at(platform: str, scan_code: int, virtual_key: int) -> str:
    """The letter, digit or full stop that a US board has at a key's place, or "" for another key.

    ``platform`` is one of ``sys.platform``; the numbers are Qt's native ones, 0 where it knows none.
    """
    if not scan_code:
        return ""
    if platform == "darwin":  # its scan code only tells that the other number is known
        return _OF_VIRTUAL_KEY.get(virtual_key, "").strip()
    return _OF_SCAN_CODE.get(scan_code if platform == "win32" else scan_code - _XKB_OFFSET, "")


def writes(code: int) -> bool:
    """Whether a Qt key is a Latin letter, a digit or the full stop, which mean the same with Shift."""
    return code < 128 and (chr(code).isalnum() or chr(code) == ".")


def code_of(event: QKeyEvent) -> int:
    """The Qt key that an event stands for on any layout.

    What the layout types counts: the letter printed on the key. Where that is no Latin letter, digit or
    full stop, the place counts: for letters if the layout is of another script, for digits and the full
    stop always (on AZERTY they need Shift, and a clicker's button presses the place).
    """
    code = event.key()
    place = name_at(sys.platform, event.nativeScanCode(), event.nativeVirtualKey())
    if not place or writes(code):
        return code
    accented = code < 0x370 and chr(code).isalpha()
    if place.isdigit() or (_is_foreign(code) if place.isalpha() else not accented):
        return ord(place)
    return code


def _is_foreign(code: int) -> bool:
    """Whether a key types a letter or a sign of another script than Latin, or nothing Qt has a name for."""
    if code in (0, Qt.Key.Key_unknown, ord("'")):  # Hebrew has the apostrophe where W is
        return True
    # From Greek on, but for more of Latin, and the symbols.
    latin_or_symbol = 0x1E00 <= code < 0x1F00 or 0x2000 <= code < 0x2C00
    return 0x370 <= code <= sys.maxunicode and not latin_or_symbol
