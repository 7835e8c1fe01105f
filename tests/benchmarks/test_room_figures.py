"""What a room asks of the windows: the curtain's first frame, the strip's delay, a large Wall in time.

Milliseconds are those of the machine the tests run on, so each stands beside a ratio to something bare that
was measured in the same run.
"""

import json
import os
import subprocess
import sys
from pathlib import Path
from statistics import median

import pytest

from tests.benchmarks.side_by_side import slower

CHILD = Path(__file__).with_name("measured_room.py")
LAPTOP, PROJECTOR, LARGE = (1366, 768), (1920, 1080), (3840, 2160)
COUNT = 60
BARE_S = 0.004  # what filling 3840 by 2160 pixels and drawing five digits takes, measured


@pytest.fixture
def child(tmp_path):
    """Run a measured child on a laptop and a second screen of a size."""
    pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

    def run(what: str, *arguments: object, second=PROJECTOR) -> dict:
        setup = tmp_path / "screens.json"
        places = ((0, LAPTOP), (LAPTOP[0], second))
        setup.write_text(json.dumps({"screens": [
            {"name": f"screen {x}", "x": x, "y": 0, "width": width, "height": height,
             "logicalDpi": 96, "logicalBaseDpi": 96, "dpr": 1}
            for x, (width, height) in places
        ]}))  # fmt: skip
        environment = {
            **os.environ, "QT_QPA_PLATFORM": f"offscreen:configfile={setup}", "HOME": str(tmp_path),
        }  # fmt: skip
        done = subprocess.run(
            [sys.executable, CHILD, what, str(tmp_path / "data"), *map(str, arguments)],
            env=environment, capture_output=True, text=True, timeout=180, check=False,
        )  # fmt: skip
        lines = done.stdout.strip().splitlines()
        assert lines, f"{what} said nothing: {done.stderr[-2000:]}"
        found = json.loads(lines[-1])
        assert "fault" not in found, found["fault"]
        return found

    return run


@pytest.mark.parametrize("squares", [2, 20, 60])
def test_a_wall_of_3840_by_2160_is_painted_in_16_ms_and_one_second_in_3(child, squares, record_property):
    """Four times a widget that only fills itself and draws the digits, and a tenth of it for one second.

    Of the seconds one in fifteen takes a fourth of a square as well; each step of its fade counts, too. The
    quickest of three takes counts: what else the machine does only ever adds time.
    """
    takes = [child("wall", squares, COUNT, second=LARGE) for _ in range(3)]
    for take in takes:
        assert take["size"] == list(LARGE)
        assert len(take["whole"]) == len(take["seconds"]) == COUNT
        assert len(take["fades"]) >= 3 * (COUNT // 15)
    found = min(takes, key=lambda take: median(take["whole"]))
    whole, bare, second, fade = (median(found[name]) for name in ("whole", "bare", "seconds", "fades"))
    report(
        record_property, squares=squares, whole_ms=whole * 1000, bare_ms=bare * 1000, ratio=whole / bare,
        second_ms=second * 1000, slowest_second_ms=max(found["seconds"]) * 1000, fade_step_ms=fade * 1000,
    )  # fmt: skip
    assert whole <= 4 * bare
    assert max(second, fade) <= 0.1 * whole
    # Where the bare widget alone takes longer than on an ordinary laptop, everything may, in proportion.
    slack = max(1.0, bare / BARE_S)
    assert whole <= 0.016 * slack
    assert max(second, fade) <= 0.003 * slack


def test_the_strip_is_painted_within_100_ms_of_its_key(child, record_property):
    """Shown where the last large change of the Wall is long enough ago not to be a flash with this one."""
    took = child("strips", 20)["took"]
    report(record_property, median_ms=median(took) * 1000, most_ms=max(took) * 1000)
    assert len(took) == 20
    assert max(took) <= 0.100 * slower()


def test_the_first_private_frame_after_a_screen_change_is_the_curtain(child, record_property):
    """Also when a frame of the Desk was about to be painted."""
    found = child("screen-changes", 20)
    report(
        record_property, frames=max(found["frames"]), median_ms=median(found["took"]) * 1000,
        most_ms=max(found["took"]) * 1000,
    )  # fmt: skip
    assert found["frames"] == [1] * 20


def report(record_property, **figures: float) -> None:
    """Keep figures with the test's result and print them."""
    for name, value in figures.items():
        record_property(name, value)
    print("  ".join(f"{name}={value:.4g}" for name, value in figures.items()))
