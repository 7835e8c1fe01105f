"""Keeps keys that a newer Pacer wrote, to the digit: Python does not keep every number of a file."""

import json
import re
from typing import Any, TypeVar

from pydantic import BaseModel

_MARK = "\ue000number\ue000"  # signs of no text: a number stands in such a string until it is written
_NUMBER = r"-?(?:NaN|Infinity|(?:0|[1-9][0-9]*+)(?:\.[0-9]++)?(?:[eE][-+]?[0-9]++)?)"
_MARKED = re.compile(f'"{_MARK}({_NUMBER})"'.encode())
_Model = TypeVar("_Model", bound=BaseModel)


def with_unknown(model: _Model, text: str) -> _Model:
    """A model that was read from a JSON text, its unknown keys as they stand there. Never raises."""
    if not model.model_extra:
        return model
    try:
        table = json.loads(text, parse_float=_float, parse_constant=_constant)
    except (ValueError, RecursionError):
        return model
    return model.model_copy(update={key: table[key] for key in model.model_extra if key in table})


def json_bytes(model: BaseModel, indent: int) -> bytes:
    """A model as JSON with a line end, kept numbers as they stood. Raises ValueError for half a character."""
    return _MARKED.sub(rb"\1", model.model_dump_json(indent=indent).encode()) + b"\n"


def _float(text: str) -> Any:
    return number if repr(number := float(text)) == text else _MARK + text


def _constant(text: str) -> str:
    return _MARK + text
