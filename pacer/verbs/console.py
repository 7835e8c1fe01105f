"""The one door to the terminal: what every verb says, so that no text of others can steer who reads it."""

import argparse
import errno
import json
import os
import re
import sys
from contextlib import suppress
from pathlib import Path
from typing import Any

from pacer.text import N_, _, counted

# What moves the cursor, ends a line, turns the direction of what follows, or can't be written out at all.
_STEERING = re.compile(
    "[\x00-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u206f\ufff9-\ufffb"
    "\ud800-\udfff\U000e0000-\U000e007f]"
)
_NAMED = {"\n": "\\n", "\r": "\\r", "\t": "\\t"}


def shown(text: object) -> str:
    """A text as a line of the terminal: signs that would steer it are written out, ``\\x1b`` for instance."""
    return _STEERING.sub(lambda match: _written_out(match[0]), str(text))


def _written_out(char: str) -> str:
    code = ord(char)
    return _NAMED.get(char) or (f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}")


def say(*lines: object) -> None:
    """Print lines on standard output; a line end inside one is written out."""
    for line in lines:
        print(shown(line))


def complain(*lines: object) -> None:
    """Print lines on standard error; where that can't be written nobody can be told, and a verb goes on."""
    if sys.stderr is None:
        return
    with suppress(OSError):
        for line in lines:
            print(shown(line), file=sys.stderr)


def say_json(value: Any) -> None:
    """Print a value as JSON on one line; what would steer a terminal is escaped and reads back the same."""
    encoding = (getattr(sys.stdout, "encoding", None) or "utf-8").lower().replace("_", "-")
    text = json.dumps(value, ensure_ascii=not encoding.startswith("utf-8"))
    print(_STEERING.sub(lambda match: json.dumps(match[0])[1:-1], text))


def refuse(reason: object, code: int = 1) -> int:
    """Say on standard error why a verb can't go on; returns its exit code."""
    complain(reason)
    return code


class Arguments(argparse.ArgumentParser):
    """A parser whose help and complaints pass the same door: an argument may be anything."""

    def _print_message(self, message: str, file: Any = None) -> None:
        (complain if file is sys.stderr else say)(*message.splitlines())


def unwritten_words(error: OSError) -> str:
    """That something could not be written: which file, as far as that is known, why, and what next."""
    where = error.filename or _("The output")
    reason = error.strerror or str(error)
    fix = _("Name another place, or allow writing there.")
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        reason, fix = _("the disk is full"), _("Make room on it, then try again.")
    return _("{where} could not be written ({reason}). {fix}", where=where, reason=reason, fix=fix)


def say_unread(notice: str) -> int:
    """Say what of the day records can't be read; returns the exit code of a verb that goes on."""
    if notice:
        complain(notice)
    return 1 if notice else 0


def no_records_words(folder: Path) -> str:
    """That a data folder holds no day records."""
    if not os.path.lexists(folder):
        return _("There are no day records yet in {path}: there is no such folder.", path=folder)
    return _("There are no day records yet in {path}", path=folder)


def say_left_out(*counts: tuple[int, str, str], damaged: int) -> None:
    """Say on standard error how many lessons are left out: numbers, each with its singular and plural."""
    unreadable = (
        damaged,
        N_("{n} day record can't be read and is left out."),
        N_("{n} day records can't be read and are left out."),
    )
    for count, one, many in (*counts, unreadable):
        if count:
            complain(counted(one, many, count))
