"""What a plan's own figures say against each other, as problems of its file, each with its line."""

from collections.abc import Sequence
from pathlib import Path

from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.file.key_lines import key_lines, line_of
from pacer.plan.finding import Finding
from pacer.plan.findings import findings
from pacer.plan.outline import Outline
from pacer.plan.problems import Problem
from pacer.text import _

_MOST_BYTES = 1_000_000


def plan_problems(
    path: Path, outline: Outline, more: Sequence[Finding] = ()
) -> tuple[list[Problem], list[Problem]]:
    """What is impossible in an outline that was read from ``path``, and what is only unwise; by line each.

    Both are found by the one place of these rules, `pacer.plan.findings`; ``more`` is what others found.
    """
    found = (*findings(outline), *more)
    if not found:
        return [], []
    try:
        text = read_bounded(path, _MOST_BYTES).decode("utf-8-sig", "replace")
    except UnreadableFileError:
        text = ""  # it was there a moment ago; the problems still count, without their lines
    lines = key_lines(text.replace("\r\n", "\n"))
    impossible, unwise = list[Problem](), list[Problem]()
    for one in found:
        line = line_of(lines, one.place) if text else None
        if one.impossible:
            impossible.append(Problem(str(path), line, one.what, one.fix))
        else:
            unwise.append(Problem(str(path), line, _("Note: {words}", words=one.words)))
    return sorted(impossible, key=_line), sorted(unwise, key=_line)


def _line(problem: Problem) -> int:
    return problem.line or 0
