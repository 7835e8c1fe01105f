"""CSV by RFC 4180: rows in many valid spellings, and rows broken at a known line."""

import random

from pacer.log.imported import ImportedEnding
from pacer.plan.kinds import KINDS
from pacer.plan.problems import Problem
from pacer.review.import_csv import COLUMNS, ENDINGS, read_bytes
from tests.faults.slices import Work
from tests.inputs.reader import NAME, must_be_plain, must_equal
from tests.inputs.toml_rules import by_rules
from tests.inputs.watched import RoundTripError

PHASES = ("warm-up", "a, b", 'the "half"', "=1+1", "é", "数", "; no", "a b", "-", "#")


def _table(chance: random.Random) -> tuple[list[str], list[dict[str, str]]]:
    columns = list(COLUMNS)
    chance.shuffle(columns)
    rows = [
        {
            "date": f"2026-0{chance.randrange(1, 10)}-1{chance.randrange(10)}",
            "phase": chance.choice(PHASES),
            "kind": chance.choice(list(KINDS)),
            "planned_s": str(chance.randrange(1, 3600)),
            "actual_s": chance.choice(("90", "187.5", "1", "3600")),
            "ending": chance.choice(ENDINGS),
        }
        for _n in range(chance.randrange(1, 6))
    ]
    for row in rows:
        row["actual_s"] = chance.choice(("0", "")) if row["ending"] == "skipped" else row["actual_s"]
    return columns, rows


def _cell(chance: random.Random, text: str) -> str:
    """2.5 to 2.7: any field may stand in quotes; one with a comma or a quote must, the quote doubled."""
    if chance.random() < 0.3 or any(sign in text for sign in ',"\r\n'):
        return '"' + text.replace('"', '""') + '"'
    return text


def _lines(chance: random.Random, columns: list[str], rows: list[dict[str, str]]) -> list[str]:
    heading = ",".join(_cell(chance, column) for column in columns)
    return [heading, *(",".join(_cell(chance, row[column]) for column in columns) for row in rows)]


def _valid(chance: random.Random) -> str:
    columns, rows = _table(chance)
    end = chance.choice(("\r\n", "\r\n", "\n"))
    text = end.join(_lines(chance, columns, rows)) + chance.choice(
        ("", end)
    )  # 2.2: the last may lack its end
    wanted = [
        ImportedEnding(row["date"], row["phase"], row["kind"], float(row["planned_s"]),
                       float(row["actual_s"] or 0), row["ending"])  # type: ignore[arg-type]
        for row in rows
    ]  # fmt: skip
    must_equal(wanted, read_bytes(chance.choice((b"", b"\xef\xbb\xbf")) + text.encode(), NAME), repr(text))
    return "read"


def _broken(chance: random.Random) -> str:
    columns, rows = _table(chance)
    lines = _lines(chance, columns, rows)
    at = chance.randrange(1, len(lines))
    plain = ",".join(rows[at - 1][column].replace(",", "").replace('"', "") for column in columns)
    lines[at] = chance.choice((
        f"{plain},more", plain.rpartition(",")[0], f'"{plain}', f'"a"b{plain}', f'"a" {plain}',
        plain.replace("2026-", "26-"),
        ",".join("" for _column in columns[:-1]) + ",x",
    ))  # fmt: skip
    read = read_bytes("\r\n".join(lines).encode(), NAME)
    problems = [row for row in read if isinstance(row, Problem)]
    if not problems:
        raise RoundTripError(f"taken: {lines[at]!r}")
    for problem in problems:
        must_be_plain(str(problem))
    if problems[0].line != at + 1:
        raise RoundTripError(f"told at line {problems[0].line}, not {at + 1}: {lines!r}")
    return "refused"


def works(seed: int, tries: int) -> list[Work]:
    """Try so many valid and so many broken tables."""
    return [
        by_rules("CSV (RFC 4180), valid", _valid, seed, tries),
        by_rules("CSV (RFC 4180), broken", _broken, seed, tries),
    ]
