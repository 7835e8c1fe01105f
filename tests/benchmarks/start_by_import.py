"""Prints what a start is spent on: milliseconds of processor time and MiB of each import, the largest first.

``python tests/benchmarks/start_by_import.py [ROWS] [TAKES]``, from the project's folder: 40 rows and three
takes when nothing is said. Each take is a start of the windows in an interpreter of its own, up to the first
paint on one pretended screen; of each module the take that cost least counts. A row is what the module itself
took, without what it imported; Qt's classes are made where they are first imported by name. What is left over
is Qt's work and our own after the imports.
"""

import importlib.abc
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
PAGE_MIB = os.sysconf("SC_PAGE_SIZE") / 2**20 if hasattr(os, "sysconf") else 0.0


def spent() -> tuple[float, float]:
    """Milliseconds of processor time of this thread, and MiB of memory in use (0 where that is not told)."""
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
    except OSError:
        pages = 0
    return time.thread_time() * 1000, pages * PAGE_MIB


class Timed(importlib.abc.MetaPathFinder):
    """Finds modules as Python does, and measures how each is loaded."""

    def __init__(self) -> None:
        self.own: dict[str, tuple[float, float]] = {}
        self._inside: list[list[float]] = []

    def find_spec(self, name, path=None, target=None):
        for finder in sys.meta_path:
            spec = None if finder is self else finder.find_spec(name, path, target)
            if spec is not None:
                if hasattr(spec.loader, "exec_module"):
                    spec.loader = _TimedLoader(spec.loader, self)
                return spec
        return None

    def measure(self, name: str, load):
        """Load, and keep what that took beyond what was imported meanwhile."""
        begin = spent()
        self._inside.append([0.0, 0.0])
        try:
            return load()
        finally:
            whole = [now - then for now, then in zip(spent(), begin, strict=True)]
            inside, known = self._inside.pop(), self.own.get(name, (0.0, 0.0))
            self.own[name] = tuple(k + w - i for k, w, i in zip(known, whole, inside, strict=True))
            if self._inside:
                self._inside[-1] = [up + w for up, w in zip(self._inside[-1], whole, strict=True)]


class _TimedLoader:
    def __init__(self, loader, timed: Timed) -> None:
        self._loader, self._timed = loader, timed

    def __getattr__(self, name: str):
        return getattr(self._loader, name)

    def create_module(self, spec):
        return self._timed.measure(spec.name, lambda: self._loader.create_module(spec))

    def exec_module(self, module) -> None:
        module.__spec__.loader = module.__loader__ = self._loader
        self._timed.measure(module.__name__, lambda: self._loader.exec_module(module))


def start(folder: str) -> None:
    """One take: prints what each module took, and the whole, as JSON."""
    timed = Timed()
    sys.meta_path.insert(0, timed)
    sys.path.insert(0, str(ROOT))
    import pacer.__main__

    pacer.__main__.without_needless_work()
    from pacer.qt import app, start

    def probed(program, show=app.Program.show) -> None:
        from tests.benchmarks.measured_child import _PaintProbe

        def painted() -> None:
            whole = spent()
            print(json.dumps({"own": timed.own, "whole": whole}), flush=True)
            os._exit(0)

        _PaintProbe(program.window, painted)
        show(program)

    app.Program.show = probed
    start.run_app(Path(folder), demo=False)


def take(folder: Path) -> dict:
    """A start in an interpreter of its own; its compiled modules are kept for the next."""
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    environment |= {"QT_QPA_PLATFORM": "offscreen", "PYTHONPYCACHEPREFIX": str(folder / "compiled")}
    done = subprocess.run(
        [sys.executable, __file__, "--start", str(folder / "data")],
        env=environment, capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    if not done.stdout:
        sys.exit(f"the start said nothing: {done.stderr[-2000:]}")
    return json.loads(done.stdout.splitlines()[-1])


def table(takes: list[dict], rows: int) -> str:
    """The least of each module over the takes, the largest first, and the sums."""
    least: dict[str, list[float]] = {}
    for one in takes:
        for name, own in one["own"].items():
            least[name] = [min(pair) for pair in zip(own, least.get(name, own), strict=True)]
    whole = min(takes, key=lambda one: one["whole"][0])["whole"]
    imports = [sum(column) for column in zip(*least.values(), strict=True)]
    ordered = sorted(least.items(), key=lambda item: -item[1][0])
    lines = [
        (*whole, "the whole start, with Python itself"),
        (*imports, f"all {len(least)} imports"),
        *((*own, name) for name, own in ordered[:rows]),
    ]
    return "\n".join([f"{'ms':>8} {'MiB':>7}", *(f"{ms:8.1f} {mib:7.2f}  {name}" for ms, mib, name in lines)])


if __name__ == "__main__":
    if sys.argv[1:2] == ["--start"]:
        start(sys.argv[2])
    rows, count = (*map(int, sys.argv[1:]), *(40, 3)[len(sys.argv) - 1 :])
    with tempfile.TemporaryDirectory() as kept:
        take(Path(kept))  # the first one compiles
        print(table([take(Path(kept)) for _ in range(count)], rows))
