"""Keeps the laptop awake during a lesson. A thread of its own asks the system: nobody waits for it."""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager, suppress
from threading import Lock, Thread, main_thread
from typing import Any

from pacer.qt.kit.collecting import Collecting, collecting
from pacer.text import _

PROGRAM_LOOK_S = 10.0  # how often a hold looks whether the program still runs

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


class _Hold:
    """One stretch of being kept awake: entered and left by one thread, which its inhibitor asks for.

    ``answer`` is None until the system has answered, which may take seconds.
    """

    def __init__(self, factory: Factory, collecting: Collecting) -> None:
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
        self._collecting = collecting()
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
        return _("This laptop may fall asleep by itself.")
