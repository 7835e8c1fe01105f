"""The shortest form of the fault campaign: each kind of fault a few times, with nothing lost."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

CAMPAIGN = Path(__file__).with_name("campaign.py")


@pytest.mark.skipif(not hasattr(os, "fork"), reason="what is struck is forked")
@pytest.mark.parametrize(
    "kind", ["kill", "cut short", "vanished", "power loss", "two copies", "clock", "flipped byte"]
)
def test_a_few_faults_lose_nothing_acknowledged_and_are_met_with_words(kind: str) -> None:
    """A process of its own: what is forked should hold no more than the program does."""
    done = subprocess.run(
        [sys.executable, CAMPAIGN, "--shortest", "--only", kind], capture_output=True, text=True, timeout=1800
    )
    assert done.returncode == 0, done.stdout + done.stderr[-2000:]
    assert " 0 tried" not in done.stdout.rpartition("seed")[2], done.stdout
