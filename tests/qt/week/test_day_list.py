"""What is dragged over a day: Pacer's own lessons, and whatever another program calls by their name."""

from datetime import date

import pytest
from PySide6.QtCore import QByteArray, QMimeData

from pacer.plan.dates.planned import DaySlot
from pacer.qt.week.day_list import MIME, dropped_in, mime_of


@pytest.mark.parametrize("what", [DaySlot(date(2026, 3, 9), 2), "halves.toml"])
def test_what_is_dragged_is_what_is_dropped(what):
    assert dropped_in(mime_of(what)) == what


@pytest.mark.parametrize(
    "value",
    [b"", b"[]", b'["2026-03-09", 1e999]', b'["2026-03-09", NaN]', b'["2026-02-30", 1]', b"[" * 100_000,
     b"\xff", b'["2026-03-09", ' + b"9" * 5000 + b"]", b"null", b"7"],
)  # fmt: skip
def test_anything_else_is_nothing(value):
    data = QMimeData()
    data.setData(MIME, QByteArray(value))
    assert dropped_in(data) is None
