"""A fixed piece of work, measured in the same run as a figure: a slower machine is slower in both.

What runs in this process is measured in processor time, of which others that are busy take none.
"""

from collections.abc import Callable
from time import thread_time

ORDINARY_S = 0.008  # what the piece of work takes on an ordinary laptop with nothing else to do: measured


def piece_of_work() -> int:
    """Numbers, texts and sorting, as in any program."""
    words = [f"{number * 7919 % 10007:05}" for number in range(20_000)]
    return sum(int(word) for word in sorted(words))


def seconds(call: Callable[[], object]) -> float:
    begun = thread_time()
    call()
    return thread_time() - begun


def pieces(call: Callable[[], object], takes: int = 3) -> float:
    """How many pieces of work a call takes: the best of several takes of each, turn and turn about."""
    best_call = best_piece = float("inf")
    for _take in range(takes):
        best_piece = min(best_piece, *(seconds(piece_of_work) for _time in range(3)))
        best_call = min(best_call, seconds(call))
    return best_call / best_piece


def slower(takes: int = 5) -> float:
    """How many times slower than an ordinary laptop this machine is now; never less than 1."""
    return max(1.0, min(seconds(piece_of_work) for _take in range(takes)) / ORDINARY_S)
