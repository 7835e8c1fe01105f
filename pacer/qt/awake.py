"""Keeps the laptop awake during a lesson. A thread of its own asks the system: nobody waits for it."""

import gc
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager, suppress
from functools import cache
from threading import Lock, Thread, main_thread
from typing import Any

from PySide6.QtCore import QObject, Qt, Signal

from pacer.text import _

PROGRAM_LOOK_S = 2.0  # how often a hold looks whether the program still runs

# Makes something to enter and to leave; what entering gives back tells by ``active`` whether it works.
Factory = Callable[[], AbstractContextManager[Any]]


@contextmanager
def presenting() -> Iterator[Any]:
    """The system's own way to keep computer and screen on."""
    from wakepy import keep

    connections: list[Any] = []
    try:
        with keep.presenting(on_fail="pass", dbus_adapter=_adapter(connections)) as mode:
            yield mode
    finally:
        for connection in connections:
            connection.close()


def _adapter(connections: list[Any]) -> type | None:
    """The library's way to the message bus, but one that leaves closing to us; None on other systems.

    The library closes only after a success, and then collects garbage, which Qt's objects must not
    see from another thread.
    """
    try:
        from wakepy.dbus_adapters.jeepney import JeepneyDBusAdapter
    except ImportError:
        return None

    class Adapter(JeepneyDBusAdapter):
        def _create_new_connection(self, *bus: Any, **named: Any) -> Any:
            connections.append(super()._create_new_connection(*bus, **named))
            return connections[-1]

        def close_connections(self) -> None:
            pass

    return Adapter


class _Collecting(QObject):
    """Puts off Python's collecting of garbage while another thread works.

    A thread that makes many objects collects what is due, also what it did not make: a timer of Qt would
    then be stopped and deleted by the wrong thread. So only the main thread, which Qt's objects belong to,
    lets collecting go on, in its event loop.
    """

    _done = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._reasons = 0
        self._done.connect(self._on_done, Qt.ConnectionType.QueuedConnection)

    def put_off(self) -> None:
        """To be called by the main thread; each call is answered by one of ``go_on``."""
        self._reasons += 1
        gc.disable()

    def go_on(self) -> None:
        """Any thread may call this."""
        self._done.emit()

    def _on_done(self) -> None:
        self._reasons -= 1
        if not self._reasons:
            gc.enable()


@cache
def _collecting() -> _Collecting:
    """One for the program: it outlives whoever asked. First called by the main thread."""
    return _Collecting()


class _Hold:
    """One stretch of being kept awake: entered and left by one thread, which its inhibitor asks for.

    ``answer`` is None until the system has answered, which may take seconds.
    """

    def __init__(self, factory: Factory, collecting: _Collecting) -> None:
        self.answer: bool | None = None
        self._collecting = collecting
        # A plain lock: waiting for it makes no objects, so there is nothing to collect for.
        self._held = Lock()
        self._held.acquire()
        collecting.put_off()
        Thread(target=self._run, args=(factory,), name="keep awake", daemon=True).start()

    def let_go(self) -> None:
        """Let the thread release the inhibitor and end; returns at once. Called once."""
        self._collecting.put_off()
        self._held.release()

    def _run(self, factory: Factory) -> None:
        stack = ExitStack()
        # Whatever the system or its service fails with: the lesson goes on, and the teacher is told.
        try:
            self.answer = bool(stack.enter_context(factory()).active)
        except Exception:
            self.answer = False
        self._collecting.go_on()
        # A program that ends without a word must not be kept alive by what it holds.
        while not self._held.acquire(timeout=PROGRAM_LOOK_S) and main_thread().is_alive():
            pass
        with suppress(Exception):
            stack.close()
        self._collecting.go_on()


class Awake:
    """Asks the system not to fall asleep, from ``hold`` to ``release``; both return at once.

    The system drops the request by itself when the program crashes: it belongs to a connection, a thread
    or a child on its input, which end with it. It does not hold against a closed lid or an empty battery.
    Needs Qt's event loop.
    """

    def __init__(self, factory: Factory = presenting) -> None:
        self._factory = factory
        self._collecting = _collecting()
        self._hold: _Hold | None = None

    def hold(self) -> None:
        """Ask to be kept awake, unless that is asked already."""
        if self._hold is None:
            self._hold = _Hold(self._factory, self._collecting)

    def release(self) -> None:
        """Let the laptop sleep again."""
        if self._hold is not None:
            self._hold.let_go()
            self._hold = None

    @property
    def is_asked(self) -> bool:
        """Whether the system has been asked and not been released."""
        return self._hold is not None

    @property
    def is_waiting(self) -> bool:
        """Whether the system has still to answer."""
        return self._hold is not None and self._hold.answer is None

    @property
    def refused(self) -> str:
        """What to tell the teacher when the system said no; empty when it did not."""
        if self._hold is None or self._hold.answer is not False:
            return ""
        return _("This laptop may fall asleep: it does not let Pacer keep it awake.")
