"""Kills (signal 9) at chance moments of all that writes: what was acknowledged is there, and opens."""

import random
import shutil
import time
from pathlib import Path

from tests.faults.children import Child, Told
from tests.faults.slices import Work
from tests.faults.tally import Row
from tests.faults.victim import LostError, RefusedError, Victim, forever
from tests.inputs.reader import must_be_plain
from tests.inputs.watched import NotPlainError

EARLY_SHARE = 0.25  # some die while they open; most when they have something to lose, on any machine
LIVES = 25  # so many deaths in one folder: leftovers of one must not disturb the next


def work(victim: Victim, folder: Path, seed: int, kills: int) -> Work:
    """Kill that many, each going on where the last was killed, with a check after every one."""
    name = f"kill -9: {victim.name}"

    def tried(numbers: range) -> Row:
        row, acks = Row(name), []
        for number in numbers:
            if victim.is_once or number == numbers.start:
                shutil.rmtree(folder, ignore_errors=True)
                victim.prepare(folder)
                acks = []
            chance = random.Random(f"{seed}/{victim.name}/{number}")
            told = _one_life(victim, folder, seed * 10_000 + number, chance)
            acks += told.of("ack")
            lost = row.counts["lost"]
            judge(row, victim, folder, told, acks, f"kill {number}")
            if row.counts["lost"] > lost:
                acks = []
        return row

    return Work(name, tried, kills, LIVES)


def _one_life(victim: Victim, folder: Path, seed: int, chance: random.Random) -> Told:
    child = Child(lambda tell: victim.live(folder, seed, tell, forever()))
    is_early, is_killed = chance.random() < EARLY_SHARE or victim.is_once, False

    def at(word: str, _rest: str) -> None:
        nonlocal is_killed
        if not is_killed and (is_early or word == "ack"):
            is_killed = True
            time.sleep(chance.uniform(0, victim.longest_s))
            child.kill()

    return child.hear(at)


def judge(row: Row, victim: Victim, folder: Path, told: Told, acks: list[str], what: str) -> None:
    """Take one try into the table: how it ended, and what is left."""
    row.add("tried")
    row.add("acknowledged", len(told.of("ack")))
    if told.failed:
        row.miss("traceback", f"{what}: {told.failed}")
    for words in told.of("told"):
        try:
            must_be_plain(words)
        except NotPlainError as error:
            row.miss("not plain", f"{what}: {error}")
    if told.is_hung:
        row.miss("hang", f"{what}: {told.lines[-1:]}")
    began = time.monotonic()
    try:
        victim.check(folder, acks)
    except LostError as error:
        row.miss("lost", f"{what}: {error}")
    except RefusedError as error:
        row.miss("refused to open", f"{what}: {error}")
    except Exception as error:
        row.miss("traceback", f"{what}, afterwards: {type(error).__name__} {str(error)[:200]!a}")
    row.cost(time.monotonic() - began, told.mib)
