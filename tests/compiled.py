"""Where compiled modules are forbidden beside their sources, the tests keep their own in one hidden folder.

A run starts some hundred interpreters: compiling everything anew in each of them would be most of its work.
"""

import os
import sys
from pathlib import Path

if sys.dont_write_bytecode:
    folder = str(Path(__file__).parents[1] / ".compiled")
    sys.pycache_prefix, sys.dont_write_bytecode = folder, False
    # Workers and the programs that tests start inherit these.
    os.environ["PYTHONPYCACHEPREFIX"] = folder
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
