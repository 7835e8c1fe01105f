"""Remembers a function's last results by the identity of a frozen value: cheaper than hashing it."""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, TypeVar

Frozen = TypeVar("Frozen")
Rest = ParamSpec("Rest")
Result = TypeVar("Result")
KEPT = 4


def identity_cache(
    function: Callable[Concatenate[Frozen, Rest], Result],
) -> Callable[Concatenate[Frozen, Rest], Result]:
    """Wrap a pure function whose first argument is frozen; the same object asked again costs nothing.

    Between two presses the state of a lesson is one object, asked about many times a second.
    """
    kept: list[tuple[Frozen, tuple[object, ...], Result]] = []

    @wraps(function)
    def remembered(first: Frozen, /, *rest: Rest.args, **options: Rest.kwargs) -> Result:
        for known, arguments, result in kept:
            if known is first and arguments == rest and not options:
                return result
        result = function(first, *rest, **options)
        if not options:
            kept.insert(0, (first, rest, result))
            del kept[KEPT:]
        return result

    return remembered
