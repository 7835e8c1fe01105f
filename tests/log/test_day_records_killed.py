"""A program killed in the middle of a lesson loses nothing that it said was written."""

import os
from pathlib import Path

import pytest

from tests.log.killed_lessons import kill_lessons


@pytest.mark.skipif(not hasattr(os, "fork"), reason="the lessons to kill are forked")
def test_twenty_kills_lose_no_acknowledged_event_and_every_lesson_goes_on(tmp_path: Path) -> None:
    tally = kill_lessons(tmp_path / "data", kills=20, seed=5)
    assert tally.kills == 20
    assert tally.acknowledged > 20
    assert tally.resumed > 10
