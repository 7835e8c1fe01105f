"""The shortest form of the fault campaign: each kind of fault a few times, with nothing lost."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

CAMPAIGN = Path(__file__).with_name("campaign.py")


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="what is struck is forked")
def test_a_few_faults_lose_nothing_acknowledged_and_are_met_with_words() -> None:
    """A process of its own: what is forked should hold no more than the program does."""
    kinds = ["kill", "cut short", "vanished", "power loss", "two copies", "clock", "flipped byte"]
    done = subprocess.run(
        [sys.executable, CAMPAIGN, "--shortest", "--rows", *kinds],
        capture_output=True,
        text=True,
        timeout=1800,
    )
    assert done.returncode == 0, done.stdout + done.stderr[-2000:]
    assert all(f"\n{kind}" in f"\n{done.stderr}" for kind in kinds), done.stderr
    assert ": 0 tried" not in done.stderr, done.stderr
