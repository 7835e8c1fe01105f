"""Look back's copies: what each holds and would change, and two presses to bring one back."""

import re
from datetime import date
from pathlib import Path

import pytest
from PySide6.QtWidgets import QLayout

from pacer.log.backups import copy_today
from pacer.log.day_records import DayRecords
from pacer.qt.look_back.records.panel import DataPanel
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from pacer.settings.folders import folders
from tests.log.damage_factories import DAY_MS, MONDAY_UTC_MS, teach, wipe_page, write_records
from tests.qt.window_factories import click, settle


@pytest.fixture
def panel(qapp, tmp_path, invented):
    path = write_records(tmp_path, invented)
    copy_today(path, date(2026, 3, 20))
    with DayRecords.open(tmp_path) as records:
        teach(records, invented, 20)
        made = DataPanel(records, folders(tmp_path), ManualClock(MONDAY_UTC_MS + 21 * DAY_MS))
        made.layout().setSizeConstraint(QLayout.SizeConstraint.SetNoConstraint)
        made.resize(1034, 620)
        made.show()
        made.reload()
        settle()
        yield made
        made.close()
        made.deleteLater()
        settle()


def test_what_a_copy_would_change_is_said_before_and_nothing_happens_at_one_press(panel):
    restore = panel.restore
    assert restore.list.item(0, 0).text() == "20 Mar 2026"
    assert restore.list.item(0, 1).text() == "3"
    assert not restore.ask_button.isEnabled()
    restore.list.selectRow(0)
    assert "Goes: 1 lesson (“Thirds on a number line”, 29 Mar 2026)." in restore.changes.text()
    click(restore.ask_button)
    assert restore.is_asking
    assert len(panel._records.runs()) == 3
    click(restore.no_button)
    assert not restore.is_asking
    assert len(panel._records.runs()) == 3


def test_the_second_press_brings_it_back_and_the_lists_show_it(panel):
    changes = []
    panel.changed.connect(lambda: changes.append(True))
    panel.restore.list.selectRow(0)
    click(panel.restore.ask_button)
    click(panel.restore.yes_button)
    assert panel.said.text().startswith("Brought back: 2026-03-20. What was there before is kept as ")
    assert panel.list.rowCount() == len(panel._records.runs()) == 2
    assert changes == [True]
    assert {panel.restore.list.item(row, 1).text() for row in range(2)} == {"3", "4"}
    names = sorted(panel.restore.list.item(row, 0).text() for row in range(2))
    assert names[0] == "20 Mar 2026"
    assert re.fullmatch(r"before \d+ [A-Z][a-z]{2} \d{4}, \d+:\d\d", names[1])


def test_a_lesson_that_has_not_ended_is_in_its_way_and_a_damaged_copy_cannot_be_chosen(
    panel, invented, tmp_path
):
    Session(ManualClock(MONDAY_UTC_MS + 21 * DAY_MS), panel._records.journal()).start(invented)
    panel.restore.list.selectRow(0)
    click(panel.restore.ask_button)
    click(panel.restore.yes_button)
    assert "has not ended: end it on Today first" in panel.trouble.text()
    wipe_page(Path(tmp_path / "backups" / "day-records-2026-03-20.sqlite3"), 2)
    panel.reload()
    panel.restore.list.selectRow(0)
    assert "choose another one" in panel.restore.changes.text()
    assert not panel.restore.ask_button.isEnabled()
