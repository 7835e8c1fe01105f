"""What a start loads and leaves out, in an interpreter of its own."""

import json
import os
import subprocess
import sys

import pytest

START = """
import gc, json, linecache, sys
from pacer.__main__ import without_needless_work
without_needless_work()
off = not gc.isenabled()
import pacer.qt.start
print(json.dumps({"modules": sorted(sys.modules), "read": len(linecache.cache), "off": off}))
"""
SETTLED = """
import gc, json
from pacer.__main__ import without_needless_work
without_needless_work()
from PySide6.QtCore import QCoreApplication
from pacer.qt.kit.collecting import collecting
application = QCoreApplication([])
collecting().put_off()
collecting().settle()
at_work = gc.isenabled()
collecting().go_on()
application.processEvents()
print(json.dumps({"at work": at_work, "after": gc.isenabled(), "left alone": gc.get_freeze_count()}))
"""


def told_by(program: str) -> dict:
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, timeout=120, check=True,
        env={**os.environ, "QT_QPA_PLATFORM": "offscreen"},
    )  # fmt: skip
    return json.loads(done.stdout)


@pytest.fixture(scope="module")
def start() -> dict:
    return told_by(START)


def test_the_first_page_is_imported_without_anything_of_a_lesson(start):
    late = [
        f"pacer.{name}" for name in ("run.state", "run.session", "pace.cut", "frames.desk", "frames.wall")
    ]
    late += [*(f"pacer.qt.{room}" for room in ("lesson", "desk", "wall")), "numpy", "psutil", "wakepy"]
    assert "pacer.qt.today.page" in start["modules"]
    assert [name for name in late if name in start["modules"]] == []


def test_no_source_is_read_by_the_binding_of_qt_while_a_start_imports(start):
    """All of it would be kept: 12 MiB in a lesson. A few that come before Qt's may be."""
    assert start["read"] < 20


def test_no_garbage_is_collected_until_a_start_has_settled_and_no_thread_is_at_work(start):
    assert start["off"]
    settled = told_by(SETTLED)
    assert not settled["at work"]
    assert settled["after"]
    assert settled["left alone"] > 1000
