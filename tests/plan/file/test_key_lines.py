"""A wrong value is told at the line where it stands, for every key of an outline, however it is written."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from pacer.plan.file.key_lines import key_lines, line_of
from pacer.plan.file.model import (
    BlockTable,
    BurstTable,
    GroupTable,
    OutlineTable,
    PhaseTable,
    StationTable,
)
from pacer.plan.file.reader import read_outline, read_text
from pacer.plan.outline import Outline

WRONG = "1979-05-27"  # no key of an outline takes it
Write = Callable[[dict], str]

HEAD = {
    "format": "1",
    "title": '"Thirds = [ { # on a line"',
    "subject": '"Math"',
    "unit": '"Fractions"',
    "table_list": '"""\n[[phase]]\nbudget = 3\n"""',
}
BLOCK = {
    "minutes": "75", "mini_lesson": '"25"', "move": '"2"', "groups": "3", "swap": '"90 s"', "clean_up": "1",
    "share": "5", "share_floor": '"3"', "visit_floor": '"8"', "order": '["Star", "Circle", "Hexagon"]',
    "share_prompt": '"What is [[group]] a third of?"',
    "move_words": '"Folder, [block]"',
    "move_picture": '"folder = #1.png"',
}  # fmt: skip
NAMES = ("Circle", "Star", "Hexagon")
GROUP = {"place": '"red # rug"', "picture": '"rug.png"'}
STATION = {"words": '"Read [to] = {self}"', "picture": '"read.png"', "teacher": "true"}
PHASE = {
    "id": '"a"', "title": '"Look at [this] = {that}"', "kind": '"modeling"', "budget": '"3"', "floor": '"2"',
    "cap": '"4"', "cap_group": '"mine"', "cut_tier": "1", "movable": '"table"', "talk": '"class"',
    "examples": "1", "class_line": "'''a [b] = 'c' '''", "second_line": "'x # y'",
    "notes": '"""one\n\\""" = [\n"""',
    "wall": '"strip"', "problem": '"1/3 + 1/3 = ?"', "attach": '"line.png"', "page": "1",
}  # fmt: skip
BURST = {"length": '"0:30"', "prompt": '"Tell your partner ]"'}


def tables(path: tuple[str | int, ...] = ()) -> dict:
    """An outline with every key in two phases, four bursts, three groups and stations; wrong at a path."""
    phases = [PHASE | {"burst": [dict(BURST), dict(BURST)]} for _n in range(2)]
    phases[1] |= {"id": '"b"'}
    groups = [{"name": f'"{name}"'} | GROUP for name in NAMES]
    stations = [{"name": f'"Place {n}"'} | STATION | {"teacher": str(n == 1).lower()} for n in range(3)]
    whole: dict = HEAD | {"block": dict(BLOCK), "group": groups, "station": stations, "phase": phases}
    if path:
        at = whole
        for step in path[:-1]:
            at = at[step]
        at[path[-1]] = WRONG
    return whole


def rows(table: dict, form: str = "{key} = {value}") -> Iterator[str]:
    for key, value in table.items():
        if isinstance(value, str):
            yield form.format(key=key, value=value)


def headed_like(phase: str, name: str) -> str:
    """The heading of another list, written as that of phases is."""
    escaped = f"\\u{ord(name[0]):04x}{name[1:]}"
    return phase.replace("\\u0070hase", escaped).replace("phase", name)


def headed(whole: dict, form: str = "{key} = {value}", block: str = "[block]", phase: str = "[[phase]]",
           burst: str = "[[phase.burst]]") -> str:  # fmt: skip
    lines = list(rows(whole, form))
    if isinstance(whole["block"], dict):
        lines += [block, *rows(whole["block"], form)]
    for name in ("group", "station"):
        for one in whole[name] if isinstance(whole.get(name), list) else ():
            lines += [headed_like(phase, name), *rows(one, form)]
    for one in whole["phase"] if isinstance(whole["phase"], list) else ():
        lines += [phase, *rows(one, form)]
        for inner in one["burst"] if isinstance(one["burst"], list) else ():
            lines += [burst, *rows(inner, form)]
    return "\n".join(lines) + "\n"


def dotted(whole: dict) -> str:
    block = [f"block . {key} = {value}" for key, value in whole["block"].items()]
    return "\n".join([*rows(whole), *block]) + "\n" + headed(whole | dict.fromkeys(HEAD) | {"block": None})


def inline(whole: dict, between: str = ", ", inside: str = " ") -> str:
    """Tables in braces, which hold no line end of their own; arrays may."""

    def braced(table: dict) -> str:
        pairs = [f"{key} = {value}" for key, value in table.items() if isinstance(value, str)]
        if "burst" in table and isinstance(table["burst"], list):
            pairs.append(f"burst = [{inside}{between.join(map(braced, table['burst']))}{inside}]")
        return "{ " + ", ".join(pairs) + " }"

    lists = [
        f"{name} = [{inside}{between.join(map(braced, whole[name]))}{inside}]"
        for name in ("group", "station", "phase")
    ]
    return "\n".join([*rows(whole), f"block = {braced(whole['block'])}", *lists]) + "\n"


STYLES: dict[str, Write] = {
    "headers": headed,
    "comments and blank lines between": lambda of: headed(
        of, "# budget = 3 [[phase]] {{\n\n{key} = {value}  # \"\"\" ''' [", "\n[block] # [[phase]]\n",
        "\n[[phase]]# x\n", "\n# [[phase]]\n[[phase.burst]] # y",
    ),
    "tabs and blanks": lambda of: headed(
        of, "\t{key}\t=\t{value}\t", " [\tblock\t]\t", "\t[[ phase ]] ", "[[ phase\t.  burst ]]"
    ),
    "quoted keys": lambda of: headed(of, '"{key}" = {value}', "['block']", '[["phase"]]',
                                     "[['phase'.\"burst\"]]"),
    "keys with escapes": lambda of: headed(of, '"{key}" = {value}', '["bl\\u006fck"]', '[["\\u0070hase"]]',
                                           '[[phase."bur\\u0073t"]]'),
    "line ends of Windows": lambda of: headed(of).replace("\n", "\r\n"),
    "a byte order mark": lambda of: "\ufeff" + headed(of),
    "dotted keys": dotted,
    "inline tables": inline,
    "arrays over several lines": lambda of: inline(of, ",\n  ", "\n"),
    "comments in arrays": lambda of: inline(of, ", # ] } [\n\n# {\n", " # [[phase]]\n"),
}  # fmt: skip

PATHS: list[tuple[str | int, ...]] = [
    *((key,) for key in HEAD),
    *(("block", key) for key in BLOCK),
    *(("group", n, key) for n in range(3) for key in ("name", *GROUP)),
    *(("station", n, key) for n in range(3) for key in ("name", *STATION)),
    *(("phase", n, key) for n in range(2) for key in PHASE),
    *(("phase", n, "burst", m, key) for n in range(2) for m in range(2) for key in BURST),
]


def test_the_keys_tried_here_are_all_that_an_outline_has() -> None:
    for model, keys in (
        (OutlineTable, {*HEAD, "block", "group", "station", "phase"}), (BlockTable, {*BLOCK}),
        (PhaseTable, {*PHASE, "burst"}),
        (BurstTable, {*BURST}), (GroupTable, {"name", *GROUP}), (StationTable, {"name", *STATION}),
    ):  # fmt: skip
        assert set(model.model_fields) == keys


@pytest.mark.parametrize("style", STYLES)
def test_an_outline_written_in_any_of_these_ways_is_read(style: str) -> None:
    assert isinstance(read_text(STYLES[style](tables()), "o.toml"), Outline)


@pytest.mark.slow
@pytest.mark.parametrize("style", STYLES)
def test_a_wrong_value_at_any_key_is_told_at_its_line(style: str) -> None:
    astray = []
    for path in PATHS:
        text = STYLES[style](tables(path))
        assert text.count(WRONG) == 1
        stands_at = text[: text.index(WRONG)].count("\n") + 1
        found = read_text(text, "o.toml")
        assert isinstance(found, list), path
        if [problem.line for problem in found] != [stands_at]:
            astray.append((path, stands_at, [str(problem) for problem in found]))
    assert astray == []


@pytest.mark.parametrize("path", [("block",), ("group",), ("station",), ("phase",), ("phase", 1, "burst")])
def test_a_table_that_is_none_is_told_at_its_line(path: tuple[str | int, ...]) -> None:
    text = headed(tables(path))
    found = read_text(text, "o.toml")
    assert isinstance(found, list)
    assert text[: text.index(WRONG)].count("\n") + 1 in [problem.line for problem in found]


def test_an_entry_that_is_no_table_is_told_at_its_own_line() -> None:
    text = 'format = 1\ntitle = "T"\nphase = [\n  { title = "A", budget = 3 },\n\n  4,\n]\n'
    found = read_text(text, "o.toml")
    assert isinstance(found, list)
    assert [problem.line for problem in found] == [6]


@pytest.mark.parametrize("key", ["title", "budget"])
@pytest.mark.parametrize("style", ["headers", "arrays over several lines"])
def test_a_key_that_is_missing_is_told_at_the_table_that_lacks_it(style: str, key: str) -> None:
    whole = tables()
    del whole["phase"][1][key]
    text = STYLES[style](whole)
    second = (
        text.index("[[phase]]\n", text.rindex("[[phase]]\n"))
        if style == "headers"
        else text.index('id = "b"')
    )
    found = read_text(text, "o.toml")
    assert isinstance(found, list)
    assert [problem.line for problem in found] == [text[:second].count("\n") + 1]


def test_a_path_that_is_not_written_has_the_line_of_the_table_around_it() -> None:
    lines = key_lines('format = 1\n[block]\nminutes = 75\n[[phase]]\ntitle = "A"\n')
    assert line_of(lines, ("block", "share")) == 2
    assert line_of(lines, ("phase", 0, "budget")) == 4
    assert line_of(lines, ("phase", 7, "budget")) == 4
    assert line_of(lines, ("nothing",)) == 1


def test_the_lines_of_a_file_read_from_disk_are_those_an_editor_shows(tmp_path: Path) -> None:
    path = tmp_path / "windows.toml"
    path.write_bytes(headed(tables(("phase", 1, "wall"))).replace("\n", "\r\n").encode("utf-8-sig"))
    found = read_outline(path)
    assert isinstance(found, list)
    text = path.read_text("utf-8-sig")
    assert [problem.line for problem in found] == [text[: text.index(WRONG)].count("\n") + 1]
