"""A lesson on a real laptop and a real projector: what children see and never see, and who has the keys."""

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterable
from itertools import pairwise
from pathlib import Path

import pytest

from tests.real_screens.child_process import PATIENCE_S, Child, wait_until
from tests.real_screens.monitors import LAPTOP, PROJECTOR

if os.environ.get("PACER_REQUIRE_QT") != "1":
    pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)

from PySide6.QtGui import QImage

from pacer.log.day_records import DayRecords
from pacer.qt.kit import theme
from tests.real_screens.pacer_on_screens import (
    PacerOnScreens,
    Shot,
    colours,
    is_curtain,
    private_colours,
    share_of,
)
from tests.real_screens.private_marker import private_pixels

FULL = (1280, 720)
SQUARE = theme.SQUARE.rgb()


def assert_only_the_wall(pacer: PacerOnScreens, *shots: Shot) -> None:
    """The projector shows the very Wall that is painted from the day record, and so nothing else."""
    for shot, expected in zip(shots, pacer.expected(shots, FULL), strict=True):
        assert expected.images, f"there was no lesson when {shot.path} was taken"
        assert expected.is_seen_in(shot.image), f"{shot.path} shows something else than the Wall"
        assert private_colours(shot.image) == set(), shot.path
        assert private_pixels(shot.image) == 0, shot.path


def has(name: str) -> Callable[[QImage], bool]:
    """Whether a colour of the private window is in a picture."""
    return lambda image: name in private_colours(image)


def says_keys_are_elsewhere(image: QImage) -> bool:
    """Whether the lowest row of the Desk's far page is the dark band."""
    height, width = image.height() // 9, round(image.width() * 0.7)
    return share_of(image.copy(0, image.height() - height, width, height), theme.DESK_INK) > 0.6


@pytest.mark.scenario("a first lesson")
def test_return_starts_and_the_wall_counts_on_the_projector_while_the_desk_keeps_the_keyboard(
    pacer: PacerOnScreens,
) -> None:
    pacer.forget_the_room()
    pacer.start_on_today()
    pacer.laptop("1-today")
    pacer.monitors.key("Return")
    number = pacer.monitors.wait_for_window("Screen 2")
    assert (number.x, number.y, number.width, number.height) == (1368, 0, *FULL)
    assert pacer.monitors.active_window_title() == "Pacer"
    for monitor, name in ((LAPTOP, "1-number-laptop"), (PROJECTOR, "1-number-projector")):
        shot = pacer.wait_for_shot(name, monitor, lambda i: SQUARE in colours(i), "the number on the screen")
        assert private_colours(shot.image) == set()
    assert pacer.window("Wall") is None
    pacer.monitors.key("2")
    wall = pacer.wait_for_wall()
    assert (wall.x, wall.y, wall.width, wall.height) == (1368, 0, *FULL)
    pacer.wait_for_events("started")
    pacer.wait_for_painted_wall("1-wall")
    assert pacer.monitors.active_window_title() == "Pacer"
    private = pacer.window("Pacer")
    assert private is not None
    assert private.x + private.width <= 1368

    shots = [pacer.projector("1-wall-0")]
    x, y, width, height = united([box for found in pacer.expected(shots, FULL) for box in found.digits])

    def goes_on() -> bool:
        shots.append(pacer.projector(f"1-wall-{len(shots)}"))
        return changes(shot.image.copy(x, y, width, height) for shot in shots) >= 4

    wait_until(goes_on, "four seconds to be counted")
    pacer.laptop("1-desk")
    assert_only_the_wall(pacer, *shots)
    # Around the digits nothing moves.
    header = [shot.image.copy(0, 0, FULL[0], y) for shot in shots]
    assert all(image == header[0] for image in header)


def united(boxes: list[tuple[int, int, int, int]]) -> tuple[int, int, int, int]:
    """The box around boxes, each x, y, width, height."""
    x, y = min(box[0] for box in boxes), min(box[1] for box in boxes)
    right, bottom = max(box[0] + box[2] for box in boxes), max(box[1] + box[3] for box in boxes)
    return x, y, right - x, bottom - y


def changes(digits: Iterable[QImage]) -> int:
    """How often neighbouring pictures differ."""
    return sum(before != after for before, after in pairwise(digits))


@pytest.mark.scenario("lesson: every state of the Desk")
def test_no_state_of_the_desk_shows_on_the_projector(pacer: PacerOnScreens) -> None:
    pacer.start_lesson()
    shots = [pacer.projector("2-wall-steady")]
    pacer.press("Down", "Down", "Down", "Down")
    pacer.wait_for_shot("2-desk-borrowing", LAPTOP, has("SAND"), "Borrowing on the Desk")
    shots.append(pacer.projector("2-wall-over"))
    pacer.press("Page_Down")
    pacer.wait_for_shot("2-desk-closing", LAPTOP, has("CLOSING"), "Closing on the Desk")
    shots.append(pacer.projector("2-wall-review"))
    # The Desk refuses loudly; the Wall says nothing of it.
    pacer.press("e")
    pacer.laptop("2-desk-refused")
    shots.append(pacer.projector("2-wall-refused"))
    pacer.wait_for_shot("2-desk-move-on", LAPTOP, has("PLUM"), "Move on on the Desk")
    shots.append(pacer.projector("2-wall-past-cap"))
    assert_only_the_wall(pacer, *shots)


@pytest.mark.scenario("strip over another program")
def test_the_strip_lies_over_another_program_and_takes_neither_keys_nor_clicks(
    pacer: PacerOnScreens, run_child: Callable[..., Child], tmp_path: Path
) -> None:
    monitors = pacer.monitors
    _child, private, _wall = pacer.start_lesson()
    pacer.press("w")
    strip = pacer.wait_for_wall("Wall strip")
    assert (strip.x, strip.width, strip.y + strip.height) == (1368, *FULL)
    assert pacer.window("Wall") is None

    typed = tmp_path / "typed"
    # In this mode a terminal tells its program of clicks.
    told_of_clicks = f"printf '\\033[?1000h'; exec cat > '{typed}'"
    run_child(["xterm", "-T", "Problem", "-bg", "#205030", "-geometry", "210x60+1368+0", "-e", "sh", "-c",
               told_of_clicks])  # fmt: skip
    problem = monitors.wait_for_window("Problem")
    assert problem.y + problem.height > strip.y + strip.height // 2
    wait_until(lambda: monitors.active_window_title() == "Problem", "the keyboard to be in the terminal")

    pacer.wait_for_shot("3-desk-keys-elsewhere", LAPTOP, says_keys_are_elsewhere, "the loud band")
    before = pacer.wait_for_shot("3-strip", PROJECTOR, strip_is_on_top, "the strip over the terminal")
    monitors.type_text("hwd")
    monitors.key("Return")
    wait_until(lambda: typed.read_bytes() == b"hwd\n", "the typed text to arrive")
    monitors.click(strip.x + strip.width // 2, strip.y + strip.height // 2)
    monitors.key("Return")
    wait_until(lambda: b"\x1b[M" in typed.read_bytes(), "the click to reach the terminal under the strip")
    assert monitors.active_window_title() == "Problem"
    after = pacer.wait_for_shot("3-strip-later", PROJECTOR, strip_is_on_top, "the strip still on top")
    assert private_colours(before.image) | private_colours(after.image) == set()
    # No key of all this was a press of the lesson.
    pacer.wait_for_events("started", "wall_turned")

    monitors.click(private.x + private.width // 3, private.y + private.height // 2)
    wait_until(lambda: monitors.active_window_title() == "Pacer", "the keyboard to be back")
    pacer.wait_for_shot("3-desk-keys-back", LAPTOP, lambda i: not says_keys_are_elsewhere(i), "no band")
    pacer.press("space")
    pacer.wait_for_events("started", "wall_turned", "paused")


def strip_is_on_top(image: QImage) -> bool:
    """Whether the lowest eleventh of the projector is the strip: mostly paper, with a minute square."""
    strip = image.copy(0, 655, 1280, 65)
    return share_of(strip, theme.PAPER) > 0.6 and SQUARE in colours(strip)


@pytest.mark.scenario("lesson: presses")
def test_presses_are_seen_on_the_wall_and_in_the_day_record(pacer: PacerOnScreens) -> None:
    child, *_windows = pacer.start_lesson()
    pacer.press("space")
    kinds = ["started", "paused"]
    paused = pacer.wait_for_events(*kinds)[-1]
    shots = [pacer.projector("4-wall-wait")]
    pacer.laptop("4-desk-paused")
    for key, kind, name in (
        ("space", "went_on", "4-wall-going-on"),
        ("h", "time_hidden", "4-wall-hidden"),
        ("Up", "time_added", ""),
        ("h", "time_hidden", "4-wall-a-minute-more"),
        ("Page_Up", "undone", "4-wall-hidden-again"),
    ):
        time.sleep(0.45)  # the guard against double presses
        pacer.press(key)
        kinds.append(kind)
        pacer.wait_for_events(*kinds)
        if name:
            shots.append(pacer.projector(name))
    assert_only_the_wall(pacer, *shots)
    pacer.press("d")
    events = pacer.wait_for_events(*kinds, "moved")
    pacer.press("Home")
    pacer.wait_for_events(*kinds, "moved", "bell_rang")
    pacer.laptop("4-desk-ended")

    first, second, third, _last = log_of(pacer, 1)["phases"]
    assert [row["ending"] for row in (first, second, third)] == ["done", "bell", "skipped"]
    stopped_ms = events[2].t_ms - paused.t_ms
    assert stopped_ms > 450
    assert first["actual"] == pytest.approx((events[-1].t_ms - stopped_ms) / 1000, abs=0.5)
    assert [first["planned"], first["visits"]] == [120, 1]
    assert child.running


def log_of(pacer: PacerOnScreens, run: int) -> dict:
    """The day record as the command line tells it, while the program is still open."""
    argv = [sys.executable, "-m", "pacer", "log", str(run), "--json", "--data-dir", str(pacer.data)]
    done = subprocess.run(argv, capture_output=True, text=True, timeout=600, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    return json.loads(done.stdout)["record"]


@pytest.mark.scenario("resume after a crash")
def test_after_a_crash_return_goes_on_and_the_time_away_has_counted(pacer: PacerOnScreens) -> None:
    child, *_windows = pacer.start_lesson()
    pacer.monitors.tell("crash")
    os.kill(child.pid, signal.SIGKILL)
    pacer.monitors.tell("")
    child.wait()
    killed = time.time()
    assert pacer.window("Wall") is None
    time.sleep(2)

    pacer.start_on_today()
    pacer.wait_for_shot("5-offer", LAPTOP, has("SAND"), "the offer, which stands on sand")
    pacer.monitors.key("Return")
    pacer.wait_for_wall()
    pacer.wait_for_painted_wall("5-wall-after-crash")
    started, gap = pacer.wait_for_events("started", "gap")
    assert gap.body.cause == "closed"
    assert gap.body.gap_ms == pytest.approx(gap.utc_ms - started.utc_ms, abs=5)
    assert gap.utc_ms > killed * 1000 + 2000
    assert pacer.monitors.active_window_title() == "Pacer"
    pacer.laptop("5-desk-after-crash")
    # The picture is painted from the start and the wall clock alone: the time away is in it.
    assert_only_the_wall(pacer, pacer.projector("5-wall-after-crash"))
    # Every key is the lesson's at once, and none begins another one over it.
    pacer.press("Page_Down")
    wait_until(lambda: "moved" in [event.body.kind for event in pacer.events()], "the press to be followed")
    pacer.press("space")
    wait_until(lambda: "paused" in [event.body.kind for event in pacer.events()], "the pause")
    with DayRecords.open(pacer.data) as records:
        assert len(records.runs()) == 1


@pytest.mark.scenario("lesson: projector pulled and plugged")
def test_pulling_the_projector_draws_the_curtain_and_plugging_it_brings_the_wall_back(
    pacer: PacerOnScreens,
) -> None:
    monitors = pacer.monitors
    child, *_windows = pacer.start_lesson()
    pacer.press("Down", "Down", "Down", "Down")
    pacer.wait_for_shot("6-desk-before", LAPTOP, has("SAND"), "Borrowing on the Desk")

    monitors.unplug(PROJECTOR)
    pacer.wait_for_shot("6-curtain-unplugged", LAPTOP, is_curtain, "the curtain on the laptop")
    # The curtain comes first, and the Wall goes behind it.
    wait_until(lambda: [window.title for window in monitors.windows()] == ["Pacer"], "the Wall to go")
    # With one screen left the curtain lifts only when the teacher says that nobody else sees it.
    monitors.key("Return")
    monitors.wait_for_window("One screen")
    assert private_colours(pacer.laptop("6-question").image) <= {"CLOSING"}, "the question is not the Desk"
    monitors.key("alt+n")
    pacer.wait_for_shot("6-desk-unplugged", LAPTOP, has("SAND"), "the answer to lift the curtain")

    monitors.plug(PROJECTOR)
    plugged = time.monotonic()
    shots = []
    while True:
        shots.append(pacer.projector(f"6-replugged-{len(shots)}"))
        assert private_colours(shots[-1].image) == set()
        wall = pacer.window("Wall")
        shown = share_of(shots[-1].image, theme.PAPER) > 0.5
        if shown and wall and (wall.x, wall.y, wall.width, wall.height) == (1368, 0, *FULL):
            break
        assert time.monotonic() - plugged < PATIENCE_S, "the Wall did not come back"
    back_s = time.monotonic() - plugged
    pacer.wait_for_shot("6-curtain-replugged", LAPTOP, is_curtain, "the curtain on the laptop")
    assert_only_the_wall(pacer, pacer.projector("6-wall-back"))
    # All keys work behind the curtain, and Return lifts it.
    pacer.press("Page_Down")
    wait_until(lambda: pacer.events()[-1].body.kind in ("moved", "cued"), "the press to be followed")
    assert is_curtain(pacer.laptop("6-curtain-pressed").image)
    monitors.key("Return")
    pacer.wait_for_shot("6-desk-back", LAPTOP, has("CLOSING"), "Return to lift the curtain")
    assert_only_the_wall(pacer, pacer.projector("6-wall-review"))
    assert child.running
    print(f"from plugging to the Wall: {back_s:.2f} s")


@pytest.mark.scenario("the demo")
def test_the_demo_opens_with_invented_records_and_leaves_nothing_behind(
    pacer: PacerOnScreens, tmp_path: Path
) -> None:
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    pacer.forget_the_room()  # so does the demo
    child = pacer.start("--demo", env={"TMPDIR": str(temporary), "HOME": str(temporary)})
    window = pacer.monitors.wait_for_window("Pacer, demo: invented lessons")
    wait_until(lambda: "demo" in pacer.monitors.active_window_title(), "the keyboard to be in the demo")
    pacer.show_pages()
    pacer.laptop("7-demo-today")
    (data,) = temporary.glob("pacer-demo-data-*")
    with DayRecords.open(data) as records:
        runs = records.runs()
    assert len(runs) >= 30
    assert {run.mode for run in runs} == {"demo"}

    pacer.monitors.key("ctrl+6")
    pacer.wait_for_shot("7-demo-look-back", LAPTOP, has("OVERRUN"), "an overrun on Look back's tapes")
    pacer.monitors.key("ctrl+1", "Return")
    pacer.answer_numbers()
    pacer.wait_for_wall()
    pacer.wait_for_painted_wall("7-demo-wall")
    # The cross in the window's frame, right above its right end.
    pacer.monitors.click(window.x + window.width - 11, window.y - 10)
    assert child.wait() == 0
    assert child.err() == ""
    assert not data.exists()
    assert pacer.monitors.windows() == []
    shutil.rmtree(temporary)
