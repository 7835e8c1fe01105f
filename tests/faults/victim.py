"""What a fault strikes: its parts, and what it raises where something acknowledged is gone."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import count
from pathlib import Path

from tests.faults.children import Tell


class LostError(AssertionError):
    """Something acknowledged is not there."""


class RefusedError(AssertionError):
    """What is there can't be opened."""


@dataclass(frozen=True)
class Victim:
    """``prepare`` a folder, ``live`` in it for so many rounds, ``check`` what is left.

    What ``is_once`` is over when it is done: each try has a folder of its own, and is struck from the start.
    It is struck within ``longest_s`` of being ready, or of its first word that something is done.
    """

    name: str
    prepare: Callable[[Path], None]
    live: Callable[[Path, int, Tell, Iterable[int]], None]
    check: Callable[[Path, list[str]], None]
    is_once: bool = False
    longest_s: float = 0.05


def forever() -> Iterable[int]:
    """Rounds without an end."""
    return count()


def nothing(folder: Path) -> None:
    """An empty folder."""
    folder.mkdir(parents=True, exist_ok=True)
