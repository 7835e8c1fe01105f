"""Takes a picture of every window, always the same ones: ``python tests/pictures/render.py FOLDER``.

Names of jobs after the folder (``pages-960x540``) take those alone.
"""

import json
import os
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

HERE = Path(__file__).resolve().parent
WALLS = ("1366x768", "1920x1080", "960x540", "1024x768")
TOUCHED = ("1366x768", "1920x1080", "960x540")
PAGES = ("1366x768", "960x540")
LIBRARIES = ("1366x768", "1920x1080", "960x540", "3840x2160")
CARDS = ("480x320", "320x240", "320x480", "800x480", "1280x800")
# Each is taken by a process of its own: its scenes, the size of both screens, or of the Desk card's.
JOBS = (
    *(("lesson", size) for size in WALLS), *(("one_screen", size) for size in WALLS),
    *(("second_half", size) for size in WALLS), *(("signs", size) for size in WALLS),
    *(("touched", size) for size in TOUCHED),
    *(("new", size) for size in WALLS), *(("desk_card", size) for size in CARDS),
    *(("pages", size) for size in PAGES), *(("library", size) for size in LIBRARIES),
    *(("taken", size) for size in (*TOUCHED, "3840x2160")),
    ("today", "1920x1080"), ("mirrored", "1366x768"), ("mirrored", "960x540"), ("paper", "1366x768"),
    *(("week", size) for size in (*TOUCHED, "3840x2160")),
)  # fmt: skip
LONGEST_S = 600  # of a job on a busy machine
WORK = Path(tempfile.gettempdir()) / "pacer-pictures"  # always the same: pages show where files are


def surroundings(scene: str, size: str, work: Path) -> dict[str, str]:
    """What a process may know of its surroundings: the same on every machine."""
    ledge, size = size, "1366x768" if scene == "desk_card" else size
    wide, _by, high = size.partition("x")
    one = {"x": 0, "y": 0, "width": int(wide), "height": int(high)}
    two = one | {"x": 0 if scene == "mirrored" else int(wide)}
    if scene == "pages":  # of two screens that differ by nothing Pacer would ask each time
        two |= {"width": 1920, "height": 1080}
    names = {"Laptop": one} if scene == "one_screen" else {"Laptop": one, "Projector": two}
    if scene == "desk_card":
        beside, _by, high = ledge.partition("x")
        two |= {"width": 1920, "height": 1080}
        names = {"Laptop": one, "Projector": two}
        names["Ledge"] = {"x": 1366 + 1920, "y": 0, "width": int(beside), "height": int(high)}
    dots = {"logicalDpi": 96, "logicalBaseDpi": 96, "dpr": 1}
    screens = [{"name": name, **place, **dots} for name, place in names.items()]
    table = {"synchronousWindowSystemEvents": True, "windowFrameMargins": False, "screens": screens}
    (work / "screens.json").write_text(json.dumps(table))
    kept = {name: of for name, of in os.environ.items() if not name.startswith(("QT_", "PACER_", "XDG_"))}
    return kept | {
        "QT_QPA_PLATFORM": f"offscreen:configfile={work / 'screens.json'}",
        "TZ": "UTC",
        "LC_ALL": "C.UTF-8",
        "LANGUAGE": "en",
        "HOME": str(work),
        "PYTHONHASHSEED": "0",
        "PYTHONPATH": str(HERE.parents[1]),
        "PYTHONDONTWRITEBYTECODE": "1",
    }


def run(job: tuple[str, str], out: Path) -> str:
    """Take the pictures of a job. Returns what went wrong."""
    scene, size = job
    work = WORK / f"{scene}-{size}"
    shutil.rmtree(work, ignore_errors=True)
    work.mkdir(parents=True)
    said = ""
    # What a lesson left behind is seen by the next start of the program.
    for part in (scene, "again") if scene == "new" else (scene,):
        done = subprocess.run(
            [sys.executable, HERE / "scenes.py", part, size, str(out)],
            env=surroundings(scene, size, work), cwd=work, text=True, capture_output=True, check=False,
            timeout=LONGEST_S,
        )  # fmt: skip
        said += f"{part} {size}: {done.stdout}{done.stderr}\n" if done.returncode else ""
    return said


def main(arguments: list[str]) -> int:
    """Fill the folder. 1: some pictures could not be taken."""
    out = Path(arguments[0]).resolve()
    out.mkdir(parents=True, exist_ok=True)
    if not arguments[1:]:
        for old in out.glob("*.png"):  # none may stand for one that can't be taken now
            old.unlink()
    wanted = [job for job in JOBS if not arguments[1:] or "-".join(job) in arguments[1:]]
    WORK.mkdir(exist_ok=True)
    lock = WORK / "in-use"
    try:
        lock.mkdir()
    except FileExistsError:
        print(f"Pictures are being taken already. If not, remove {lock}", file=sys.stderr)
        return 1
    try:
        with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
            faults = list(filter(None, pool.map(lambda job: run(job, out), wanted)))
    finally:
        lock.rmdir()
    print(*faults, f"{len(list(out.glob('*.png')))} pictures are in {out}", sep="\n")
    return int(bool(faults))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
