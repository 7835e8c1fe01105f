"""Where compiled modules are forbidden, this run keeps its own, in a folder that goes with it.

A run starts some hundred interpreters: compiling everything anew in each of them would be most of its work.
"""

import atexit
import os
import shutil
import sys
import tempfile

if sys.dont_write_bytecode:
    folder = tempfile.mkdtemp(prefix="pacer-compiled-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    sys.pycache_prefix, sys.dont_write_bytecode = folder, False
    # Workers and the programs that tests start inherit these.
    os.environ["PYTHONPYCACHEPREFIX"] = folder
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
