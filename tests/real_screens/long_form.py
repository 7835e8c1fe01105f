"""Every scenario on two real monitors, repeated and varied, and a table of what the class saw.

``python tests/real_screens/long_form.py --times 3`` ends with 1 if anything private was seen, read or lost.
Debian: what `.ci/packages` lists, and tesseract-ocr, which reads the photographs.
"""

import argparse
import os
import shutil
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def main() -> int:
    """Run pytest on this folder; its exit code."""
    parser = argparse.ArgumentParser(description="All scenarios on two real monitors, with a table.")
    parser.add_argument("--times", type=int, default=3, help="so many times each (3)")
    parser.add_argument("--only", default="", help="scenarios' tests by pytest's -k")
    parser.add_argument("--no-curtain", action="store_true",
                        help="take the curtain out of the program, to see the table fail")  # fmt: skip
    given = parser.parse_args()
    if not shutil.which("tesseract"):
        print("No photograph is read: install the Debian package tesseract-ocr.", file=sys.stderr)
        return 2
    if given.no_curtain:
        from tests.real_screens.pacer_on_screens import NO_CURTAIN

        os.environ[NO_CURTAIN] = "1"
    os.environ["PACER_SCREENS_TIMES"] = os.environ.get("PACER_SCREENS_TIMES", "4")
    return pytest.main(
        [str(Path(__file__).parent), "--rootdir", str(ROOT), "--long", "--table", f"--times={given.times}",
         "-q", "-p", "no:cacheprovider", *(["-k", given.only] if given.only else [])]
    )  # fmt: skip


if __name__ == "__main__":
    os.chdir(ROOT)
    sys.path[0] = str(ROOT)
    sys.exit(main())
