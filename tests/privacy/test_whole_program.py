"""The whole program, by every key and through its pages: what a class, a taskbar, others, a network get."""

import json
import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

from tests.privacy.canaries import found_in, is_for_the_class

HERE = Path(__file__).parent
LONGEST_S = 1200  # on a busy machine
ROOT = HERE.parents[1]
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(find_spec("PySide6") is None, reason="PySide6 is not installed"),
    pytest.mark.skipif(sys.platform == "win32", reason="rights as on Unix"),
]


def screens() -> dict[str, Any]:
    """Three pretended screens, whose names are private, too."""
    dots = {"logicalDpi": 96, "logicalBaseDpi": 96, "dpr": 1}
    laptop = {"name": "canary-screen-1", "x": 0, "y": 0, "width": 1366, "height": 768}
    wall = {"name": "canary-screen-2", "x": 1366, "y": 0, "width": 1920, "height": 1080}
    card = {"name": "canary-screen-3", "x": 3286, "y": 0, "width": 480, "height": 320}
    three = [one | dots for one in (laptop, wall, card)]
    return {"synchronousWindowSystemEvents": True, "windowFrameMargins": False, "screens": three}


@pytest.fixture(scope="module")
def seen(tmp_path_factory) -> dict[str, Any]:
    """All that was seen of one run."""
    work = tmp_path_factory.mktemp("whole")
    home = work / "home"
    home.mkdir()
    (work / "screens.json").write_text(json.dumps(screens()))
    kept = {name: of for name, of in os.environ.items() if not name.startswith(("QT_", "PACER_", "XDG_"))}
    surroundings = kept | {
        "QT_QPA_PLATFORM": f"offscreen:configfile={work / 'screens.json'}",
        "TZ": "UTC", "LC_ALL": "C.UTF-8", "LANGUAGE": "en",
        "HOME": str(home), "TMPDIR": str(home), "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1",
    }  # fmt: skip
    done = subprocess.run(
        [sys.executable, HERE / "whole_program.py", work],
        env=surroundings, cwd=work, text=True, capture_output=True, check=False, timeout=LONGEST_S,
    )  # fmt: skip
    if "libraries" in done.stderr or "cannot open shared object" in done.stderr:
        pytest.skip("Qt's system libraries are not here")
    assert done.returncode == 0, done.stdout + done.stderr
    return json.loads((work / "seen.json").read_text())


def test_the_run_went_through_what_it_should(seen):
    steps = [moment["step"] for moment in seen["moments"]]
    assert len(steps) > 100
    assert {"ready", "started", "bell", "repair", "brought back", "exported", "card", "a fault"} <= set(steps)
    assert {"week", "taken", "taken and kept", "restored"} <= set(steps)
    assert {"day shapes", "rehearsal", "rehearsal moved on", "after the rehearsal"} <= set(steps)
    made = {Path(path).name for path in seen["made"]}
    assert {"day-records.sqlite3", "coach.pdf", "card.pdf", "all.json", "lessons.csv", "pacer.log"} <= made
    assert {"planned-days.json", "day-records-2026-03-08.sqlite3", "settings.json", "split.json"} <= made
    assert any("/taken/" in path for path in seen["made"])
    assert any("/backups/day-records-before-" in path for path in seen["made"])
    assert any("/history/" in path for path in seen["made"])


def test_the_wall_has_the_class_s_words_alone_painted_or_read_aloud(seen):
    shown, before = 0, []
    for moment in seen["moments"]:
        texts = moment["walls"] + (moment["spoken"] if moment["walls"] else [])
        shown += len(found_in(" ".join(texts)))
        # Under a blank Wall, which covers the screen, lies what the class saw last.
        blank = any(text.startswith("blank") for text in moment["walls"])
        before = [*before, moment["running"]] if blank else [moment["running"]]
        for text in moment["walls"]:
            assert any(is_for_the_class(text, running) for running in before), (moment["step"], text)
        for text in moment["spoken"]:
            # A Wall that is hidden keeps what it said last: of the class's words, too.
            kinds = {kind for kind, _number in found_in(text)}
            assert kinds <= {"title", "line", "second", "problem", "prompt", "lesson"}, (moment["step"], text)
    assert shown > 100


def test_the_desk_card_speaks_of_the_lesson_while_it_is_shown_and_of_nothing_while_it_is_covered(seen):
    spoken = {moment["step"]: moment["card"] for moment in seen["moments"] if moment["card"] is not None}
    assert found_in(spoken["started"])
    assert (spoken["a screen changed"], spoken["look back"]) == ("", "")


def test_no_title_of_any_window_tells_what_a_lesson_is_about(seen):
    titles = {title for moment in seen["moments"] for title in moment["titles"]}
    assert any("Pacer" in title for title in titles)
    assert found_in(" ".join(titles)) == set()


def test_nothing_gets_into_the_clipboard_unasked(seen):
    assert {moment["clipboard"] for moment in seen["moments"]} == {""}


def test_neither_log_nor_crash_report_has_a_private_word(seen):
    assert "fault ValueError" in seen["log"]["pacer.log"]
    assert "Qt QtWarningMsg" in seen["log"]["pacer.log"]
    assert found_in(" ".join(seen["log"].values())) == set()


def test_no_file_or_folder_can_be_read_by_others_at_any_moment(seen):
    """With a umask that takes nothing, over the data of an older Pacer that was open to all."""
    assert seen["readable"] == []


def test_a_draft_of_somebody_else_is_not_offered(seen):
    if os.getuid() != 0:
        pytest.skip("only root can give a file to somebody else")
    assert seen["offered"] == []


def test_no_socket_of_a_network_is_opened_connected_or_bound(seen):
    assert seen["network"] == []


def test_whatever_pacer_opens_for_writing_one_module_opens(seen):
    assert set(seen["writers"]) <= {"owner_only.py"}
    assert seen["writers"]
