"""The table of phase kinds as a teacher edits it."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QDialog, QDialogButtonBox

from pacer.plan.kinds import KINDS, KindChange
from pacer.plan.rules import ProblemPace, Reviewing
from pacer.qt.kit.style import wear
from pacer.qt.outline.kinds_dialog import KindsDialog
from tests.qt.window_factories import settle


@pytest.fixture
def dialog(dressed) -> Iterator[KindsDialog]:
    made = KindsDialog({"review": KindChange(budget_s=240, talk="quiet")})
    yield made
    made.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def row(dialog: KindsDialog, name: str):
    return next(row for row in dialog.rows if row.kind.name == name)


def save(dialog) -> None:
    dialog.findChild(QDialogButtonBox).button(QDialogButtonBox.StandardButton.Save).click()


def test_it_shows_every_kind_with_what_was_changed(dialog: KindsDialog) -> None:
    assert [row.kind.name for row in dialog.rows] == list(KINDS)
    assert row(dialog, "review").budget.text() == "4"
    assert row(dialog, "review").standing.text() == "a choice of ours"
    assert row(dialog, "modeling").standing.text() == "common practice"
    assert dialog.changes() == {"review": KindChange(budget_s=240, talk="quiet")}


def test_only_what_differs_from_the_starting_values_is_a_change(dialog: KindsDialog) -> None:
    row(dialog, "modeling").floor.setValue(80)
    row(dialog, "modeling").budget.setText("7:00")
    assert dialog.changes()["modeling"] == KindChange(floor_percent=80)
    dialog.reset_button.click()
    assert dialog.changes() == {}


def test_minutes_that_are_none_are_named_and_nothing_is_lost(dialog: KindsDialog) -> None:
    row(dialog, "share").budget.setText("five")
    row(dialog, "modeling").tier.setValue(3)
    save(dialog)
    assert dialog.result() != QDialog.DialogCode.Accepted
    assert dialog.problem.text() == "share: write minutes from 0:15 to 180, such as 3 or 2:30."
    assert row(dialog, "modeling").tier.value() == 3
    row(dialog, "share").budget.setText("5")
    save(dialog)
    assert dialog.result() == QDialog.DialogCode.Accepted


def test_caps_of_kinds_and_of_all_reviewing_are_typed_here(dialog: KindsDialog) -> None:
    assert dialog.reviewing() == Reviewing(300, None)
    row(dialog, "modeling").cap.setText("9")
    dialog.reviewing_cap.setText("6")
    dialog.problem_minutes.setText("1:15")
    save(dialog)
    assert dialog.result() == QDialog.DialogCode.Accepted
    assert dialog.changes()["modeling"] == KindChange(cap_s=540)
    assert dialog.reviewing() == Reviewing(360, 75)
    dialog.reset_button.click()
    assert (dialog.changes(), dialog.reviewing()) == ({}, Reviewing(300, None))


@pytest.mark.parametrize(
    ("field", "words"),
    [
        ("reviewing_cap", "Warm-up and review together: "),
        ("problem_minutes", "One review problem: "),
    ],
)
def test_figures_for_reviewing_that_are_none_are_named(dialog: KindsDialog, field: str, words: str) -> None:
    getattr(dialog, field).setText("soon")
    save(dialog)
    assert dialog.result() != QDialog.DialogCode.Accepted
    assert dialog.problem.text().startswith(words)


def test_what_is_learned_of_a_review_problem_is_said_with_its_lessons(dressed) -> None:
    made = KindsDialog({}, None, Reviewing(), ProblemPace(80, 8))
    assert made.learned_line.text() == (
        "By 8 lessons one review problem takes about 1:20; type minutes to use your own."
    )
    made.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def test_every_field_has_a_name_for_a_screen_reader(dialog: KindsDialog) -> None:
    names = [widget.accessibleName() for row in dialog.rows for widget in row.widgets[:-1]]
    assert all(names)
    assert len(set(names)) == len(names)


def test_that_a_kind_has_no_cap_is_read_whole_in_a_narrow_window(dialog: KindsDialog) -> None:
    dialog.resize(900, 540)
    wear(dialog)
    dialog.show()
    settle()
    cap = row(dialog, "modeling").cap
    assert dialog.width() == 900
    assert cap.width() - 24 >= cap.fontMetrics().horizontalAdvance(cap.placeholderText())
    dialog.close()
