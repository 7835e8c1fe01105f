"""Forty invented outlines as teachers paste them, each with the phases that were meant beside it.

A ``.expect`` file has a line for each phase, ``title | seconds | kind`` with ``?`` for minutes not yet
known, then ``title:`` with the lesson's, ``look:`` and ``not:`` with the number of each line that is
shown to her and of each that is not understood. The readings are rules of our own.
"""

from pathlib import Path

import pytest

from pacer.plan.typed.read_typed import TypedPhase, plain_text, read_typed

MARKS = ("title:", "look:", "not:")
PASTED = sorted((Path(__file__).parent / "pasted").glob("*.txt"))


def expected(path: Path) -> tuple[list[str], str, list[int], list[int]]:
    lines = path.with_suffix(".expect").read_text(encoding="utf-8").splitlines()
    said = {mark: [line[len(mark) :].strip() for line in lines if line.startswith(mark)] for mark in MARKS}
    phases = [line for line in lines if not line.startswith(MARKS)]
    title = "".join(said["title:"])
    return phases, title, [int(line) for line in said["look:"]], [int(line) for line in said["not:"]]


def told(phase: TypedPhase) -> str:
    seconds = "?" if phase.seconds is None else phase.seconds
    return f"{phase.title} | {seconds} | {phase.kind}"


def test_there_are_forty_outlines_each_with_what_was_meant() -> None:
    assert len(PASTED) == 40
    assert all(path.with_suffix(".expect").exists() for path in PASTED)


@pytest.mark.parametrize("path", PASTED, ids=lambda path: path.stem)
def test_a_pasted_outline_gives_the_phases_that_were_meant(path: Path) -> None:
    read = read_typed(path.read_bytes().decode("utf-8"))
    phases, title, to_look_at, not_understood = expected(path)
    assert [told(each) for each in read.phases] == phases
    assert read.title == title
    assert [line.number for line in read.to_look_at] == to_look_at
    assert [line.number for line in read.not_understood] == not_understood


@pytest.mark.parametrize("path", PASTED, ids=lambda path: path.stem)
def test_no_line_of_a_pasted_outline_is_lost(path: Path) -> None:
    """Each line is there as typed, and the words of each are found in what came of it."""
    text = path.read_bytes().decode("utf-8")
    read = read_typed(text)
    assert [(line.number, line.raw) for line in read.lines] == list(enumerate(text.splitlines(), start=1))
    by_number = {line.number: next(iter(line.phases), None) for line in read.lines}
    for line in read.lines:
        if line.raw.strip("\ufeff\u00a0 \t"):
            assert line.what != "blank"
        if line.what == "note":
            phase = by_number[line.of]
            kept = f"{phase.notes} {phase.class_line}".split()
            assert {word for word in line.raw.split() if word.isalpha()} <= set(kept)


@pytest.mark.parametrize("path", PASTED, ids=lambda path: path.stem)
def test_a_pasted_outline_as_plain_text_is_the_same_outline(path: Path) -> None:
    read = read_typed(path.read_bytes().decode("utf-8"))
    again = read_typed(plain_text(read.phases))
    assert [(p.title, p.seconds, p.kind, p.class_line, p.notes) for p in again.phases] == [
        (p.title, p.seconds, p.kind, p.class_line, p.notes) for p in read.phases
    ]
    assert again.not_understood == ()
