"""What a plan's own figures say against each other, as problems of its file, each with its line."""

from collections.abc import Sequence
from pathlib import Path

from pacer.plan.file.key_lines import lines_in
from pacer.plan.finding import Finding
from pacer.plan.findings import findings
from pacer.plan.outline import Outline
from pacer.plan.problems import Problem
from pacer.text import _


def plan_problems(
    path: Path, outline: Outline, more: Sequence[Finding] = ()
) -> tuple[list[Problem], list[Problem]]:
    """What is impossible in an outline that was read from ``path``, and what is only unwise; by line each.

    Both are found by the one place of these rules, `pacer.plan.findings`; ``more`` is what others found.
    """
    found = (*findings(outline), *more)
    if not found:
        return [], []
    line_at = lines_in(path)
    impossible, unwise = list[Problem](), list[Problem]()
    for one in found:
        line = line_at(one.place)
        if one.impossible:
            impossible.append(Problem(str(path), line, one.what, one.fix))
        else:
            unwise.append(Problem(str(path), line, _("Note: {words}", words=one.words)))
    return sorted(impossible, key=_line), sorted(unwise, key=_line)


def _line(problem: Problem) -> int:
    return problem.line or 0
