"""Fixtures for tests on two real X11 monitors; they run programs as child processes on them."""

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack
from pathlib import Path

import pytest

from tests.real_screens.child_process import Child
from tests.real_screens.monitors import TwoMonitors
from tests.real_screens.x_server import install_hint, missing_packages

REQUIRE = "PACER_REQUIRE_REAL_SCREENS"
RunChild = Callable[..., Child]


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


def _show_and_close(child: Child) -> None:
    try:
        print(child.report())
    finally:
        child.close()
