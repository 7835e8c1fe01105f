"""Counts the work of a call, so that a test can say how it grows without holding a time."""

import sys
from collections.abc import Callable
from types import FrameType
from typing import Any


class TooMuchWorkError(AssertionError):
    """A call ran more lines than a test allows; it was stopped there."""


def lines_run(call: Callable[[], object], most: int) -> int:
    """How many lines of Python a call runs; stopped past ``most``, so that no hang is waited for."""
    count = 0

    def trace(_frame: FrameType, event: str, _value: Any) -> Any:
        nonlocal count
        count += event == "line"
        if count > most:
            raise TooMuchWorkError(f"more than {most} lines of Python")
        return trace

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        call()
    finally:
        sys.settrace(before)
    return count
