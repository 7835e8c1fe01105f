"""A thread that outlives the program tells nobody anything: what it would tell is being taken apart."""

import subprocess
import sys

# Runs in a child. What is registered first runs last, so this late word comes when the end has begun.
LATE = """
import atexit, threading
from PySide6.QtCore import QObject, Qt, Signal

class Home(QObject):
    told = Signal(str)

home = Home()
home.told.connect(print, Qt.ConnectionType.DirectConnection)

def tell(word):
    thread = threading.Thread(target=tell_main, args=(home.told, word))
    thread.run()

atexit.register(tell, "late")
from pacer.qt.kit.threads import tell_main
tell("in time")
"""


def test_what_a_thread_tells_is_heard_until_the_program_ends_and_then_no_more():
    done = subprocess.run([sys.executable, "-c", LATE], capture_output=True, text=True, check=True)
    assert (done.stdout, done.stderr) == ("in time\n", "")
