"""Tables as text: by RFC 4180, with cells that no spreadsheet runs, and each comes back as it was."""

import csv
import io
import json

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.log.export.files import as_it_was, csv_bytes, harmless, json_bytes
from pacer.log.export.tables import ExportTable

# Cells that spreadsheets run: the list is common practice, from memory.
RUN_AS_FORMULA = [
    "=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\rx", "\tx", " =1", '"=1', "'=1", "\u00a0-1", "\ufeff=1",
    '" \'=1', "\uff1d1", "\n=1",
]  # fmt: skip
SIGNS = set("=+-@\t\r\uff1d\uff0b\uff0d\uff20")


def read_back(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8"), newline=""), strict=True))


@pytest.mark.parametrize("text", RUN_AS_FORMULA)
def test_a_text_that_a_spreadsheet_would_run_begins_with_an_apostrophe_and_comes_back(text):
    assert harmless(text).startswith("'")
    assert as_it_was(harmless(text)) == text


@pytest.mark.parametrize(
    "text", ["", "Thirds", "3-4", "a = b", "'twas", "5", "'", '"so"', "1; 2", "a\nb", "½"]
)
def test_other_texts_stay_as_they_are(text):
    assert harmless(text) == text
    assert as_it_was(text) == text


@pytest.mark.parametrize("sign", [";", "\t", "\r", "\n"])
def test_where_cells_are_parted_at_another_sign_no_part_is_run_either(sign):
    made = harmless(f"a{sign} =cmd")
    assert made == f"a{sign}' =cmd"
    assert as_it_was(made) == f"a{sign} =cmd"


likely = st.lists(st.sampled_from([*SIGNS, "'", '"', " ", ";", ",", "\n", "a", "1", "\u00a0", "\ufeff"]))


texts = likely.map("".join) | st.text(st.characters(exclude_categories=["Cs"]))


@given(texts)
def test_making_harmless_can_be_undone_and_leaves_no_cell_that_runs(text):
    made = harmless(text)
    assert as_it_was(made) == text
    # An independent look: what is left of any part once blanks and quotes are off must not begin with a sign,
    # unless an apostrophe comes first.
    for part in [made, *pd.Series([made]).str.split(r"[;\t\r\n]", regex=True)[0]]:
        bare = part.strip(
            "\u200b\ufeff\x00" + "".join(chr(c) for c in range(0x3001) if chr(c).isspace()) + "\"'"
        )
        if bare[:1] in SIGNS - {"\t", "\r"}:
            assert part.startswith("'")
    assert made[:1] not in SIGNS


cells = st.none() | st.booleans() | st.integers(-(2**63), 2**63 - 1) | texts


cells |= st.floats(allow_nan=False, allow_infinity=False)


@given(st.lists(st.tuples(cells, cells, cells), max_size=8))
def test_a_table_reads_back_from_csv_as_it_was(rows):
    """RFC 4180: lines end in CR LF, quotes are doubled, every row has as many cells as the heading."""
    table = ExportTable("odd", ("one", "two", "three"), tuple(rows))
    data = csv_bytes(table)
    assert data.startswith(b"one,two,three\r\n")
    assert data.endswith(b"\r\n")
    found = read_back(data)
    assert found[0] == ["one", "two", "three"]
    assert len(found) == 1 + len(rows)
    for row, cells_read in zip(rows, found[1:], strict=True):
        for value, cell in zip(row, cells_read, strict=True):
            if isinstance(value, str):
                assert as_it_was(cell) == value
            elif value is None:
                assert cell == ""
            elif isinstance(value, bool):
                assert cell == str(value).lower()
            else:
                # A number is the very number, with no apostrophe: -5 is no formula.
                assert type(value)(cell) == value
    assert json.loads(json_bytes([table]))["tables"]["odd"] == [
        {"one": one, "two": two, "three": three} for one, two, three in rows
    ]
