"""What tests of the verbs share: an outline, and a painter that only remembers."""

from importlib.util import find_spec

import pytest

from pacer.paths import template_folder

OUTLINE = template_folder() / "number-line-75.toml"
PAINTED = b"painted"
needs_qt = pytest.mark.skipif(find_spec("PySide6") is None, reason="PySide6 is not installed")


class Saved:
    """Takes the place of the painter and keeps what it was to paint; the picture is ``PAINTED``."""

    def __init__(self) -> None:
        self.calls: list[tuple[object, ...]] = []

    def __call__(self, *what: object) -> bytes:
        self.calls.append(what)
        return PAINTED
