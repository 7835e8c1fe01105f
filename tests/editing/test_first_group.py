"""What past days owe to the groups of an outline."""

from pacer.editing.first_group import FirstGroup
from pacer.plan.file.reader import read_text
from pacer.review.learning import visit_order

OUTLINE = """format = 1
title = "Fractions"
block.groups = 2
phase = [{title = "Warm-up", budget = "4"}]
group = [{name = "Circle"}, {name = "Moon"}, {name = "Star"}]
"""


def test_groups_that_do_not_come_that_day_are_owed_minutes_too(monkeypatch):
    asked = []
    monkeypatch.setattr(
        visit_order, "owed_now", lambda _days, outline: asked.append(outline) or {"Star": 780}
    )
    outline = read_text(OUTLINE, "outline.toml")
    assert [group.name for group in outline.visitors] == ["Circle", "Moon"]
    assert FirstGroup(lambda: None, ("live",)).owed(outline) == {"Star": 780}
    assert [group.name for group in asked[0].visitors] == ["Circle", "Moon", "Star"]


def test_without_any_day_record_nobody_is_owed_anything():
    outline = read_text(OUTLINE, "outline.toml")
    assert FirstGroup(lambda: None, ("live",)).owed(outline) == {"Circle": 0, "Moon": 0, "Star": 0}
