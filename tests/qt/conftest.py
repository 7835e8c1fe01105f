"""Two pretended screens for every window test, and a plain reason where there is no Qt to test with."""

import importlib
import os
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
