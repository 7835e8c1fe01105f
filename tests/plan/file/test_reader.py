"""Outline files that are right: what is written is kept, and what is not written has a sensible default."""

import tomllib
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.file.model import MAX_PHASES, json_schema
from pacer.plan.file.reader import read_bytes, read_outline, read_text
from pacer.plan.findings import impossible
from pacer.plan.kinds import KINDS
from pacer.plan.outline import Outline, neutral_names

GOOD = 'format = 1\ntitle = "T"\n[[phase]]\ntitle = "A"\nbudget = "3"\n'
SCHEMA = jsonschema.Draft202012Validator(json_schema())


def read(text: str | bytes) -> Outline:
    outline = read_text(text, "o.toml") if isinstance(text, str) else read_bytes(text, "o.toml")
    assert isinstance(outline, Outline), outline
    return outline


def test_title_and_budget_are_enough_and_everything_else_has_a_default() -> None:
    outline = read(GOOD)
    phase = outline.phases[0]
    assert (outline.title, outline.subject, outline.mini_lesson_s, outline.caps_s) == ("T", "", 180, {})
    assert (phase.id, phase.kind, phase.budget_s, phase.floor_s) == ("a", "other", 180, 90)
    assert (phase.movable, phase.cap_s, phase.cap_group, phase.wall) == (None, None, None, None)
    assert phase.bursts == ()
    block = outline.block
    assert (block.length_s, block.groups, block.share_s) == (75 * 60, 3, 300)


def test_everything_that_is_written_is_kept() -> None:
    outline = read(
        'format = 1\ntitle = "Thirds"\nsubject = "mathematics"\n[block]\nminutes = 60\nmini_lesson = "20"\n'
        'move = "90 s"\ngroups = 4\nswap = "PT1M"\nclean_up = 2\nshare = "4:30"\n'
        'share_floor = "3"\nvisit_floor = 6\norder = ["Star", "Circle"]\nshare_prompt = "I found ____ ."\n'
        'move_words = "Folder, pencil"\nmove_picture = "folder.png"\n'
        '[[group]]\nname = "Circle"\nplace = "carpet"\npicture = "circle.png"\n[[group]]\nname = "Star"\n'
        '[[station]]\nname = "Our table"\nwords = "with me"\npicture = "table.png"\nteacher = true\n'
        '[[phase]]\nid = "r"\ntitle = "Review"\nkind = "review"\nbudget = "3"\nfloor = "1:30"\ncap = "4"\n'
        'cap_group = "reviewing"\n'
        'cut_tier = 4\nmovable = "tomorrow"\ntalk = "quiet"\nexamples = 3\nclass_line = "One problem"\n'
        'second_line = "Un problema"\nnotes = """two\nlines"""\nwall = "strip"\n'
        'problem = "1/3 + 1/3 = ?"\nattach = "line.pdf"\npage = 2\n'
        '[[phase.burst]]\nlength = "0:20"\nprompt = "I see ____ ."\n[[phase.burst]]\n'
    )
    assert outline.block.model_dump() == {
        "length_s": 3600, "move_s": 90, "groups": 4, "swap_s": 60, "clean_up_s": 120, "share_s": 270,
        "share_floor_s": 180, "visit_floor_s": 360, "order": ("Star", "Circle"),
    }  # fmt: skip
    assert outline.share_prompt == "I found ____ ."
    assert (outline.move_words, outline.move_picture) == ("Folder, pencil", "folder.png")
    assert [group.model_dump() for group in outline.groups] == [
        {"name": "Circle", "place": "carpet", "picture": "circle.png"},
        {"name": "Star", "place": "", "picture": ""},
    ]
    assert [station.model_dump() for station in outline.stations] == [
        {"name": "Our table", "words": "with me", "picture": "table.png", "teacher": True}
    ]
    assert outline.mini_lesson_s == 1200
    assert outline.caps_s == {"reviewing": 240}
    assert outline.phases[0].model_dump() == {
        "id": "r", "title": "Review", "kind": "review", "budget_s": 180, "floor_s": 90, "cut_tier": 4,
        "cap_s": None, "cap_group": "reviewing", "movable": "tomorrow", "talk": "quiet", "examples": 3,
        "class_line": "One problem", "second_line": "Un problema", "notes": "two\nlines", "wall": "strip",
        "problem": "1/3 + 1/3 = ?", "attach": "line.pdf", "page": 2,
        "bursts": ({"length_s": 20, "prompt": "I see ____ ."}, {"length_s": 30, "prompt": ""}),
    }  # fmt: skip


@pytest.mark.parametrize("name", sorted(KINDS))
def test_a_kind_gives_floor_tier_talk_and_examples_to_a_phase_that_says_nothing(name: str) -> None:
    kind = KINDS[name]
    phase = read(GOOD + f'kind = "{name}"\n').phases[0]
    assert phase.floor_s == int(180 * kind.floor)
    assert (phase.cut_tier, phase.talk, phase.examples) == (kind.cut_tier, kind.talk, kind.examples)


def test_warm_up_and_review_share_a_cap_of_five_minutes() -> None:
    """Common practice, no source."""
    outline = read(GOOD + 'kind = "warm-up"\n[[phase]]\ntitle = "B"\nkind = "review"\nbudget = 3\n')
    assert [phase.cap_group for phase in outline.phases] == ["reviewing", "reviewing"]
    assert outline.caps_s == {"reviewing": 300}


def test_caps_may_be_alone_shared_smaller_or_none() -> None:
    alone = read(GOOD + 'cap = "4"\n')
    assert (alone.phases[0].cap_s, alone.phases[0].cap_group, alone.caps_s) == (240, None, {})
    for first, second in (("4", "3"), ("3", "4")):
        shared = read(
            f'{GOOD}cap_group = "talk"\ncap = "{first}"\n[[phase]]\ntitle = "B"\nbudget = 1\n'
            f'cap_group = "talk"\ncap = "{second}"\n'
        )
        assert shared.caps_s == {"talk": 180}
        assert [(phase.cap_s, phase.cap_group) for phase in shared.phases] == [(None, "talk")] * 2
    none = read(GOOD + 'kind = "review"\ncap_group = "none"\n')
    assert (none.phases[0].cap_s, none.phases[0].cap_group, none.caps_s) == (None, None, {})


def test_a_cap_without_a_group_is_the_phases_own_and_its_kinds_group_keeps_five_minutes() -> None:
    rest = '[[phase]]\ntitle = "B"\nkind = "review"\nbudget = 3\n'
    own = read(GOOD + 'kind = "warm-up"\ncap = "2"\n' + rest)
    assert [(phase.cap_s, phase.cap_group) for phase in own.phases] == [
        (120, "reviewing"),
        (None, "reviewing"),
    ]
    assert own.caps_s == {"reviewing": 300}
    for group in ("none", ""):
        left = read(GOOD + f'kind = "warm-up"\ncap = "2"\ncap_group = "{group}"\n' + rest)
        assert [(p.cap_s, p.cap_group) for p in left.phases] == [(120, None), (None, "reviewing")]
        assert left.caps_s == {"reviewing": 300}
    groups = read(GOOD + 'kind = "warm-up"\ncap = "2"\ncap_group = "reviewing"\n' + rest)
    assert [phase.cap_s for phase in groups.phases] == [None, None]
    assert groups.caps_s == {"reviewing": 120}


def test_ids_that_are_not_written_come_from_the_titles_and_never_clash() -> None:
    titles = ["Look back", "Look back!", "¿Qué?", "看", "\u200babc", "Look back"]
    text = "format = 1\ntitle = 'T'\n" + "".join(f'[[phase]]\ntitle = "{t}"\nbudget = 1\n' for t in titles)
    ids = [phase.id for phase in read(text + 'id = "look-back-2"\n').phases]
    assert ids == ["look-back", "look-back-3", "que", "phase-4", "abc", "look-back-2"]


def test_a_phase_is_found_by_its_id_or_by_its_number() -> None:
    outline = read(GOOD + '[[phase]]\ntitle = "B"\nbudget = 1\n')
    assert [outline.index_of(name) for name in ("a", "b", "1", "2")] == [0, 1, 0, 1]
    assert [outline.index_of(name) for name in ("0", "3", "-1", "²", "", "c")] == [None] * 6


def test_moves_groups_and_share_come_after_the_mini_lesson_and_end_with_the_block() -> None:
    rows = "".join(
        f'[[phase]]\ntitle = "{kind}"\nkind = "{kind}"\nbudget = 5\n' for kind in ("move", "group", "share")
    )
    outline = read(GOOD + rows)
    assert outline.mini_count == 1
    assert (outline.span(0), outline.span(2)) == (range(1), range(1, 4))
    assert [outline.span_end_s(i) for i in range(4)] == [180] + [75 * 60 - 60] * 3


def test_groups_leave_room_for_a_share_that_is_not_written_as_a_phase() -> None:
    block = 'format = 1\ntitle = "T"\n[block]\nminutes = 60\nclean_up = 2\nshare = "4:30"\n'
    phases = '[[phase]]\ntitle = "A"\nbudget = 3\n[[phase]]\ntitle = "G"\nkind = "group"\nbudget = 9\n'
    without = read(block + phases)
    assert [without.span_end_s(i) for i in range(2)] == [180, (60 - 2) * 60 - 270]
    written = read(block + phases + '[[phase]]\ntitle = "S"\nkind = "share"\nbudget = 1\n')
    assert [written.span_end_s(i) for i in range(3)] == [180, 58 * 60, 58 * 60]


def test_bom_and_windows_line_ends_make_no_difference() -> None:
    plain = read(GOOD)
    assert read(b"\xef\xbb\xbf" + GOOD.encode()) == plain
    assert read(GOOD.replace("\n", "\r\n").encode()) == plain
    assert read("\ufeff" + GOOD) == plain


@pytest.mark.parametrize(
    "title",
    [
        "<b>bold</b> & <script>alert(1)</script>",
        "كسور على خط الأعداد",
        "שברים",
        "e\u0301t\u0300e\u0308",
        "👩‍🏫 thirds",
        "½ + ⅓",
        "%s {title} \\\\",
    ],
)
def test_text_in_any_script_or_with_markup_is_kept_letter_for_letter(title: str) -> None:
    assert read(GOOD.replace('"A"', f'"{title}"')).phases[0].title == title.replace("\\\\", "\\")


def test_the_longest_lines_that_are_allowed_are_read() -> None:
    text = GOOD.replace('"A"', f'"{"a" * 120}"') + f'class_line = "{"b" * 300}"\nnotes = "{"c" * 5000}"\n'
    phase = read(text).phases[0]
    assert (len(phase.title), len(phase.class_line), len(phase.notes)) == (120, 300, 5000)


def test_the_most_phases_that_are_allowed_are_read() -> None:
    row = '[[phase]]\ntitle = "B"\nbudget = "1"\n'
    assert len(read(GOOD + row * (MAX_PHASES - 1)).phases) == MAX_PHASES


def test_every_template_loads_and_fits_its_mini_lesson(templates: list[Path]) -> None:
    assert len(templates) >= 7
    for path in templates:
        outline = read_outline(path)
        assert isinstance(outline, Outline), outline
        budgets = sum(phase.budget_s for phase in outline.phases[: outline.mini_count])
        assert budgets <= outline.mini_lesson_s, path.name
        assert all(0 < phase.floor_s <= phase.budget_s for phase in outline.phases), path.name
        assert "invented" in path.read_text(encoding="utf-8").lower(), path.name


def test_every_template_has_its_second_half(templates: list[Path]) -> None:
    for path in templates:
        outline = read_outline(path)
        assert isinstance(outline, Outline)
        assert outline.has_second_half
        assert len(outline.groups) == outline.block.groups == len(outline.stations)
        assert sum(station.teacher for station in outline.stations) == 1
        assert all(1 <= len(station.words.replace(",", "").split()) <= 2 for station in outline.stations)
        assert {group.name for group in outline.groups} <= set(neutral_names())
        assert outline.share_prompt
        assert outline.table_list
        assert not impossible(outline)


def test_the_templates_cover_the_usual_blocks_and_subjects(templates: list[Path]) -> None:
    outlines = [outline for outline in map(read_outline, templates) if isinstance(outline, Outline)]
    minutes = {outline.block.length_s // 60 for outline in outlines}
    assert {60, 75, 90} <= minutes
    assert min(minutes) < 60, "an early-release day"
    assert {outline.subject for outline in outlines} >= {"mathematics", "reading", "writing", "science"}


def test_the_json_schema_is_a_schema_and_accepts_every_template(
    templates: list[Path], invented_text: str
) -> None:
    SCHEMA.check_schema(json_schema())
    for text in [invented_text, GOOD, *(path.read_text(encoding="utf-8") for path in templates)]:
        SCHEMA.validate(tomllib.loads(text))


@pytest.mark.parametrize(
    "content",
    [
        GOOD.replace("format = 1", "format = 2"),
        GOOD.replace("format = 1", "format = true"),
        GOOD.replace("format = 1\n", ""),
        GOOD.replace('title = "T"\n', ""),
        GOOD.replace('"T"', "3"),
        GOOD.replace('"A"', '""'),
        GOOD.replace('"3"', "-1"),
        GOOD.replace('"3"', "true"),
        GOOD + "budgte = 3\n",
        GOOD + "cut_tier = 0\n",
        GOOD + 'examples = "2"\n',
        GOOD + 'kind = "modelling"\n',
        GOOD + 'wall = "hidden"\n',
        GOOD + 'id = "a b"\n',
        GOOD + f'class_line = "{"a" * 301}"\n',
        GOOD + '[[phase]]\ntitle = "B"\nbudget = 1\n' * 200,
        GOOD + '[[phase.burst]]\nlenght = "1"\n',
        'format = 1\ntitle = "T"\nphase = []\n',
        'format = 1\ntitle = "T"\n',
    ],
)
def test_the_json_schema_refuses_what_the_reader_refuses(content: str) -> None:
    assert isinstance(read_text(content, "o.toml"), list)
    assert not SCHEMA.is_valid(tomllib.loads(content))


def test_the_defaults_in_the_json_schema_are_written_as_in_a_file_not_in_seconds() -> None:
    block = json_schema()["$defs"]["BlockTable"]["properties"]
    assert {key: block[key]["default"] for key in ("minutes", "move", "swap", "clean_up", "share")} == {
        "minutes": "75:00", "move": "2:00", "swap": "1:30", "clean_up": "1:00", "share": "5:00",
    }  # fmt: skip
    assert json_schema()["$defs"]["BurstTable"]["properties"]["length"]["default"] == "0:30"


@given(st.text())
def test_any_text_is_an_outline_or_a_list_of_problems(text: str) -> None:
    _sound(read_text(text, "o.toml"))


@given(st.binary())
def test_any_bytes_are_an_outline_or_a_list_of_problems(data: bytes) -> None:
    _sound(read_bytes(data, "o.toml"))


WORDS = "[[phase]] [phase] [block] [[phase.burst]] format=1 title='T' budget=3 budget= notes=\"\"\" ''' \""
PIECES = st.sampled_from([*WORDS.split(), "floor = 9", *"=[]{}#\\\r\t", "]]", "a.b = 1", "id = 'x'"])


@given(st.lists(st.one_of(PIECES, st.text(max_size=8)), max_size=30), st.sampled_from(["\n", "\r\n", " "]))
def test_any_shuffle_of_outline_pieces_is_an_outline_or_a_list_of_problems(
    pieces: list[str], between: str
) -> None:
    _sound(read_text(between.join(pieces), "o.toml"))


ODD_VALUES = ['""', '"x"', "0", "-1", "1e999", "nan", "true", "[]", "{}", "[[1]]", "2026-03-09", '"\\u0000"']
ODD_VALUES += ["9" * 30, '"3"', '"review"', "{ a.b = [1, {}] }"]


@given(
    st.dictionaries(
        st.sampled_from(["title", "budget", "floor", "kind", "cap", "burst", "id", "wall", "notes", "x"]),
        st.sampled_from(ODD_VALUES),
    )
)
def test_any_value_of_any_key_is_an_outline_or_a_list_of_problems(keys: dict[str, str]) -> None:
    rows = "".join(f"{key} = {value}\n" for key, value in keys.items())
    _sound(read_text(f'format = 1\ntitle = "T"\n[[phase]]\n{rows}', "o.toml"))


def _sound(found: object) -> None:
    """An outline, or problems that each say where and what."""
    if isinstance(found, Outline):
        return
    assert isinstance(found, list)
    assert found
    assert all(problem.what and (problem.line is None or problem.line >= 1) for problem in found)


SHOWN = st.text(st.characters(exclude_categories=["C"]), min_size=1, max_size=40).filter(
    lambda t: t.strip() == t
)
WRITTEN = st.fixed_dictionaries(
    {"title": SHOWN, "budget": st.integers(60, 3600)},
    optional={
        "floor": st.integers(0, 60),
        "cut_tier": st.integers(1, 9),
        "kind": st.sampled_from(sorted(KINDS)),
        "movable": st.sampled_from(["table", "tomorrow", "dropped"]),
        "talk": st.sampled_from(["teacher", "class", "partners", "quiet", "unmarked"]),
        "examples": st.integers(0, 20),
        "class_line": SHOWN,
        "second_line": SHOWN,
        "notes": SHOWN,
        "wall": st.sampled_from(["full", "strip", "off"]),
    },
)


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _toml(key: str, value: object) -> str:
    if key in ("budget", "floor"):
        return f'"{value} s"'
    return str(value) if isinstance(value, int) else _quoted(str(value))


@given(SHOWN, st.lists(WRITTEN, min_size=1, max_size=8))
def test_any_valid_outline_is_read_back_as_it_was_written(title: str, rows: list[dict[str, object]]) -> None:
    text = f"format = 1\ntitle = {_quoted(title)}\n"
    for row in rows:
        text += "[[phase]]\n" + "".join(f"{key} = {_toml(key, value)}\n" for key, value in row.items())
    outline = read(text)
    SCHEMA.validate(tomllib.loads(text))
    assert outline.title == title
    for row, phase in zip(rows, outline.phases, strict=True):
        kept = phase.model_dump()
        names = {"budget": "budget_s", "floor": "floor_s"}
        assert {key: kept[names.get(key, key)] for key in row} == row
    assert len({phase.id for phase in outline.phases}) == len(rows)


def test_an_outline_survives_being_written_down_as_json(
    new_outline: Callable[..., Outline], invented: Outline
) -> None:
    for outline in (invented, new_outline({"budget": "1"})):
        assert outline.mini_count == len(outline.phases)
        assert Outline.model_validate_json(outline.model_dump_json()) == outline
