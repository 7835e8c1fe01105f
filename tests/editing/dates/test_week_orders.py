"""The order of each day in its outline: everything else stays, and it is all outlines or none."""

import pytest

from pacer.editing.dates import week_orders
from pacer.editing.dates.week_orders import not_all_words, put_orders
from pacer.plan.file.reader import read_outline
from pacer.plan.week.solve import rotation
from tests.plan.week.week_factories import as_week, week_problem

OUTLINE = """# Monday's, with a comment
format = 1
title = "Fractions on a number line"

[block]
groups = 3   # three of them
share = "5"

[[phase]]
title = "Warm-up"
budget = "4"
"""


@pytest.fixture
def two_days(tmp_path):
    paths = [tmp_path / "monday.toml", tmp_path / "tuesday.toml"]
    for path in paths:
        path.write_text(OUTLINE, encoding="utf-8")
    return paths


PROBLEM = week_problem(3, 3, [3, 3])


def test_each_outline_gets_the_order_of_its_day_and_keeps_the_rest(two_days):
    week = as_week(rotation(PROBLEM))
    assert put_orders(two_days, PROBLEM, week).changed == tuple(two_days)
    for day, path in enumerate(two_days):
        outline = read_outline(path)
        assert outline.visit_order == week.order(day)
        lines = path.read_text(encoding="utf-8").splitlines()
        added = [line for line in lines if line not in OUTLINE.splitlines()]
        assert [line.split(" = ")[0] for line in added] == ["order"]


def test_what_is_wrong_with_one_outline_leaves_all_as_they_are(two_days):
    two_days[1].write_text("format = 1", encoding="utf-8")
    outcome = put_orders(two_days, PROBLEM, as_week(rotation(PROBLEM)))
    assert outcome.changed == ()
    assert outcome.problems[0].file == str(two_days[1])
    assert two_days[0].read_text(encoding="utf-8") == OUTLINE
    assert not_all_words(outcome) == "No outline was changed."


def test_one_that_is_gone_is_told(two_days):
    two_days[0].unlink()
    outcome = put_orders(two_days, PROBLEM, as_week(rotation(PROBLEM)))
    assert [problem.file for problem in outcome.problems] == [str(two_days[0])]


def test_a_disk_that_fills_up_is_told_with_what_was_written_before(two_days, monkeypatch):
    write = week_orders.write_whole

    def full(path, data, _may=None):
        if path.name == "tuesday.toml":
            raise OSError(28, "No space left on device")
        return write(path, data)

    monkeypatch.setattr(week_orders, "write_whole", full)
    outcome = put_orders(two_days, PROBLEM, as_week(rotation(PROBLEM)))
    assert outcome.changed == (two_days[0],)
    assert outcome.is_unwritten
    assert "the disk is full" in str(outcome.problems[0])
    assert not_all_words(outcome) == "1 outline was changed before that."


def test_an_outline_that_is_saved_elsewhere_at_that_very_moment_is_left_alone_and_told(two_days, monkeypatch):
    real = week_orders.write_whole

    def write(path, data, may=None):
        two_days[0].write_text(OUTLINE + "# more", encoding="utf-8")
        return real(path, data, may)

    monkeypatch.setattr(week_orders, "write_whole", write)
    outcome = put_orders(two_days, PROBLEM, as_week(rotation(PROBLEM)))
    assert outcome.changed == ()
    assert outcome.is_unwritten
    assert "changed meanwhile" in outcome.problems[0].what
    assert two_days[0].read_text(encoding="utf-8") == OUTLINE + "# more"
