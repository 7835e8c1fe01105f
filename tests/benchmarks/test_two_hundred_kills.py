"""Two hundred kills (signal 9) at random moments of scripted lessons: nothing acknowledged is lost."""

import os
import sys
import time
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "log"))

from tests.log.killed_lessons import kill_lessons


@pytest.mark.skipif(not hasattr(os, "fork"), reason="the lessons to kill are forked")
def test_two_hundred_kills_lose_no_acknowledged_event_and_every_lesson_goes_on(tmp_path: Path) -> None:
    begin = time.perf_counter()
    tally = kill_lessons(tmp_path / "data", kills=200, seed=9)
    print(f"{tally} in {time.perf_counter() - begin:.1f} s")
    assert tally.kills == 200
    assert tally.acknowledged > 1000
    assert tally.resumed > 150
