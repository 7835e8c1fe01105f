"""Two pretended screens for every window test, a guard against what a test leaves behind, and the windows."""

import gc
import importlib
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

SCREENS = Path(__file__).with_name("screens.json")


def _platform() -> str:
    """The offscreen platform with the two screens; Qt splits it at colons, so a drive letter must go."""
    path = Path(os.path.relpath(SCREENS)) if SCREENS.drive else SCREENS
    return os.environ.get("PACER_TEST_PLATFORM") or f"offscreen:configfile={path.as_posix()}"


# Set at import: it must stand before any fixture makes an application.
os.environ["QT_QPA_PLATFORM"] = _platform()

_missing = ""
try:
    importlib.import_module("PySide6.QtGui")
except ImportError as error:
    if os.environ.get("PACER_REQUIRE_QT") == "1":
        raise
    _missing = f"PySide6 cannot be imported, so no window is tested: {error}"


class _NoQt(pytest.Module):
    """A test module that is skipped before it is imported."""

    def collect(self) -> list[pytest.Item]:
        """Skip with the reason."""
        pytest.skip(_missing, allow_module_level=True)


def pytest_pycollect_makemodule(module_path: Path, parent: pytest.Collector) -> pytest.Module | None:
    """Stand in for each module here when Qt is missing; else let pytest make it."""
    here = module_path.is_relative_to(Path(__file__).parent)
    return _NoQt.from_parent(parent, path=module_path) if _missing and here else None


@pytest.fixture(autouse=True)
def _nothing_left_over(qapp, monkeypatch) -> Iterator[None]:
    """After each test no timer or animation that it started runs, and no window that it made is left."""
    from PySide6.QtCore import QAbstractAnimation, QTimer
    from PySide6.QtWidgets import QApplication
    from shiboken6 import isValid

    started: list[object] = []

    def noting(kind: type) -> Callable[..., None]:
        original = kind.start

        def start(self, *arguments: object) -> None:
            started.append(self)
            original(self, *arguments)

        return start

    for kind in (QTimer, QAbstractAnimation):
        monkeypatch.setattr(kind, "start", noting(kind))
    before = set(QApplication.topLevelWidgets())
    yield
    alive = [thing for thing in started if isValid(thing)]
    timers = [thing for thing in alive if isinstance(thing, QTimer) and thing.isActive()]
    still = QAbstractAnimation.State.Stopped
    moving = [thing for thing in alive if isinstance(thing, QAbstractAnimation) and thing.state() != still]
    left = [widget for widget in QApplication.topLevelWidgets() if widget not in before]
    assert (timers, moving, left) == ([], [], [])


@pytest.fixture
def numbers_asked(monkeypatch) -> list[object]:
    """Answers which screen the class sees: not the private window's. Counts how often that was asked."""
    from pacer.qt.screens.number_cards import NumberCards

    asked: list[object] = []

    def answer(_window: object, screens: list, private: object) -> object:
        asked.append(private)
        return next(screen for screen in screens if screen != private)

    monkeypatch.setattr(NumberCards, "ask", staticmethod(answer))
    return asked


@pytest.fixture
def real_numbers() -> None:
    """Leaves that question to the test."""


@pytest.fixture(autouse=True)
def _numbers_are_answered(request) -> None:
    if "real_numbers" not in request.fixturenames:
        request.getfixturevalue("numbers_asked")


@pytest.fixture
def real_care() -> None:
    """Lets a lesson look after the laptop it runs on; without this, tests leave it alone."""


@pytest.fixture(autouse=True)
def _laptop_is_left_alone(request, monkeypatch) -> None:
    if "real_care" not in request.fixturenames:
        from pacer.qt.lesson.services import LessonServices

        monkeypatch.setattr(LessonServices, "_begin_care", lambda _self: None)


@pytest.fixture
def real_first_start() -> None:
    """Lets the program ask how to begin in an empty folder; without this, tests begin on Today."""


@pytest.fixture(autouse=True)
def _first_choice_is_made(request, monkeypatch) -> None:
    if "real_first_start" not in request.fixturenames:
        monkeypatch.setattr("pacer.qt.app.is_first_start", lambda *_of: False)


@pytest.fixture(autouse=True)
def no_sound_server(monkeypatch):
    """No test but those of sound speaks to this machine's sound server; the outputs that stand in for it."""
    from tests.qt.earpiece.fake_outputs import FakeOutputs

    FakeOutputs.made.clear()
    monkeypatch.setattr("pacer.qt.earpiece.player.open_outputs", FakeOutputs)
    return FakeOutputs.made


@pytest.fixture(autouse=True)
def _presses_come_with_pauses(monkeypatch) -> None:
    """Tests press without the pauses of a hand; the guard against flashing has tests of its own."""
    monkeypatch.setattr("pacer.qt.wall.fades.CALM_MS", 0)


@pytest.fixture(scope="session")
def dressed(qapp):
    """The application in the program's own type, colours and sheet."""
    from pacer.qt.kit.style import STYLE, dress

    qapp.setStyle(STYLE)
    dress(qapp)
    return qapp


@pytest.fixture
def new_stage(dressed) -> Iterator[Callable[..., object]]:
    """Puts an outline on the stage: the windows of a lesson, ready to be entered."""
    from tests.qt.window_factories import Stage

    made: list[Stage] = []

    def build(outline, **options: object) -> Stage:
        made.append(Stage(outline, **options))
        return made[-1]

    yield build
    for stage in made:
        stage.shut()


@pytest.fixture
def stage(new_stage, invented):
    """The invented plan, started at 9:00."""
    return new_stage(invented).start()


@pytest.fixture
def room_clock(monkeypatch):
    """The program's clock, moved by hand; it begins at 9:00 on the classroom's clock."""
    from pacer.qt import app
    from pacer.run.clock import ManualClock
    from tests.qt.window_factories import room_time_ms

    clock = ManualClock(room_time_ms("9:00"))

    monkeypatch.setattr(app, "SystemClock", lambda: clock)
    return clock


@pytest.fixture
def new_program(dressed, room_clock, tmp_path) -> Iterator[Callable[..., object]]:
    """Starts the program in a data folder, the same one unless told; ends it when the test is over."""
    from tests.qt.window_factories import Running

    made: list[Running] = []

    def begin(data: Path | None = None) -> Running:
        made.append(Running(data or tmp_path / "data", room_clock))
        return made[-1].show()

    yield begin
    while made:
        made.pop(0).shut()
    # What is left of its windows goes now. Later the collector may run while Qt asks Python for a method of
    # the next test's windows, and has been seen there to take an object apart that Qt had deleted.
    gc.collect()
    gc.freeze()


@pytest.fixture
def running(new_program):
    """The program, in an empty data folder."""
    return new_program()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The pretended screens have no order of windows and no menus with keys, and say so each time."""
    cannot = r"This plugin does not support (raise\(\)|propagateSizeHints\(\)|grabbing the keyboard)"
    for item in items:
        if item.path.is_relative_to(Path(__file__).parent) and not _missing:
            item.add_marker(pytest.mark.qt_log_ignore(cannot))
