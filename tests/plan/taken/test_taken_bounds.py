"""Files that are far too much, each within a second of the processor and 300 MiB, in a process of its own."""

import os
import subprocess
import sys

import pytest

BOUNDS = """
import random
from datetime import UTC
from tests.inputs.watched import once
from tests.plan.taken.file_factories import (
    NUMBERING, calendar, docx, odf, old_office, paragraph, raw_workbook, zipped,
)
from pacer.plan.taken.read_file import text_in
from pacer.plan.taken.taken import NotTakenError

row = '<row r="{n}"><c r="A{n}" t="str"><v>Warm-up</v></c><c r="B{n}"><v>5</v></c></row>'
tick = "DTSTART:20261130T090000\\r\\nRRULE:FREQ=SECONDLY\\r\\nSUMMARY:Tick"
many = " ".join(f"a{n}" for n in range(300_000))
wide = ('<table:table-cell table:number-columns-repeated="40"><text:p>' + "ab " * 320_000
        + "</text:p></table:table-cell>")
form = ('<styleSheet><numFmts><numFmt numFmtId="200" formatCode="' + "[$" * 50_000
        + '"/></numFmts><cellXfs><xf numFmtId="200"/><xf numFmtId="200"/></cellXfs></styleSheet>')
numbering = NUMBERING.replace("%1.", "%1" * 1_000_000).replace("decimal", "upperRoman")
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
    "one text in many cells": raw_workbook(
        "".join("<row>" + '<c t="s"><v>0</v></c>' * 20 + "</row>" for _n in range(1900)),
        {"xl/sharedStrings.xml": "<sst><si><t>" + "ab " * 3_000_000 + "</t></si></sst>"},
    ),
    "form of a number": raw_workbook("", {"xl/styles.xml": form}),
    "many sheets": raw_workbook('<row><c t="s"/></row>' * 30_000, sheets=30),
    "wide cells": odf("<office:spreadsheet><table:table><table:table-row>" + wide * 11
                      + "</table:table-row></table:table></office:spreadsheet>"),
    "wide and high": ("<html><table><tr>" + "<td colspan=40 rowspan=40>" * 30_000 + "</tr>"
                      + "<tr><td>x" * 40).encode(),
    "number of a list": docx(paragraph("x", number=1) * 1900, {"word/numbering.xml": numbering}),
    "row of values": ("table.csv", b"," * 999_000 + b"x"),
}

def read(data):
    name, data = data if isinstance(data, tuple) else ("named", data)
    try:
        text_in(data, name)
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
    assert len(outcomes) == 18, done.stderr
    assert set(outcomes) <= {"read", "refused"}, done.stdout
