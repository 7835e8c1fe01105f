"""Makes a failing input small: takes out ever smaller pieces while it still fails (Zeller's ddmin)."""

import time
from collections.abc import Callable

MOST_S = 30.0


def minimised(data: bytes, fails: Callable[[bytes], bool], most_s: float = MOST_S) -> bytes:
    """The smallest input found that still fails, when no single byte can be left out or time is up."""
    until = time.monotonic() + most_s
    parts = 2
    while len(data) >= 2 and time.monotonic() < until:
        size = max(1, len(data) // parts)
        shorter = None
        for at in range(0, len(data), size):
            if time.monotonic() > until:
                return data
            tried = data[:at] + data[at + size :]
            if fails(tried):
                shorter = tried
                break
        if shorter is not None:
            data, parts = shorter, max(2, parts - 1)
        elif size == 1:
            return data
        else:
            parts = min(len(data), parts * 2)
    return data


def shown(data: bytes, most: int = 240) -> str:
    """As a Python literal; of a long one its run-length, or its beginning and end."""
    if len(data) <= most:
        return repr(data)
    return f"{data[: most // 2]!r} … {data[-most // 4 :]!r} ({len(data)} bytes)"
