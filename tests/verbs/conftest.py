"""The verbs that paint start a small Qt application of their own; the windows' tests may come after them."""

import os
import sys

import pytest


@pytest.fixture(scope="session", autouse=True)
def _one_application(request: pytest.FixtureRequest) -> None:
    """Where Qt can be loaded, the one application of this process is the kind that windows need as well."""
    if "pytestqt.plugin" in sys.modules:
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
        request.getfixturevalue("qapp")
