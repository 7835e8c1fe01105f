"""What a campaign asks of a reader: something read, or a refusal in a plain sentence; and the same again."""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from pacer.plan.problems import Problem
from tests.inputs.watched import NotPlainError, RoundTripError

NAME = "named-in-tests"
_JARGON = re.compile(
    r"Traceback|\w+(Error|Exception|Warning)\b|<class|<\w+ object|NoneType|object has no|pydantic|\bNone\b"
)
_LONGEST = 700  # an attached or opened file's path is told, too


@dataclass(frozen=True)
class Reader:
    """One way into the program. ``read`` returns "read" or "refused", or raises what it must not.

    ``share`` is how often it is drawn, ``tokens`` what changes put into its files.
    """

    name: str
    seeds: Callable[[], Sequence[bytes]]
    read: Callable[[bytes], str]
    tokens: tuple[bytes, ...] = ()
    share: int = 4


def must_be_plain(sentence: object) -> None:
    """Raises NotPlainError unless it is a sentence for a teacher: seen whole, and without jargon."""
    if not isinstance(sentence, str) or not sentence.strip():
        raise NotPlainError(f"no words: {sentence!a}")
    hidden = [char for char in sentence if not char.isprintable() and char != "\n"]
    if hidden:
        raise NotPlainError(f"holds {hidden[0]!a}: {sentence[:120]!a}")
    if match := _JARGON.search(sentence):
        raise NotPlainError(f"says {match[0]}: {sentence[:200]!a}")
    if len(sentence) > _LONGEST:
        raise NotPlainError(f"{len(sentence)} signs long: {sentence[:120]!a}")


def refused(problems: Iterable[Problem], data: bytes) -> str:
    """Problems with a file: each in plain words, and on a line that there is."""
    lines = max(1, data.decode("utf-8", "replace").replace("\r\n", "\n").replace("\r", "\n").count("\n") + 1)
    listed = list(problems)
    if not listed:
        raise NotPlainError("refused without a word")
    for problem in listed:
        must_be_plain(problem.what)
        if problem.fix:
            must_be_plain(problem.fix)
        if problem.line is not None and not 1 <= problem.line <= lines:
            raise NotPlainError(f"line {problem.line} of {lines}: {problem.what}")
    return "refused"


def must_equal(first: object, again: object, what: str) -> None:
    """Raises RoundTripError where two readings differ."""
    if first != again:
        raise RoundTripError(f"{what}: {first!a} is now {again!a}"[:400])
