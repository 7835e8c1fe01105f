"""The shortest form of the campaign of damaged files, and what it stands on: its watch and its minimiser."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

CAMPAIGN = Path(__file__).with_name("campaign.py")
pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="cases run in forked processes")


def _campaign(*arguments: str) -> subprocess.CompletedProcess[str]:
    """A process of its own: pytest's memory would count as the readers'."""
    return subprocess.run(
        [sys.executable, CAMPAIGN, *arguments], capture_output=True, text=True, timeout=1800
    )


@pytest.mark.slow
def test_some_damaged_files_of_every_kind_are_read_or_refused_in_plain_sentences() -> None:
    done = _campaign("--tries", "120", "--without-processes")
    assert done.returncode == 0, done.stdout + done.stderr[-2000:]


def test_each_verb_is_tried_that_reads_anything(tmp_path) -> None:
    from pacer.verbs.arguments import build_parser
    from tests.inputs.verbs import Trials

    trials = Trials(1, tmp_path / "trials")
    tried = set()
    for number in range(130):
        shutil.rmtree(trials.folder, ignore_errors=True)
        trials.folder.mkdir()
        tried.add(trials.arguments(number)[0])
    (verbs,) = [action.choices for action in build_parser()._actions if action.dest == "verb"]
    assert tried == set(verbs) - {"schema"}


WATCH = """
import sys, time
from tests.inputs.minimise import minimised
from tests.inputs.watched import checks, next_step, watched

def burn(seconds):
    end = time.process_time() + seconds
    while time.process_time() < end: pass

def work(number):
    if number == 1:
        while True: pass
    if number == 2:
        raise KeyError("odd")
    if number == 3:
        bytearray(400 << 20)
    if number == 4:
        bytearray(2 << 30)
    if number == 5:
        checks()
        burn(1.3)
    if number == 6:
        burn(0.7)
        next_step()
        burn(0.7)
    if number == 7:
        next_step()
        burn(1.3)
    return "read"

print([(at, outcome.what) for at, outcome in watched(work, range(8))])
print(minimised(b"abc{def}ghi" * 50, lambda data: data.count(b"{") >= 2))
"""


@pytest.mark.slow
def test_the_watch_tells_hangs_exceptions_and_greed_and_goes_on_with_the_next_case() -> None:
    done = subprocess.run([sys.executable, "-c", WATCH], capture_output=True, text=True, timeout=600)
    wanted = ["read", "hang", "traceback", "memory", "memory", "read", "read", "hang"]
    assert done.stdout.splitlines() == [str(list(enumerate(wanted))), "b'{{'"], done.stderr
