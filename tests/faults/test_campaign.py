"""The shortest form of the fault campaign: each kind of fault a few times, with nothing lost."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

CAMPAIGN = Path(__file__).with_name("campaign.py")


def mounted(place: Path) -> list[str]:
    """The file systems that lie in a place now."""
    lines = Path("/proc/self/mounts").read_text().splitlines()
    return [where for line in lines if (where := line.split()[1]).startswith(f"{place}/")]


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/mounts").exists(), reason="what is mounted is not known here")
def test_who_ends_a_campaign_leaves_no_small_file_system_behind(tmp_path) -> None:
    """It ends with the slice under way, and says so by its exit code."""
    words = [sys.executable, CAMPAIGN, "--long", "--rows", "full disk"]
    with subprocess.Popen(
        words, env={**os.environ, "TMPDIR": str(tmp_path)}, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    ) as campaign:
        while not (made := mounted(tmp_path)) and campaign.poll() is None:
            time.sleep(0.01)
        campaign.terminate()
        campaign.communicate()
    if not made:
        pytest.skip("only root may mount a small file system")
    assert mounted(tmp_path) == []
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
