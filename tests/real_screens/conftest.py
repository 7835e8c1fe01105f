"""Fixtures for tests on two real X11 monitors; they run programs as child processes on them.

Without an option the short form runs. ``--long`` adds what is marked as long: repeats and variations.
``--table`` photographs the projector all through and ends with a table of what was seen: see `long_form`.
"""

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.real_screens.child_process import Child
from tests.real_screens.monitors import TwoMonitors
from tests.real_screens.x_server import install_hint, missing_packages

if TYPE_CHECKING:
    from tests.real_screens.pacer_on_screens import PacerOnScreens
    from tests.real_screens.table import Table

REQUIRE = "PACER_REQUIRE_REAL_SCREENS"
RunChild = Callable[..., Child]
TABLE: "pytest.StashKey[Table]" = pytest.StashKey()


def pytest_addoption(parser: pytest.Parser) -> None:
    """The options of the long form."""
    group = parser.getgroup("two real monitors")
    group.addoption("--long", action="store_true", help="also what is marked as long")
    group.addoption("--table", action="store_true", help="photograph all through; end with a table")
    group.addoption("--times", type=int, default=1, help="run each scenario so many times")


def pytest_configure(config: pytest.Config) -> None:
    """Markers of this folder, and the table where one is asked for."""
    config.addinivalue_line("markers", "long: a repeat or a variation, not in the short form")
    config.addinivalue_line("markers", "scenario(name): a row of the long form's table")
    if config.getoption("--table"):
        from tests.real_screens.table import Table

        config.stash[TABLE] = Table()


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Each scenario so many times."""
    times = metafunc.config.getoption("--times")
    if times > 1 and metafunc.definition.get_closest_marker("scenario"):
        metafunc.fixturenames.append("_time")
        metafunc.parametrize("_time", range(times), ids=lambda time: f"time{time}")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what is long, unless it is asked for or named; a table has rows for scenarios only."""
    chosen = items
    if config.getoption("--table"):
        chosen = [item for item in chosen if item.get_closest_marker("scenario")]
    if not config.getoption("--long") and not any("::" in argument for argument in config.args):
        chosen = [item for item in chosen if not item.get_closest_marker("long")]
    config.hook.pytest_deselected(items=[item for item in items if item not in chosen])
    items[:] = chosen


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Iterator[None]:
    """Tell the table how a test went."""
    report = yield
    if TABLE in item.config.stash and (report.failed or report.when == "call"):
        item.config.stash[TABLE].went(item, passed=report.passed)
    return report


@pytest.hookimpl(tryfirst=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    """A private photograph, a word that was read, or a lesson that is not intact fails the run."""
    table = session.config.stash.get(TABLE, None)
    if table is not None and not table.is_good():
        session.exitstatus = session.exitstatus or pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """Print the table."""
    if TABLE in config.stash:
        terminalreporter.section("what the class saw")
        terminalreporter.write_line(config.stash[TABLE].text())


@pytest.fixture(scope="session")
def two_monitors() -> Iterator[TwoMonitors]:
    """The laptop DUMMY0 and the projector DUMMY1, started once; skipped (in CI failed) without tools."""
    missing = missing_packages()
    if missing:
        reason = f"two real monitors cannot be had here; {install_hint(missing)}"
        if os.environ.get(REQUIRE) == "1":
            pytest.fail(f"{reason} ({REQUIRE}=1 forbids to skip)", pytrace=False)
        pytest.skip(reason)
    with TwoMonitors() as monitors:
        yield monitors


@pytest.fixture(autouse=True)
def _side_by_side(request: pytest.FixtureRequest) -> None:
    """Every test that uses the monitors finds them side by side in their first modes."""
    if "two_monitors" in request.fixturenames:
        request.getfixturevalue("two_monitors").reset()


@pytest.fixture(autouse=True)
def _witness(request: pytest.FixtureRequest, _side_by_side: None) -> Iterator[None]:
    """For the table a witness photographs the projector all through a scenario, and the records are read."""
    table, row = request.config.stash.get(TABLE, None), request.node.get_closest_marker("scenario")
    if table is None or row is None or "two_monitors" not in request.fixturenames:
        yield
        return
    from tests.real_screens.witness import Witness

    monitors = request.getfixturevalue("two_monitors")
    witness = Witness(monitors, table.new_folder())
    witness.start()
    try:
        yield
    finally:
        table.add(request.node, witness.stop(), request.node.funcargs.get("pacer"))


@pytest.fixture
def run_child(two_monitors: TwoMonitors) -> Iterator[RunChild]:
    """A function that starts a program on the monitors: run_child(argv, env=..., cwd=...) -> Child.

    `env` adds to the environment. Whatever still runs after the test is killed, and its output is
    printed, so that pytest shows it when the test has failed.
    """
    # An exit stack, so that a child that cannot be closed does not keep the others from it.
    closing = ExitStack()

    def start(
        argv: Sequence[str | Path], env: Mapping[str, str] | None = None, cwd: Path | None = None
    ) -> Child:
        child = Child(argv, two_monitors.env() | dict(env or {}), cwd)
        closing.callback(_show_and_close, child)
        return child

    with closing:
        yield start


@pytest.fixture
def pacer(two_monitors: TwoMonitors, run_child: RunChild, tmp_path: Path) -> "PacerOnScreens":
    """The program, not yet started, with one invented lesson."""
    if os.environ.get("PACER_REQUIRE_QT") != "1":
        pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)
    from tests.real_screens.pacer_on_screens import PacerOnScreens

    return PacerOnScreens(two_monitors, run_child, tmp_path)


def _show_and_close(child: Child) -> None:
    try:
        print(child.report())
    finally:
        child.close()
