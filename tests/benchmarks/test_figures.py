"""The figures Pacer holds itself to: ratios in one run against a bare label window, and delays in a lesson.

``PACER_BENCHMARK_SECONDS`` sets how long the steady measurements last: 120 for the figures that are
reported, 15 when nothing is said.
"""

import json
import os
import subprocess
import sys
import time
from pathlib import Path
from statistics import median

import pytest

from tests.benchmarks.side_by_side import slower

CHILD = Path(__file__).with_name("measured_child.py")
SECONDS = float(os.environ.get("PACER_BENCHMARK_SECONDS", "15"))


def screens(*sizes: tuple[int, int]) -> str:
    """Qt's offscreen configuration for screens side by side."""
    x, made = 0, []
    for number, (width, height) in enumerate(sizes):
        place = {"name": f"screen {number}", "x": x, "y": 0, "width": width, "height": height}
        made.append({**place, "logicalDpi": 96, "logicalBaseDpi": 96, "dpr": 1})
        x += width
    return json.dumps({"screens": made})


@pytest.fixture
def child(tmp_path):
    """Run a measured child on offscreen screens, a laptop's and a projector's unless others are named.

    ``data`` names its data folder, in the test's own.
    """
    pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)

    def run(what: str, *arguments: object, sizes=((1366, 768), (1920, 1080)), data="data") -> dict:
        setup = tmp_path / "screens.json"
        setup.write_text(screens(*sizes))
        environment = {
            **os.environ,
            "QT_QPA_PLATFORM": f"offscreen:configfile={setup}",
            "HOME": str(tmp_path),
        }
        # Compiled modules are kept, as in any installed program, also where the machine says otherwise.
        environment.pop("PYTHONDONTWRITEBYTECODE", None)
        environment["PYTHONPYCACHEPREFIX"] = str(tmp_path / "compiled")
        begun = time.monotonic()
        done = subprocess.run(
            [sys.executable, CHILD, what, str(tmp_path / data), *map(str, arguments)],
            env=environment, capture_output=True, text=True, timeout=SECONDS * 3 + 120, check=False,
        )  # fmt: skip
        lines = done.stdout.strip().splitlines()
        assert lines, f"{what} said nothing: {done.stderr[-2000:]}"
        found = json.loads(lines[-1])
        assert "fault" not in found, found["fault"]
        return {**found, "begun": begun}

    return run


def percentile(values: list[float], share: float) -> float:
    """The value that this share of all values does not exceed (nearest rank)."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, max(0, -(-int(len(ordered) * share * 1000) // 1000) - 1))]


@pytest.fixture
def busy_cores():
    """Keep every core busy while a test runs."""
    busy = [subprocess.Popen([sys.executable, "-c", "while True: pass"]) for _ in range(os.cpu_count() or 2)]
    yield
    for process in busy:
        process.kill()
        process.wait()


@pytest.mark.parametrize(
    ("screens_there", "most"),
    [
        # Three is aimed at; the quickest of seven starts differs by a tenth between machines.
        (((1366, 768),), 3.5),
        # Nobody has told who sees which: what covers the pages must be there before the first pixel.
        (((1366, 768), (1920, 1080)), 3.5),
    ],
    ids=["a laptop", "two screens"],
)
def test_the_window_is_painted_within_a_few_times_a_bare_label(child, record_property, screens_there, most):
    """The quickest of seven starts of each, by turns: what else the machine does only ever adds time."""
    bare, pacer = [], []
    for _ in range(7):
        for what, times in (("bare-start", bare), ("pacer-start", pacer)):
            found = child(what, sizes=screens_there)
            times.append(found["first_paint"] - found["begun"])
    ratio = min(pacer) / min(bare)
    report(record_property, "start ratio", ratio, "bare s", min(bare), "pacer s", min(pacer))
    assert ratio <= most


def test_the_wall_counts_with_at_most_twice_the_processor_of_a_label(child, record_property):
    """Full screen at 1920×1080, with one screen, where only the Wall may be drawn.

    It is a matter of ten milliseconds in 15 s, so where one take says more, the medians of three count. The
    fade of a fourth every 15 s, six small repaints, comes on top: it is measured apart, with its own bound.
    """
    one = ((1920, 1080),)

    def take(*arguments: str) -> float:
        return child("pacer-counting", SECONDS, *arguments, sizes=one)["cpu"]

    def bare_take() -> float:
        return child("bare-counting", SECONDS, sizes=one)["cpu"]

    pairs = [(bare_take(), take("wall only", "no fades"))]
    if pairs[0][1] > 2 * pairs[0][0]:
        pairs += [(bare_take(), take("wall only", "no fades")) for _take in range(2)]
    bare, still = (median(one) for one in zip(*pairs, strict=True))
    fading = take("wall only")
    report(record_property, "Wall ratio", still / bare, "with fades", fading / bare, "bare s", bare)
    assert still / bare <= 2
    assert fading / bare <= 3


def test_wall_and_desk_count_with_the_processor_of_a_few_labels_and_120_mib(child, record_property):
    """Both windows change once a second here, where the label is one: the ratio is reported, with a bound.

    Beside it stands what two labels take, one on each of the same screens. As above, where one take says
    more than the bound, the medians of three count. Each is the first lesson of its folder: where there are
    past ones, what foretells from them is loaded, too.
    """

    def take(number: int) -> tuple[dict, dict]:
        return child("bare-counting", SECONDS), child("pacer-counting", SECONDS, data=f"take-{number}")

    takes = [take(1)]
    if takes[0][1]["cpu"] > 3 * takes[0][0]["cpu"]:
        takes += [take(2), take(3)]
    bare, pacer = (median(one["cpu"] for one in side) for side in zip(*takes, strict=True))
    ratio, memory = pacer / bare, max(shown["rss_mib"] for _bare, shown in takes)
    two = child("bare-counting", SECONDS, "all screens")["cpu"]
    report(record_property, "Wall and Desk ratio", ratio, "of two labels", two / bare, "memory MiB", memory)
    assert memory <= 120
    assert ratio <= 3


def test_wall_and_desk_wake_the_machine_at_most_three_times_a_second_more_than_a_label(
    child, record_property
):
    """Each window that Qt paints costs it a wait of its own; Pacer's one look a second serves both.

    All threads together. What else the machine does only adds waits: the best of three counts.
    """
    for _take in range(3):
        woken = [child(what, SECONDS)["wakeups"] for what in ("bare-counting", "pacer-counting")]
        bare, pacer = (sum(threads.values()) for threads in woken)
        report(record_property, "wake-ups a second", pacer, "of a label", bare, "ratio", pacer / bare)
        if pacer <= bare + 3:
            break
    assert pacer <= bare + 3, woken


def test_a_lesson_grows_by_the_pictures_of_its_digits_and_then_no_more(child, record_property):
    """Digits are drawn once a size and kept, 3 MiB on a projector; legs after the mini lesson have their own.

    What a label grows by is Qt's. A press every four minutes is past the last leg after 52.
    """
    minutes, mini, settled = 62, 20, 54
    bare, pacer = child("bare-minutes", minutes)["rss_mib"], child("pacer-minutes", minutes)["rss_mib"]
    grown, label, whole = pacer[mini] - pacer[0], bare[mini] - bare[0], pacer[settled] - pacer[0]
    later = pacer[-1] - pacer[settled]
    report(record_property, "MiB in 20 min", grown, "label", label, "ratio", pacer[mini] / bare[mini])
    report(record_property, "MiB in the block", whole, "after that", later)
    assert grown <= label + 6
    assert whole <= label + 9
    assert later <= 0.5
    assert pacer[mini] <= 3 * bare[mini]


@pytest.mark.parametrize("load", ["idle", "busy"])
def test_a_second_is_shown_within_30_ms_and_never_early(child, load, request, record_property):
    """Never early, in no take; within 30 ms in the best of three: the rest of the machine only adds time."""
    if load == "busy":
        request.getfixturevalue("busy_cores")
    for _take in range(3):
        late = child("pacer-seconds", SECONDS)["late"]
        most = percentile(late, 0.99)
        report(record_property, f"{load}: late ms p99", most * 1000, "most", max(late) * 1000,
               "least", min(late) * 1000, "seconds", len(late))  # fmt: skip
        assert len(late) >= SECONDS - 2
        assert min(late) >= 0
        if most <= 0.030 * slower():
            break
    assert most <= 0.030 * slower()


def test_a_press_is_on_disk_and_on_the_wall_within_50_ms(child, record_property):
    """Of sixty presses the slowest counts. What else the machine writes only adds time: the best of three."""
    for _take in range(3):
        took = child("pacer-presses", max(60, SECONDS * 2))["took"]
        late, usual = percentile(took, 0.99), percentile(took, 0.5)
        report(record_property, "press ms p99", late * 1000, "median", usual * 1000)
        if late <= 0.050 * slower():
            break
    assert late <= 0.050 * slower()


def report(record_property, *pairs: object) -> None:
    """Keep a figure with the test's result and print it."""
    for name, value in zip(pairs[::2], pairs[1::2], strict=True):
        record_property(str(name), value)
    print("  ".join(f"{name}={value:.4g}" for name, value in zip(pairs[::2], pairs[1::2], strict=True)))
