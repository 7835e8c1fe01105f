"""What every verb says the same way: why it can't go on, and which lessons it leaves out."""

import sys
from pathlib import Path

from pacer.text import N_, _, counted


def refuse(reason: object, code: int = 1) -> int:
    """Say on standard error why a verb can't go on; returns its exit code."""
    print(reason, file=sys.stderr)
    return code


def say_unread(notice: str) -> int:
    """Say what of the day records can't be read; returns the exit code of a verb that goes on."""
    if notice:
        print(notice, file=sys.stderr)
    return 1 if notice else 0


def no_records_words(folder: Path) -> str:
    """That a data folder holds no day records."""
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
            print(counted(one, many, count), file=sys.stderr)
