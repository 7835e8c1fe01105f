"""What a start loads and leaves out, in an interpreter of its own."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

START = """
import gc, json, linecache, sys
from pacer.__main__ import without_needless_work
without_needless_work()
off = not gc.isenabled()
import pacer.qt.start
print(json.dumps({"modules": sorted(sys.modules), "read": len(linecache.cache), "off": off}))
"""
COVERED = """
import json, sys
from pathlib import Path
from pacer.__main__ import without_needless_work
without_needless_work()
from PySide6 import QtCore, QtGui, QtWidgets
from PySide6.QtWidgets import QApplication
import pacer.qt.start
from pacer.qt import app
from pacer.qt.screens.curtain import Curtain

def style_name():
    return QApplication.style().objectName()

class Told(Curtain):
    def paintEvent(self, event):
        super().paintEvent(event)
        told = {"modules": sorted(sys.modules), "shown": self.window().shows_curtain}
        made = sorted({**vars(QtCore), **vars(QtGui), **vars(QtWidgets)})
        print(json.dumps({**told, "made": made, "style": style_name()}), flush=True)
        QApplication.exit()

import pacer.qt.screens.first_cover as first_cover
first_cover.Curtain = Told
pacer.qt.start.run_app(Path(sys.argv[1]), demo=False)
"""
PLUGINS = """
import json
from pacer.__main__ import without_needless_work
without_needless_work()
from pydantic.plugin import _loader
none = list(_loader.get_plugins())
print(json.dumps({"plugins": none, "more": _loader.PYDANTIC_ENTRY_POINT_GROUP}))
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


SCREENS = Path(__file__).with_name("screens.json")


def told_by(program: str, *arguments: object, platform: str = "offscreen") -> dict:
    done = subprocess.run(
        [sys.executable, "-c", program, *map(str, arguments)],
        capture_output=True, text=True, timeout=600, check=True,
        env={**os.environ, "QT_QPA_PLATFORM": platform},
    )  # fmt: skip
    return json.loads(done.stdout.splitlines()[0])


@pytest.fixture(scope="module")
def start() -> dict:
    return told_by(START)


def test_the_first_page_is_imported_without_anything_of_a_lesson(start):
    late = [
        f"pacer.{name}" for name in ("run.state", "run.session", "pace.cut", "frames.desk", "frames.wall")
    ]
    late += [*(f"pacer.qt.{room}" for room in ("lesson", "desk", "wall")), "numpy", "psutil", "wakepy"]
    late += ["pacer.run.events"]  # the models of events alone are a tenth of what there is to import
    assert "pacer.qt.today.page" in start["modules"]
    assert [name for name in late if name in start["modules"]] == []


def test_a_start_imports_nothing_for_day_records_that_are_damaged_or_due_for_a_copy(start):
    late = ["pacer.log.salvage", "pacer.log.pages", "pacer.log.backups"]
    assert "pacer.log.day_records" in start["modules"]
    assert [name for name in late if name in start["modules"]] == []


def test_a_start_imports_nothing_for_mistakes_in_files_and_for_pages_that_are_not_shown(start):
    late = [f"pacer.plan.file.{name}" for name in ("problem_words", "toml_words", "key_lines")]
    late += [f"pacer.log.{name}" for name in ("accepted", "after_school", "imported", "kept_days", "trash")]
    late += ["difflib"]
    assert "pacer.plan.file.reader" in start["modules"]
    assert [name for name in late if name in start["modules"]] == []


def test_a_start_imports_neither_e_mail_nor_sockets_nor_what_reads_the_metadata_of_packages(start):
    """pydantic's plugins, which are off, would want these, and Python's rotating log files."""
    late = ["email", "socket", "pickle", "importlib.metadata", "logging.handlers"]
    assert "pydantic" in start["modules"]
    assert [name for name in late if name in start["modules"]] == []


def test_what_stands_in_for_the_loader_of_plugins_gives_way_where_anything_else_is_asked_of_it():
    assert told_by(PLUGINS) == {"plugins": [], "more": "pydantic"}


def test_no_loader_of_a_pydantic_that_was_not_looked_into_is_replaced():
    """Its next one may be asked for something else; that this one's is replaced the tests above say."""
    newer = PLUGINS.replace(
        "import json\n", "import json, pydantic.version\npydantic.version.VERSION = '2.99.0'\n"
    )
    newer = newer.replace("none = ", "assert _loader.__file__\nnone = ")
    assert told_by(newer) == {"plugins": [], "more": "pydantic"}


def test_the_curtain_of_several_screens_is_painted_before_anything_of_a_lesson_is_imported(covered):
    assert covered["shown"]
    late = ["pacer.run.events", "pacer.frames.wall", *(f"pacer.qt.{room}" for room in ("lesson", "wall"))]
    assert [name for name in late if name in covered["modules"]] == []


@pytest.fixture(scope="module")
def covered(tmp_path_factory) -> dict:
    """What there is at the first frame of the curtain on two screens."""
    folder = tmp_path_factory.mktemp("data")
    return told_by(COVERED, folder, platform=f"offscreen:configfile={SCREENS.as_posix()}")


def test_of_qt_a_start_makes_neither_the_classes_it_has_no_use_for_nor_the_names_that_go_with_a_style(
    covered,
):
    """A watch over all events, which meets widgets that are half made, has the binding make every class."""
    assert covered["style"] == "fusion"
    assert "QApplication" in covered["made"]
    unused = ["QDial", "QMdiArea", "QStyle", "QFileDialog", "QStandardPaths", "QDesktopServices"]
    assert [name for name in unused if name in covered["made"]] == []


def test_no_source_is_read_by_the_binding_of_qt_while_a_start_imports(start):
    """All of it would be kept: 12 MiB in a lesson. A few that come before Qt's may be."""
    assert start["read"] < 20


def test_no_garbage_is_collected_until_a_start_has_settled_and_no_thread_is_at_work(start):
    assert start["off"]
    settled = told_by(SETTLED)
    assert not settled["at work"]
    assert settled["after"]
    assert settled["left alone"] > 1000
