"""Whether a window can be shown here, and which system packages Qt still needs. Imports no Qt."""

import ctypes
import os
import sys
from pathlib import Path

from pacer.text import _

_NO_SCREEN_PLATFORMS = ("offscreen", "minimal")

# What Qt's own libraries and its X11 plugin load at run time, with Debian's package for each.
_QT_NEEDS = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libfreetype.so.6": "libfreetype6",
    "libglib-2.0.so.0": "libglib2.0-0",
}
_X11_NEEDS = {
    "libX11-xcb.so.1": "libx11-xcb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-sync.so.1": "libxcb-sync1",
    "libxcb-xfixes.so.0": "libxcb-xfixes0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
}


def has_display() -> bool:
    """Whether windows can be seen: a screen server on Linux, always elsewhere."""
    if os.environ.get("QT_QPA_PLATFORM", "").partition(":")[0] in _NO_SCREEN_PLATFORMS:
        return False
    if not sys.platform.startswith("linux"):
        return True
    return _wayland_answers() or _x_answers()


def _wayland_answers() -> bool:
    name = os.environ.get("WAYLAND_DISPLAY", "")
    return bool(name) and (Path(os.environ.get("XDG_RUNTIME_DIR", "/")) / name).exists()


def _x_answers() -> bool:
    """Whether an X server can be reached: with a dead DISPLAY Qt would abort the program."""
    if not os.environ.get("DISPLAY"):
        return False
    try:
        library = ctypes.CDLL("libX11.so.6")
    except OSError:
        return True  # the complaint about missing packages comes next
    library.XOpenDisplay.restype = ctypes.c_void_p
    display = library.XOpenDisplay(None)
    if not display:
        return False
    library.XCloseDisplay(ctypes.c_void_p(display))
    return True


def qt_complaint(*, painting_only: bool = False) -> str:
    """Which packages to install before Qt can run, in one line; empty when nothing is missing."""
    if not sys.platform.startswith("linux"):
        return ""
    needs = dict(_QT_NEEDS)
    if not painting_only and os.environ.get("DISPLAY"):
        needs |= _X11_NEEDS
    packages = sorted({package for library, package in needs.items() if not _loads(library)})
    if not packages:
        return ""
    return _("Qt needs more of this system. On Debian or Ubuntu: sudo apt-get install {packages}").format(
        packages=" ".join(packages)
    )


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True
