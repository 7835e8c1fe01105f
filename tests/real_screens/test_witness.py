"""The witness of the long form sees what must not be there, and tells it from what is shown on purpose."""

import os
import shutil
from pathlib import Path

import pytest

from tests.real_screens.child_process import wait_until

if os.environ.get("PACER_REQUIRE_QT") != "1":
    pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)

from tests.real_screens.pacer_on_screens import CANARIES, PacerOnScreens
from tests.real_screens.table import is_intact, words_on
from tests.real_screens.witness import Witness


def test_a_page_that_nobody_meant_to_show_is_seen_and_its_words_are_read(
    pacer: PacerOnScreens, tmp_path: Path
) -> None:
    monitors = pacer.monitors
    pacer.start_on_today()
    witness = Witness(monitors, tmp_path)
    witness.start()
    try:
        monitors.mirror()
        wait_until(lambda: witness.is_clean, "a picture without a private pixel")
        pacer.lift("20-on-purpose")
        seen = witness.seen.photographs
        wait_until(lambda: witness.seen.photographs > seen + 3, "some pictures of it")
        assert witness.seen.private == []
        # Now as if nobody had pressed Enter.
        witness.forget_the_lift()
        wait_until(lambda: witness.seen.private, "a private picture")
    finally:
        testimony = witness.stop()
    (mirrored,) = testimony.changes
    assert mirrored.covered_ms is not None
    assert is_intact(pacer.data) is None
    if shutil.which("tesseract"):
        assert words_on(testimony.private[0]) & set(CANARIES)


@pytest.mark.long
def test_a_wall_put_away_is_seen_to_go_and_to_come_back(pacer: PacerOnScreens, tmp_path: Path) -> None:
    monitors = pacer.monitors
    witness = Witness(monitors, tmp_path)
    witness.start()
    try:
        _child, _private, wall = pacer.start_lesson()
        wait_until(lambda: witness.shows_wall, "the witness to see the Wall")
        monitors.minimise(wall)
        wait_until(lambda: witness.seen.changes[-1].wall_ms is not None, "the Wall to be back")
    finally:
        testimony = witness.stop()
    put_away = testimony.changes[-1]
    assert put_away.wall_before
    assert put_away.wall_gone
    assert testimony.private == []
    assert testimony.photographs > 3
    assert is_intact(pacer.data)
