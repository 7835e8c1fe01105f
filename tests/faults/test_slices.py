"""A campaign is gone on with where it stopped, tells each miss as it is seen, and is not ended by one."""

import argparse
import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import psutil
import pytest

from tests.faults import children, tally
from tests.faults.children import Patience
from tests.faults.slices import Work, add_options, run
from tests.faults.tally import Row

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="campaigns run where there is a fork")


class Campaign:
    """Two rows of cases that note which of them were tried; every seventh of the second is a miss."""

    def __init__(self) -> None:
        self.seen: list[tuple[str, int]] = []
        self.stops_at: int | None = None
        self.lacks = ""

    def work(self, name: str, size: int) -> Work:
        def tried(numbers: range) -> Row:
            row = Row(name, left=self.lacks)
            for number in () if self.lacks else numbers:
                if number == self.stops_at:
                    raise KeyboardInterrupt
                self.seen.append((name, number))
                row.add("tried")
                if name == "b" and number % 7 == 6:
                    row.miss("wrong", f"number {number}", b"input %d" % number)
            return row

        return Work(name, tried, lambda: size, 5)

    def run(self, *arguments: str) -> int:
        parser = argparse.ArgumentParser()
        add_options(parser)
        works = [self.work("a", 12), self.work("b", 8), self.work("a, once more", 1)]
        return run(works, parser.parse_args(arguments), "short", ("tried", "wrong"), ("wrong",))


@pytest.fixture
def campaign(monkeypatch):
    monkeypatch.setattr(tally, "_folder", Path("/nowhere"))
    return Campaign()


def figures(printed: str, name: str) -> str:
    """The first figures of a row of the table."""
    lines = [line.removeprefix(name).split() for line in printed.splitlines() if line.startswith(name + "  ")]
    return " ".join(lines[0][:2])


def test_a_run_begun_again_goes_on_behind_the_last_slice_that_was_done(campaign, tmp_path, capsys):
    campaign.stops_at = 7
    with pytest.raises(KeyboardInterrupt):
        campaign.run("--results", str(tmp_path))
    assert campaign.seen == [("a", number) for number in range(7)]
    campaign.seen.clear()
    campaign.stops_at = None
    assert campaign.run("--results", str(tmp_path), "--rows", "a") == 0
    assert campaign.seen == [("a", number) for number in range(5, 12)]
    assert figures(capsys.readouterr().out, "a") == "12 ·"
    campaign.seen.clear()
    assert campaign.run("--results", str(tmp_path)) == 1
    assert campaign.seen == [*(("b", number) for number in range(8)), ("a, once more", 0)]


def test_a_run_that_is_done_tells_its_table_again_and_tries_nothing(campaign, tmp_path, capsys):
    assert [campaign.run("--results", str(tmp_path)) for _time in range(2)] == [1, 1]
    assert len(campaign.seen) == 21
    assert figures(capsys.readouterr().out.rpartition("kind ")[2], "b") == "8 1"


def test_another_seed_is_another_run_and_half_a_line_of_one_that_was_killed_is_none(campaign, tmp_path):
    campaign.run("--results", str(tmp_path), "--rows", "b")
    with (tmp_path / "results.jsonl").open("a") as file:
        file.write('{"kind": "b", "first": 0, "st')
    campaign.run("--results", str(tmp_path), "--rows", "b", "--seed", "2")
    assert len(campaign.seen) == 16
    lines = [json.loads(line) for line in (tmp_path / "results.jsonl").read_text().splitlines()]
    assert [(line["run"], line["first"], line["stop"]) for line in lines] == [
        ("short, seed 1", 0, 5), ("short, seed 1", 5, 8), ("short, seed 2", 0, 5), ("short, seed 2", 5, 8),
    ]  # fmt: skip


def test_what_can_not_be_tried_here_is_no_slice_that_is_done(campaign, tmp_path, capsys):
    campaign.lacks = "only root may"
    assert campaign.run("--results", str(tmp_path), "--rows", "a") == 0
    assert "a: not tried: only root may" in capsys.readouterr().out
    assert campaign.seen == []
    campaign.lacks = ""
    assert campaign.run("--results", str(tmp_path), "--rows", "a") == 0
    assert campaign.seen == [("a", number) for number in range(12)]
    assert "not tried" not in capsys.readouterr().out


def test_what_was_noted_is_never_written_anew(campaign, tmp_path, monkeypatch):
    """A run that is killed as it begins, or runs beside another, loses nothing of what was done."""
    campaign.run("--results", str(tmp_path), "--rows", "a")
    with (tmp_path / "results.jsonl").open("a") as file:
        file.write('{"kind')
    monkeypatch.setattr(Path, "write_text", None)
    campaign.run("--results", str(tmp_path), "--rows", "a")
    assert len(campaign.seen) == 12


def test_a_part_of_a_row_is_tried_alone_and_the_rest_later(campaign, tmp_path):
    part = ("--results", str(tmp_path), "--rows", "a")
    campaign.run(*part, "--from", "3", "--count", "4")
    assert campaign.seen == [("a", number) for number in range(3, 7)]
    campaign.run(*part)
    assert sorted(campaign.seen) == [("a", number) for number in range(12)]


def test_a_name_that_no_row_has_stands_for_all_it_is_a_part_of(campaign, capsys):
    assert campaign.run("--list", "--rows", "once", "b") == 0
    assert capsys.readouterr().out.split("\n") == ["b", "a, once more", ""]
    assert campaign.run("--rows", "nowhere") == 2


def test_a_miss_is_told_as_it_is_seen_with_its_input_in_a_file_and_how_to_try_it_again(
    campaign, tmp_path, capsys
):
    campaign.stops_at = 7  # what comes after the miss ends the campaign
    with pytest.raises(KeyboardInterrupt):
        campaign.run("--results", str(tmp_path), "--rows", "b", "--from", "5")
    told = capsys.readouterr().err
    kept = tmp_path / "misses" / "b.0"
    assert f"MISS b: wrong: number 6\n    kept in {kept}\n" in told
    assert '--short --seed 1 --rows "b" --from 5 --count 3' in told
    assert kept.read_bytes() == b"input 6"


def test_a_verb_that_does_not_end_is_a_miss_and_not_the_end(monkeypatch, tmp_path):
    from tests.faults import verbs_on_full_disk

    sleeps = "import time; time.sleep(1000)"
    monkeypatch.setattr(verbs_on_full_disk, "PROGRAM", [sys.executable, "-c", sleeps])
    monkeypatch.setattr(verbs_on_full_disk, "ASLEEP_S", 0.1)
    row = verbs_on_full_disk.work(tmp_path / "verbs", (1000,)).tried(range(2))
    assert (row.counts["tried"], row.counts["hang"]) == (2, 2)
    assert "does not end" in row.examples[0]


@pytest.fixture
def process():
    """A process that does what it is asked to, and is ended."""
    begun = []

    def begin(program: str) -> psutil.Process:
        begun.append(subprocess.Popen([sys.executable, "-c", f"print(flush=True)\n{program}"], stdout=-1))
        assert begun[-1].stdout.readline()
        return psutil.Process(begun[-1].pid)

    yield begin
    for one in begun:
        one.kill()
        one.communicate()


def test_one_that_sleeps_hangs(process):
    patience = Patience(process("import time; time.sleep(1000)").pid)
    while not patience.is_over():
        pass


def test_one_that_works_too_long_without_a_word_hangs(process, monkeypatch):
    monkeypatch.setattr(children, "MOST_S", 0.2)
    patience = Patience(process("while True: pass").pid)
    while not patience.is_over():
        pass


def test_one_that_the_machine_keeps_waiting_does_not_hang(process):
    waits = process("while True: pass")
    patience = Patience(waits.pid)
    waits.send_signal(signal.SIGSTOP)
    while waits.status() != psutil.STATUS_STOPPED:
        pass
    patience.heard()
    assert [patience.is_over() for _time in range(20)] == [False] * 20
