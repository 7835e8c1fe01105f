"""Every verb, under a umask that takes nothing: no file for others, no network, no private pixel."""

import json
import os
import struct
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from pacer.paths import template_folder
from tests.privacy.canaries import outline_text
from tests.privacy.watched import Watch, network_sockets
from tests.verbs.verb_factories import needs_qt

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
needs_unix = pytest.mark.skipif(sys.platform == "win32", reason="rights as on Unix")


def surroundings(home: Path) -> dict[str, str]:
    hidden = ("QT_", "PACER_", "XDG_", "DISPLAY", "WAYLAND")
    kept = {name: of for name, of in os.environ.items() if not name.startswith(hidden)}
    return kept | {"HOME": str(home), "TMPDIR": str(home), "PYTHONPATH": str(ROOT)}


@pytest.fixture(scope="module")
def seen(tmp_path_factory) -> dict[str, Any]:
    work = tmp_path_factory.mktemp("verbs")
    (work / "home").mkdir()
    command = [sys.executable, HERE / "verbs_child.py", work, template_folder() / "number-line-75.toml"]
    done = subprocess.run(
        command,
        env=surroundings(work / "home"),
        cwd=work,
        text=True,
        capture_output=True,
        check=False,
        timeout=1200,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return json.loads((work / "seen.json").read_text())


@pytest.mark.slow
@needs_unix
def test_every_verb_ends_well(seen):
    assert [line for line, code in seen["ended"].items() if code != 0] == []
    assert {"phases.csv", "lessons.csv", "day-records.sqlite3"} <= set(seen["made"])
    if seen["with_qt"]:
        assert {"card.pdf", "squares.pdf", "w.png", "d.png", "coach.pdf", "wall.png"} <= set(seen["made"])


@pytest.mark.slow
@needs_unix
def test_nothing_that_a_verb_makes_can_be_read_by_others(seen):
    assert seen["readable"] == []


@pytest.mark.slow
@needs_unix
def test_no_verb_reaches_for_a_network(seen):
    assert seen["network"] == []


@pytest.mark.slow
@needs_unix
def test_whatever_a_verb_opens_for_writing_one_module_opens(seen):
    assert set(seen["writers"]) == {"owner_only.py"}


@needs_unix
def test_the_watch_sees_a_socket_that_is_opened_bound_or_asked_for():
    """In a process of its own: what listens can't be taken away again."""
    program = (
        "import socket\nfrom tests.privacy.watched import Watch, network_sockets\nwatch = Watch()\n"
        "one = socket.socket()\none.bind(('127.0.0.1', 0))\none.listen()\n"
        "socket.getaddrinfo('127.0.0.1', 80)\nwatch.look_at_sockets()\n"
        "two = socket.socket(socket.AF_UNIX)\nprint(*watch.network, sep='\\n')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], env=surroundings(Path.home()), cwd=ROOT, text=True,
        capture_output=True, check=True, timeout=600,
    )  # fmt: skip
    said = done.stdout.splitlines()
    assert [line.split()[0] for line in said[:3]] == ["socket.__new__", "socket.bind", "socket.getaddrinfo"]
    assert said[3:] == (["a socket of tcp"] if sys.platform == "linux" else [])
    assert network_sockets() == []
    assert Watch is not None


def chunks(png: bytes) -> list[str]:
    """The kinds of chunks of a PNG (ISO/IEC 15948): text would stand in one of its own."""
    found, at = [], 8
    while at < len(png):
        (length,) = struct.unpack(">I", png[at : at + 4])
        found.append(png[at + 4 : at + 8].decode("ascii"))
        at += 12 + length
    return found


@pytest.mark.slow
@needs_qt
def test_two_outlines_that_differ_in_what_is_private_alone_paint_the_same_wall(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    one = outline_text()
    other = one
    for kind in ("subject", "unit", "table", "id", "notes"):
        other = other.replace(f"canary-{kind}", f"another-and-longer-{kind}")
    for later in range(3, 7):
        other = other.replace(f"title-{later}", f"a-later-title-{later}").replace(
            f"line-{later}", f"later-{later}"
        )
    assert one != other
    public = one.replace("canary-line-1", "another line")
    outlines = {"one.toml": one, "a-longer-name-of-a-file.toml": other, "three.toml": public}
    for name, text in outlines.items():
        Path(name).write_text(text)
    for at in ("2:50",):
        painted = [wall_of(name, at) for name in outlines]
        assert painted[0] == painted[1]
        assert painted[0] != painted[2], "a word for the class is seen"
        assert set(chunks(painted[0])) <= {"IHDR", "pHYs", "sRGB", "gAMA", "IDAT", "IEND"}


def wall_of(outline: str, at: str) -> bytes:
    """The picture of the Wall at a moment of a lesson."""
    wall = f"{outline}-{at.replace(':', '-')}.png"
    command = [sys.executable, "-m", "pacer", "picture", outline, "--at", at, "--wall", wall]
    command += ["--size", "640x360"]
    subprocess.run(command, env=surroundings(Path()), check=True, timeout=600, capture_output=True)
    return Path(wall).read_bytes()
