"""Typed outlines are read in time that grows with their length and no faster, whatever is typed."""

import time

import pytest

from pacer.plan.typed.read_typed import read_typed


@pytest.mark.parametrize(
    "piece",
    ["a", " ", "1", "1 ", "(", ")", "-", "3-", "\t", "|", "|1", "9:00 ", '"', "[", "½", "1:00-", "min ",
     "x 3 ", "pages 3 and ", "\n ", "3\n", "- a\n", "9:00 a\n", "a\tb\n", "\u00a0", "١", "🧊", ". ",
     "[review]", "half a ", "1 1/2 ", "(1) ", '" 3 '],
)  # fmt: skip
def test_a_long_text_takes_time_in_proportion_to_its_length(piece: str) -> None:
    """Eight times the text takes far less than the 64 times that a quadratic reading would."""

    def seconds(length: int) -> float:
        text = (piece * length)[:length]
        begun = time.thread_time()
        read_typed(text)
        return time.thread_time() - begun

    seconds(2_500)
    short = min(seconds(2_500) for _ in range(3))
    long = min(seconds(20_000) for _ in range(3))
    assert long < max(24 * short, 0.05), (short, long)
