"""The installed PySide6 itself: calls that return nothing must leave the interpreter's None alone."""

import json
import subprocess
import sys

import pytest

# In a child process: where the fault is there, the interpreter aborts once None's count reaches zero.
CHILD = """
import ctypes, json, sys
from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QApplication, QLabel, QWidget

TIMES = 200

class Emitter(QObject):
    happened = Signal(object)

application = QApplication(["child"])
label, timer, emitter = QLabel(), QTimer(), Emitter()
image = QImage(8, 8, QImage.Format.Format_RGB32)
painter = QPainter(image)
emitter.happened.connect(lambda _value: None)
calls = {
    "setText": lambda: label.setText("x"),
    "update": label.update,
    "setVisible": lambda: label.setVisible(False),
    "setAccessibleDescription": lambda: label.setAccessibleDescription("x"),
    "timer stop": timer.stop,
    "emit": lambda: emitter.happened.emit(None),
    "fill": lambda: image.fill(0),
    "save and restore": lambda: (painter.save(), painter.restore()),
    "fillRect": lambda: painter.fillRect(0, 0, 4, 4, QColor("#000000")),
    "processEvents": application.processEvents,
    # The control: a call that does give back what it never took. It must be seen, or nothing would be.
    "control": lambda: ctypes.pythonapi.Py_DecRef(ctypes.py_object(None)),
}
ctypes.pythonapi.Py_DecRef.argtypes = [ctypes.py_object]
ctypes.pythonapi.Py_DecRef.restype = ctypes.c_int
lost = {}
for name, call in calls.items():
    for _warm in range(3):
        call()
    before = sys.getrefcount(None)
    for _time in range(TIMES):
        call()
    lost[name] = before - sys.getrefcount(None)
painter.end()
print(json.dumps(lost))
"""


@pytest.mark.skipif(sys.version_info >= (3, 12), reason="from Python 3.12 on None is never counted")
def test_calls_that_return_nothing_leave_none_s_reference_count_alone():
    """PySide6 6.12.0 lost one a call on Python 3.11; after some thousand calls the interpreter aborted."""
    child = subprocess.run(
        [sys.executable, "-c", CHILD], capture_output=True, text=True, timeout=6000, check=False
    )
    assert child.returncode == 0, child.stderr
    lost = json.loads(child.stdout.splitlines()[-1])
    assert lost.pop("control") >= 190
    assert {name: count for name, count in lost.items() if abs(count) > 20} == {}
    assert len(lost) == 10
