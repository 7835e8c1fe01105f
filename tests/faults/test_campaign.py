"""The shortest form of the fault campaign: each kind of fault a few times, with nothing lost."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

CAMPAIGN = Path(__file__).with_name("campaign.py")


def mounted() -> set[str]:
    """Where the campaign has small file systems now."""
    lines = Path("/proc/self/mounts").read_text().splitlines()
    return {line.split()[1] for line in lines if "pacer-faults-" in line}


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/mounts").exists(), reason="what is mounted is not known here")
def test_who_ends_a_campaign_leaves_no_small_file_system_behind() -> None:
    before = mounted()
    words = [sys.executable, CAMPAIGN, "--long", "--rows", "full disk: lesson"]
    with subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) as campaign:
        while not mounted() - before and campaign.poll() is None:
            time.sleep(0.01)
        own = mounted() - before
        campaign.terminate()
        campaign.communicate()
    if not own:
        pytest.skip("only root may mount a small file system")
    assert not mounted() & own
    assert campaign.returncode == 128 + signal.SIGTERM


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
