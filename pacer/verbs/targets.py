"""How verbs write what was asked for, by one rule: whole or not at all, over another file only by --force."""

import argparse
import os
from pathlib import Path

from pacer.settings.whole_file import is_stream, plain_reason, write_out
from pacer.text import _
from pacer.verbs.console import complain, say


class TargetError(Exception):
    """It can't be written there, and nothing was. The message says what, where and what to do next."""


def add_force(verb: argparse.ArgumentParser) -> None:
    """The option that every verb has which writes files."""
    verb.add_argument("--force", action="store_true", help=_("write over files that are there already"))


def check(path: Path, *, force: bool) -> None:
    """Look at a name before any work is done for it. Raises TargetError."""
    if os.path.isdir(path):  # noqa: PTH112 - Path.is_dir may raise
        raise TargetError(_("{path} is a folder. Name a file in it.", path=path))
    if os.path.lexists(path) and not force and not is_stream(path):
        raise _taken(path)


def write(path: Path, data: bytes, *, force: bool) -> None:
    """Write a file whole, or into a device. Raises TargetError."""
    try:
        written = write_out(path, data, over=force)
    except (OSError, ValueError) as error:
        reason, next_step = plain_reason(error)
        words = _("{path} can't be written: {reason}. {next}")
        raise TargetError(words.format(path=path, reason=reason, next=next_step)) from error
    if not written:
        raise _taken(path)


def say_written(path: Path, *, aside: bool = False) -> None:
    """Tell where it is; beside standard output if that is where it went, or if ``aside`` asks for it."""
    (complain if aside or is_stream(path) else say)(path)


def _taken(path: Path) -> TargetError:
    words = _("{path} is there already and is not written over. Choose another name, or add --force.")
    return TargetError(words.format(path=path))
