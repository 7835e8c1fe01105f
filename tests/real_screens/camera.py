"""Photographs an X server's screen through libxcb: a hundred times faster than a program for each picture."""

import ctypes
import ctypes.util
from typing import TYPE_CHECKING, Self

import numpy as np

if TYPE_CHECKING:
    from PySide6.QtGui import QImage

_Z_PIXMAP = 2
_ALL_PLANES = 0xFFFFFFFF
_OPAQUE = np.uint32(0xFF000000)  # the server leaves the fourth byte empty


class _Cookie(ctypes.Structure):
    _fields_ = (("sequence", ctypes.c_uint),)


class _Iterator(ctypes.Structure):
    _fields_ = (("data", ctypes.POINTER(ctypes.c_uint32)), ("rem", ctypes.c_int), ("index", ctypes.c_int))


def _library() -> ctypes.CDLL:
    xcb = ctypes.CDLL(ctypes.util.find_library("xcb") or "libxcb.so.1")
    pointer, number, short, half = ctypes.c_void_p, ctypes.c_uint32, ctypes.c_int16, ctypes.c_uint16
    signatures = {
        "xcb_connect": (pointer, [ctypes.c_char_p, pointer]),
        "xcb_connection_has_error": (ctypes.c_int, [pointer]),
        "xcb_disconnect": (None, [pointer]),
        "xcb_get_setup": (pointer, [pointer]),
        "xcb_setup_roots_iterator": (_Iterator, [pointer]),
        "xcb_get_image": (
            _Cookie,
            [pointer, ctypes.c_uint8, number, short, short, half, half, number],
        ),
        "xcb_get_image_reply": (pointer, [pointer, _Cookie, ctypes.POINTER(pointer)]),
        "xcb_get_image_data": (ctypes.POINTER(ctypes.c_uint8), [pointer]),
        "xcb_get_image_data_length": (ctypes.c_int, [pointer]),
    }
    for name, (result, arguments) in signatures.items():
        function = getattr(xcb, name)
        function.restype, function.argtypes = result, arguments
    return xcb


class Camera:
    """A connection of its own to a display. One thread only."""

    def __init__(self, display: str) -> None:
        """Connect; RuntimeError where nobody answers."""
        self._xcb, self._free = _library(), ctypes.CDLL(None).free
        self._free.argtypes, self._free.restype = [ctypes.c_void_p], None
        self._connection = self._xcb.xcb_connect(display.encode(), None)
        if self._xcb.xcb_connection_has_error(self._connection):
            self._xcb.xcb_disconnect(self._connection)
            raise RuntimeError(f"no X server answers at {display}")
        setup = self._xcb.xcb_get_setup(self._connection)
        self._root = self._xcb.xcb_setup_roots_iterator(setup).data[0]

    def pixels(self, x: int, y: int, width: int, height: int) -> np.ndarray | None:
        """The pixels of a place as an array (height, width) of 0xAARRGGBB; None where the screen ends before.

        That happens while screens change: xcb hands over the server's error where Xlib would end the process.
        """
        error = ctypes.c_void_p()
        asked = self._xcb.xcb_get_image(
            self._connection, _Z_PIXMAP, self._root, x, y, width, height, _ALL_PLANES
        )
        reply = self._xcb.xcb_get_image_reply(self._connection, asked, ctypes.byref(error))
        if not reply:
            self._free(error)
            if self._xcb.xcb_connection_has_error(self._connection):
                raise RuntimeError("the X server is gone")
            return None
        try:
            length = self._xcb.xcb_get_image_data_length(reply)
            data = ctypes.string_at(self._xcb.xcb_get_image_data(reply), length)
        finally:
            self._free(reply)
        return np.frombuffer(data, np.uint32).reshape(height, width) | _OPAQUE

    def close(self) -> None:
        """Disconnect; harmless when done already."""
        if self._connection:
            self._xcb.xcb_disconnect(self._connection)
            self._connection = None

    def __enter__(self) -> Self:
        """It is connected already."""
        return self

    def __exit__(self, *_of: object) -> None:
        """Disconnect, whatever happened."""
        self.close()


def as_image(pixels: np.ndarray) -> "QImage":
    """An array (height, width) of 0xAARRGGBB as a picture."""
    from PySide6.QtGui import QImage

    height, width = pixels.shape
    return QImage(pixels.tobytes(), width, height, width * 4, QImage.Format.Format_RGB32).copy()
