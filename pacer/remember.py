"""Remembers what was worked out: a function's last results by identity, a value's own parts for good."""

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Any, Concatenate, ParamSpec, TypeVar

if TYPE_CHECKING:
    from functools import cached_property

    kept_property = cached_property
else:

    class kept_property:  # noqa: N801 - used as functools' is
        """``functools.cached_property`` without its lock, for values made many times a second."""

        def __init__(self, work_out: Callable[[Any], Any]) -> None:
            self._work_out = work_out
            self.__doc__ = work_out.__doc__

        def __set_name__(self, _owner: type, name: str) -> None:
            self._name = name

        def __get__(self, made: Any, _owner: type | None = None) -> Any:
            if made is None:
                return self
            found = made.__dict__[self._name] = self._work_out(made)
            return found


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
