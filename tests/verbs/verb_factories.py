"""What tests of the verbs share: an outline, and a painter that only remembers."""

from importlib.util import find_spec

import pytest

from pacer.paths import template_folder

OUTLINE = template_folder() / "number-line-75.toml"
needs_qt = pytest.mark.skipif(find_spec("PySide6") is None, reason="PySide6 is not installed")


class Saved:
    """Takes the place of the painter and keeps what it was to paint; ``fails`` is what it fails with."""

    def __init__(self, fails: str = "") -> None:
        self.calls: list[tuple[object, ...]] = []
        self.fails = fails

    def __call__(self, *what: object) -> None:
        if self.fails:
            raise OSError(self.fails)
        self.calls.append(what)
