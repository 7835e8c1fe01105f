"""What a teacher takes from elsewhere names things on the network: none is asked for, nothing is written."""

import json
import subprocess
import sys
from pathlib import Path

from tests.privacy.test_verbs import surroundings

ROOT = Path(__file__).parents[2]
PROGRAM = """
import json
from tests.privacy.watched import Watch
from tests.plan.taken.file_factories import docx, odf, paragraph, raw_workbook
from pacer.plan.taken.read_file import text_in
from pacer.plan.taken.taken import NotTakenError

away = "http://192.0.2.1/part"
relation = f'<Relationships><Relationship Id="r1" TargetMode="External" Target="{away}"/></Relationships>'
files = {
    "a.docx": docx(
        paragraph("Warm-up 5"), {"word/_rels/document.xml.rels": relation, "word/vbaProject.bin": b"x"}
    ),
    "b.docx": docx(paragraph("Warm-up 5"), head=f'<!DOCTYPE a SYSTEM "{away}">'),
    "c.docx": docx(paragraph("Warm-up 5"), head=f'<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]>'),
    "a.odt": odf(f'<office:text><text:p>Warm-up 5<draw:image href="{away}"/></text:p></office:text>'),
    "a.xlsx": raw_workbook('<row><c t="str"><f>WEBSERVICE(1)</f><v>Warm-up 5</v></c></row>'),
    "a.html": f"<html><link href={away}><img src={away}><script src={away}></script>"
    f"<iframe src={away}></iframe><base href={away}><p>Warm-up 5".encode(),
    "a.rtf": b"{\\\\rtf1{\\\\field{\\\\*\\\\fldinst INCLUDETEXT"
    b" \\"http://192.0.2.1\\"}{\\\\fldrslt Warm-up 5}}}",
}
watch, said = Watch(), {}
for name, data in files.items():
    try:
        said[name] = text_in(data, name).text
    except NotTakenError as error:
        said[name] = error.what
watch.look_at_sockets()
print(json.dumps({"said": said, "network": watch.network, "writers": watch.writers}))
"""


def test_documents_with_remote_parts_macros_and_entities_fetch_nothing_and_write_nothing():
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], env=surroundings(Path.home()), cwd=ROOT, text=True,
        capture_output=True, check=False, timeout=600,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    seen = json.loads(done.stdout)
    assert (seen["network"], seen["writers"]) == ([], {})
    refused = {name for name, text in seen["said"].items() if text != "Warm-up 5"}
    assert refused == {"b.docx", "c.docx"}
    assert "root:" not in done.stdout
