"""What other threads tell the main thread by a signal, and no longer once the program ends."""

import atexit
from contextlib import suppress
from threading import RLock

from PySide6.QtCore import SignalInstance

_telling, _ended = RLock(), False


def tell_main(signal: SignalInstance, *arguments: object) -> None:
    """Emit a signal from any thread; nothing where its object is gone or the program ends.

    At its end the interpreter takes Qt's objects away while daemon threads go on: one that emits then
    crashes the program.
    """
    with _telling:
        if not _ended:
            with suppress(RuntimeError):  # its object is gone
                signal.emit(*arguments)


def _end() -> None:
    global _ended
    with _telling:
        _ended = True


atexit.register(_end)  # those registered last run first: before Qt's own, which came with its import
