"""Files that are far too much, each within a second of the processor and 300 MiB, in a process of its own."""

import os
import subprocess
import sys

import pytest

BOUNDS = """
import random
from datetime import UTC
from tests.inputs.watched import once
from tests.plan.taken.file_factories import calendar, docx, old_office, paragraph, raw_workbook, zipped
from pacer.plan.taken.read_file import text_in
from pacer.plan.taken.taken import NotTakenError

row = '<row r="{n}"><c r="A{n}" t="str"><v>Warm-up</v></c><c r="B{n}"><v>5</v></c></row>'
tick = "DTSTART:20261130T090000\\r\\nRRULE:FREQ=SECONDLY\\r\\nSUMMARY:Tick"
many = " ".join(f"a{n}" for n in range(300_000))
files = {
    "locked": old_office("EncryptedPackage"),
    "broken": docx(paragraph("Warm-up"))[:-40],
    "bomb": zipped({"word/document.xml": b" " * 200_000_000}),
    "rows": raw_workbook("".join(row.format(n=n) for n in range(1, 100_001))),
    "painted": raw_workbook("".join(f'<row r="{n}">' + '<c s="0"/>' * 59 + "</row>" for n in range(1, 999))),
    "paste": b"Warm-up 5\\n" * 5_000_000,
    "by the second": calendar(tick),
    "runs": docx("<w:p>" + "<w:r><w:t>a</w:t></w:r>" * 44_000 + "</w:p>"),
    "words": b"{\\\\rtf1 " + b"\\\\strike a" * 48_000 + b"}",
    "attributes": f"<html><p {many}>Warm-up 5".encode(),
    "tags": b"<html>" + b"<p>a" * 79_000,
}

def read(data):
    try:
        text_in(data, "named")
    except NotTakenError as error:
        assert str(error)
        return "refused"
    return "read"

for name, data in files.items():
    outcome = once(lambda: read(data))
    print(name, outcome.what, f"{outcome.cpu_s:.2f} s {outcome.mib:.0f} MiB", outcome.why, sep=", ")
"""


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="cases run in forked processes")
def test_each_of_them_is_read_or_refused_within_the_bounds() -> None:
    done = subprocess.run([sys.executable, "-c", BOUNDS], capture_output=True, text=True, timeout=600)
    outcomes = [line.split(", ")[1] for line in done.stdout.splitlines()]
    assert len(outcomes) == 11, done.stderr
    assert set(outcomes) <= {"read", "refused"}, done.stdout
