"""Keys of a newer Pacer stay in a file as they were, whatever number they hold."""

import json
from datetime import date
from pathlib import Path

import pytest

from pacer.run.clock import ManualClock
from pacer.settings.planned_days import PlannedDaysStore
from pacer.settings.store import SettingsStore

CLOCK = ManualClock(1_773_046_800_123)
NUMBERS = [
    "1e400",
    "-1e999",
    "NaN",
    "Infinity",
    "-Infinity",
    "12345.678901234567890123",
    "1E5",
    "0.10",
    "9" * 60,
]


@pytest.mark.parametrize("number", NUMBERS)
def test_settings_keep_the_number_of_an_unknown_key(tmp_path: Path, number: str):
    path = tmp_path / "settings.json"
    path.write_text(f'{{"later": [{{"x": {number}, "text": "1e400"}}]}}')
    for tone in (True, False):
        store = SettingsStore(path, CLOCK)
        store.change(tone=tone)
        assert (store.notice, store.trouble) == ("", "")
    assert f'"x": {number},' in path.read_text()
    assert '"text": "1e400"' in path.read_text()
    assert '"tone": false' in path.read_text()


@pytest.mark.parametrize("number", NUMBERS)
def test_planned_days_keep_it_too(tmp_path: Path, number: str):
    path = tmp_path / "planned-days.json"
    path.write_text(f'{{"later": {number}}}')
    PlannedDaysStore(path, CLOCK).change(lambda days: days.assigned(date(2026, 3, 9), "a.toml"))
    assert f'"later": {number}' in path.read_text()


def test_a_text_that_looks_like_a_kept_number_makes_no_broken_file(tmp_path: Path):
    path = tmp_path / "settings.json"
    path.write_text(
        json.dumps({"later": ["\ue000number\ue000x", "\ue000number\ue000,", "\ue000number\ue00001"]})
    )
    SettingsStore(path, CLOCK).change(tone=True)
    assert SettingsStore(path, CLOCK).notice == ""
