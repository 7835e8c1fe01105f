"""Staying awake: asked without waiting, told when refused, and gone with the program however it ends."""

import gc
import os
import shutil
import subprocess
import sys
import threading
import time
from contextlib import contextmanager
from pathlib import Path
from types import SimpleNamespace

import pytest
from PySide6.QtWidgets import QApplication

from pacer.qt.lesson.awake import Awake

REFUSED = "This laptop may fall asleep by itself."
# Runs in a child: keeps awake, says so, and then does nothing but wait to be killed or told to go.
HOLDER = """
import sys, time
from pacer.qt.lesson.awake import Awake
from wakepy.dbus_adapters.jeepney import JeepneyDBusAdapter
JeepneyDBusAdapter.timeout = 60  # the library's two seconds are too few for a busy machine
awake = Awake()
awake.hold()
while awake.is_waiting:
    time.sleep(0.02)
print(awake.refused or "held", flush=True)
sys.stdin.readline()
"""


def eventually(true, within_s=120.0):
    """Wait until something is true, but not for ever."""
    end = time.monotonic() + within_s
    while not true():
        assert time.monotonic() < end, "it never came true"
        QApplication.processEvents()
        time.sleep(0.01)


@pytest.fixture(autouse=True)
def _collecting_goes_on_afterwards():
    """It is put off while another thread asks, and must never stay off."""
    assert gc.isenabled()
    yield
    eventually(lambda: gc.isenabled() and not asking_threads())


def asking_threads():
    return [thread for thread in threading.enumerate() if thread.name == "keep awake"]


class FakeSystem:
    """A system that may say no, fail, or take its time; it notes who asks and who lets go."""

    def __init__(self, answer=True, slow=None, fails_at=""):
        self.answer, self.slow, self.fails_at = answer, slow, fails_at
        self.asked: list[int] = []
        self.let_go: list[int] = []

    @contextmanager
    def mode(self):
        self.asked.append(threading.get_ident())
        if self.slow is not None:
            self.slow.wait(120)
        if self.fails_at == "entering":
            raise RuntimeError("the service is broken")
        yield SimpleNamespace(active=self.answer)
        self.let_go.append(threading.get_ident())
        if self.fails_at == "leaving":
            raise RuntimeError("the service is gone")


def test_it_is_held_from_hold_to_release_by_one_other_thread():
    """The library asks that whoever entered it also leaves it."""
    system = FakeSystem()
    awake = Awake(system.mode)
    assert not awake.is_asked
    awake.hold()
    awake.hold()
    eventually(lambda: not awake.is_waiting)
    assert (awake.is_asked, awake.refused, system.let_go) == (True, "", [])
    awake.release()
    awake.release()
    eventually(lambda: system.let_go)
    assert system.asked == system.let_go
    assert system.asked != [threading.get_ident()]
    assert (awake.is_asked, awake.refused) == (False, "")


def test_it_can_be_taken_again():
    system = FakeSystem()
    awake = Awake(system.mode)
    for times in (1, 2, 3):
        awake.hold()
        eventually(lambda times=times: len(system.asked) == times)
        awake.release()
        eventually(lambda times=times: len(system.let_go) == times)


@pytest.mark.parametrize("system", [FakeSystem(answer=False), FakeSystem(fails_at="entering")])
def test_a_refusal_is_said_in_plain_words_and_forgotten_when_no_longer_asked(system):
    awake = Awake(system.mode)
    awake.hold()
    eventually(lambda: not awake.is_waiting)
    assert awake.refused == REFUSED
    awake.release()
    assert awake.refused == ""


def test_a_service_that_fails_when_let_go_harms_nothing():
    system = FakeSystem(fails_at="leaving")
    awake = Awake(system.mode)
    awake.hold()
    eventually(lambda: not awake.is_waiting)
    awake.release()
    eventually(lambda: system.let_go)
    assert awake.refused == ""


def test_a_slow_system_holds_nobody_up_and_a_release_before_its_answer_still_lets_go():
    system = FakeSystem(slow=threading.Event())
    awake = Awake(system.mode)
    awake.hold()
    assert awake.is_waiting
    awake.release()
    assert asking_threads(), "the system still thinks about it"
    assert system.let_go == []
    system.slow.set()
    eventually(lambda: system.let_go)


def test_a_program_that_ends_without_a_word_is_not_kept_alive_by_what_it_holds():
    """On some systems the library's own thread would keep the program from ending."""
    source = """
import threading
from contextlib import contextmanager
from types import SimpleNamespace
from pacer.qt.lesson.awake import Awake
over = threading.Event()
@contextmanager
def mode():
    threading.Thread(target=over.wait).start()  # not a daemon: Python waits for it at the end
    yield SimpleNamespace(active=True)
    over.set()
awake = Awake(mode)
awake.hold()
while awake.is_waiting:
    pass
"""
    assert subprocess.run([sys.executable, "-c", source], timeout=600, check=False).returncode == 0


@pytest.fixture
def collections():
    """The names of the threads that collected garbage."""
    found: list[str] = []

    def note(phase, _info):
        if phase == "start":
            found.append(threading.current_thread().name)

    gc.callbacks.append(note)
    yield found
    gc.callbacks.remove(note)


def test_nothing_is_collected_while_asking_and_collecting_goes_on_afterwards(collections):
    """Qt's timers are to be deleted by the thread that made them."""

    @contextmanager
    def mode():
        litter = [[] for _number in range(5000)]
        yield SimpleNamespace(active=True, litter=litter)
        over.append([[] for _number in range(5000)])

    over: list[object] = []
    awake = Awake(mode)
    awake.hold()
    eventually(lambda: not awake.is_waiting)
    awake.release()
    eventually(lambda: gc.isenabled() and not asking_threads())
    assert over
    assert "keep awake" not in collections
    kept = [[] for _number in range(5000)]
    assert len(kept) == 5000
    assert collections, "the littering of this thread must have been seen, else the test sees nothing"


# With the real library and a real bus, private to the test, whose screen saver is ours.

on_bus = pytest.mark.skipif(
    not sys.platform.startswith("linux") or shutil.which("dbus-daemon") is None,
    reason="a private D-Bus needs Linux and dbus-daemon",
)


class ScreenSaver:
    """Stands in for the desktop's: counts who inhibits it, and sees connections go."""

    NAME, PATH = "org.freedesktop.ScreenSaver", "/org/freedesktop/ScreenSaver"

    def __init__(self, address: str, answers: bool = True) -> None:
        from jeepney import DBusAddress, MatchRule, message_bus, new_method_call
        from jeepney.io.blocking import open_dbus_connection

        self.answers = answers
        self.holders: dict[int, str] = {}
        self.calls: list[str] = []
        self._bus = open_dbus_connection(address)
        rule = MatchRule(type="signal", interface="org.freedesktop.DBus", member="NameOwnerChanged")
        self._bus.send_and_get_reply(message_bus.RequestName(self.NAME))
        own = DBusAddress("/org/freedesktop/DBus", "org.freedesktop.DBus", "org.freedesktop.DBus")
        self._bus.send_and_get_reply(new_method_call(own, "AddMatch", "s", (rule.serialise(),)))
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._serve, daemon=True)
        self._thread.start()

    def _serve(self) -> None:
        from jeepney import HeaderFields, MessageType, new_method_return

        while not self._over.is_set():
            try:
                message = self._bus.receive(timeout=0.1)
            except TimeoutError:
                continue
            member = message.header.fields.get(HeaderFields.member)
            sender = message.header.fields.get(HeaderFields.sender)
            if message.header.message_type is MessageType.signal:
                self._see(member, message.body)
            elif member in ("Inhibit", "UnInhibit"):
                self.calls.append(member)
                if not self.answers:
                    continue
                if member == "Inhibit":
                    cookie = len(self.calls)
                    self.holders[cookie] = sender
                    self._bus.send(new_method_return(message, "u", (cookie,)))
                else:
                    self.holders.pop(message.body[0], None)
                    self._bus.send(new_method_return(message))

    def _see(self, member: str, body: tuple[str, ...]) -> None:
        """As real ones do it: whoever leaves the bus inhibits nothing any more."""
        if member == "NameOwnerChanged" and not body[2]:
            self.holders = {cookie: who for cookie, who in self.holders.items() if who != body[0]}

    def close(self) -> None:
        self._over.set()
        self._thread.join()
        self._bus.close()


@contextmanager
def private_bus(folder: Path):
    """A message bus of our own, with nothing on it; yields its address."""
    command = ["dbus-daemon", "--session", "--nofork", "--print-address",
               f"--address=unix:path={folder / 'bus'}"]  # fmt: skip
    bus = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    assert bus.stdout is not None
    try:
        yield bus.stdout.readline().strip()
    finally:
        bus.terminate()
        bus.wait()
        bus.stdout.close()


@pytest.fixture
def bus(tmp_path, monkeypatch):
    with private_bus(tmp_path) as address:
        monkeypatch.setenv("DBUS_SESSION_BUS_ADDRESS", address)
        yield address


@pytest.fixture
def screen_saver(bus, monkeypatch):
    from wakepy.dbus_adapters.jeepney import JeepneyDBusAdapter

    monkeypatch.setattr(JeepneyDBusAdapter, "timeout", 60)  # as in HOLDER
    made = ScreenSaver(bus)
    yield made
    made.close()


@contextmanager
def holder():
    """Another program that keeps awake."""
    child = subprocess.Popen([sys.executable, "-c", HOLDER], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                             text=True, env=os.environ)  # fmt: skip
    try:
        yield child
    finally:
        child.kill()
        child.wait()
        child.stdin.close()
        child.stdout.close()


@on_bus
def test_the_screen_saver_is_inhibited_from_hold_to_release(screen_saver, collections):
    awake = Awake()
    awake.hold()
    eventually(lambda: not awake.is_waiting)
    assert awake.refused == ""
    assert len(screen_saver.holders) == 1
    awake.release()
    eventually(lambda: not screen_saver.holders)
    assert screen_saver.calls == ["Inhibit", "UnInhibit"]
    eventually(lambda: not asking_threads())
    assert "keep awake" not in collections


@on_bus
def test_a_killed_program_lets_the_laptop_sleep(screen_saver):
    """No word from it: its connection to the bus is gone, and the request with it."""
    with holder() as child:
        assert child.stdout.readline().strip() == "held"
        assert len(screen_saver.holders) == 1
        child.kill()  # at once: nothing of it can tidy up
        eventually(lambda: not screen_saver.holders)
    assert screen_saver.calls == ["Inhibit"]


@on_bus
def test_a_program_that_just_ends_lets_the_laptop_sleep(screen_saver):
    with holder() as child:
        assert child.stdout.readline().strip() == "held"
        child.stdin.write("\n")
        child.stdin.flush()
        assert child.wait(120) == 0
        eventually(lambda: not screen_saver.holders)


@on_bus
def test_a_desktop_without_such_a_service_refuses(bus):
    awake = Awake()
    awake.hold()
    eventually(lambda: not awake.is_waiting)
    assert awake.refused == REFUSED
    awake.release()


@on_bus
@pytest.mark.slow
def test_a_desktop_that_never_answers_blocks_nothing_and_is_told_in_the_end(bus):
    """The library waits two seconds for each of two services."""
    silent = ScreenSaver(bus, answers=False)
    awake = Awake()
    awake.hold()
    assert awake.is_waiting
    eventually(lambda: not awake.is_waiting)
    assert awake.refused == REFUSED
    awake.release()
    silent.close()
