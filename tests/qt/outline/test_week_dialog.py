"""The week's rotation in its window: outlines are chosen, the week shown, and the order put into them."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QAbstractSpinBox, QComboBox, QLineEdit, QPushButton

from pacer.plan.file.reader import read_outline
from pacer.qt.outline.week_dialog import WeekDialog

OUTLINE = """format = 1
title = "{title}"
[[phase]]
title = "Warm-up"
budget = "4"
"""


@pytest.fixture
def folder(tmp_path):
    for title in ("Halves", "Thirds"):
        (tmp_path / f"{title.lower()}.toml").write_text(OUTLINE.format(title=title), encoding="utf-8")
    return tmp_path


@pytest.fixture
def dialog(dressed, folder) -> Iterator[WeekDialog]:
    made = WeekDialog(folder, lambda _outline: {})
    yield made
    made.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def choose(dialog: WeekDialog, **days: str) -> None:
    for name, title in days.items():
        box = next(box for box in dialog.days if box.accessibleName() == name)
        box.setCurrentIndex(box.findText(title))


def cells(dialog: WeekDialog) -> list[list[str]]:
    table = dialog.table
    return [[table.item(r, c).text() for c in range(table.columnCount())] for r in range(table.rowCount())]


def test_the_week_is_shown_with_the_days_that_have_an_outline(dialog):
    choose(dialog, Tuesday="Halves", Thursday="Thirds")
    dialog.owed.setText("Hexagon=5")
    dialog.work_button.click()
    rows = cells(dialog)
    assert [row[0] for row in rows] == ["Tuesday"] * 3 + ["Thursday"] * 3
    assert rows[0][2] == "Hexagon"
    assert dialog.words.text() == ""


def test_the_order_is_put_into_the_outlines_that_were_chosen(dialog, folder):
    choose(dialog, Monday="Thirds", Tuesday="Halves")
    dialog.owed.setText("Triangle=5")
    dialog.work_button.click()
    dialog.put_button.click()
    assert dialog.changed == (folder / "thirds.toml", folder / "halves.toml")
    assert dialog.words.text() == "The order is in 2 outlines."
    assert read_outline(folder / "thirds.toml").block.order[0] == "Triangle"
    assert read_outline(folder / "halves.toml").block.order[-1] == "Triangle"


def test_what_past_days_owe_is_filled_in_until_the_teacher_writes_otherwise(dressed, folder):
    owed = {"Halves": {"Circle": 60, "Triangle": 0, "Hexagon": 780}, "Thirds": {"Circle": 90}}
    made = WeekDialog(folder, lambda outline: owed[outline.title])
    choose(made, Monday="Halves")
    assert made.owed.text() == "Circle=1:00, Hexagon=13:00"
    choose(made, Tuesday="Thirds")
    assert made.owed.text() == "Circle=1:30, Hexagon=13:00"
    made.work_button.click()
    assert cells(made)[0][2] == "Hexagon"
    made.owed.setText("Triangle=20")
    choose(made, Tuesday="no small groups")
    assert made.owed.text() == "Triangle=20"
    made.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def test_nothing_can_be_put_until_a_week_is_worked_out_for_what_is_asked(dialog):
    assert not dialog.work_button.isEnabled()
    choose(dialog, Monday="Halves")
    assert dialog.work_button.isEnabled()
    assert not dialog.put_button.isEnabled()
    dialog.work_button.click()
    assert dialog.put_button.isEnabled()
    dialog.meet.setValue(1)
    assert not dialog.put_button.isEnabled()
    assert cells(dialog) == []


def test_where_there_is_no_such_week_the_clash_is_named(dialog):
    choose(dialog, Monday="Halves", Tuesday="Thirds")
    dialog.meet.setValue(3)
    dialog.work_button.click()
    assert "There is no such week" in dialog.words.text()
    assert "Every group meets the teacher 3 times." in dialog.words.text()
    assert not dialog.put_button.isEnabled()


def test_what_can_not_be_asked_is_told(dialog):
    choose(dialog, Monday="Halves", Tuesday="Halves")
    dialog.work_button.click()
    assert "an outline of its own" in dialog.words.text()
    choose(dialog, Tuesday="Thirds")
    dialog.owed.setText("Nobody=3")
    dialog.work_button.click()
    assert 'no group is called "Nobody"' in dialog.words.text()


def test_an_outline_that_went_wrong_meanwhile_leaves_all_as_they_are(dialog, folder):
    choose(dialog, Monday="Halves", Tuesday="Thirds")
    dialog.work_button.click()
    (folder / "thirds.toml").write_text("format = 1", encoding="utf-8")
    dialog.put_button.click()
    assert "No outline was changed." in dialog.words.text()
    assert read_outline(folder / "halves.toml").block.order == ()
    assert dialog.changed == ()


def test_without_outlines_it_says_what_to_do_first(dressed, tmp_path):
    made = WeekDialog(tmp_path, lambda _outline: {})
    assert "no outline of your own yet" in made.words.text()
    assert not made.work_button.isEnabled()
    made.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def test_every_field_has_a_name_for_a_screen_reader(dialog):
    fields = [
        *dialog.findChildren(QComboBox),
        *dialog.findChildren(QAbstractSpinBox),
        dialog.owed,
        dialog.table,
    ]
    names = [field.accessibleName() for field in fields]
    assert all(names)
    assert len(set(names)) == len(names)
    assert all(push.text() for push in dialog.findChildren(QPushButton))
    assert dialog.findChildren(QLineEdit)


def test_it_fits_a_small_screen(dialog):
    hint = dialog.minimumSizeHint()
    assert (hint.width() <= 940, hint.height() <= 440) == (True, True)


@pytest.fixture
def twice(folder):
    path, tables = folder / "halves.toml", '[[group]]\nname = "Star"\n[[group]]\nname = "star"\n'
    path.write_text(OUTLINE.format(title="Halves") + tables, encoding="utf-8")


def test_an_outline_with_two_groups_of_one_name_is_told_before_any_week(twice, dialog):
    choose(dialog, Monday="Halves")
    dialog.work_button.click()
    assert dialog.words.text() == 'Halves: Two groups are called "star". Give each a name of its own.'
    assert not dialog.put_button.isEnabled()
