"""Small integer programs with answers that can be seen."""

import subprocess
import sys

import pytest

from pacer.plan.week import integer_program
from pacer.plan.week.integer_program import GaveUpError, IntegerProgram


def test_the_least_sum_that_keeps_every_row():
    program = IntegerProgram()
    cheap, dear = program.number(3), program.number(9)
    program.row({cheap: 2, dear: 3}, least=11)
    assert program.least({cheap: 1, dear: 2}) == [3, 2]


def test_none_where_nothing_keeps_every_row():
    program = IntegerProgram()
    one = program.number(1)
    program.row({one: 2}, 1, 1)
    assert program.least({}) is None


def test_a_search_that_is_too_long_is_given_up_by_count(monkeypatch):
    monkeypatch.setattr(integer_program, "MOST_STEPS", 0)
    monkeypatch.setattr(integer_program, "MOST_NODES", 0)
    program = IntegerProgram()
    weights = [41, 57, 73, 89, 97, 103, 127]
    numbers = [program.number(9) for _weight in weights]
    program.row(dict(zip(numbers, weights, strict=True)), 1009, 1009)
    program.row(dict(zip(numbers, reversed(weights), strict=True)), 1013, 1013)
    with pytest.raises(GaveUpError):
        program.least(dict.fromkeys(numbers, 1))


def test_the_solver_is_loaded_only_when_a_week_is_asked_for():
    code = "import sys, pacer.plan.week.solve; sys.exit('highspy' in sys.modules or 'numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
