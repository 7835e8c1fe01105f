"""A draft is written into the text it came from: what the teacher wrote by hand stays where it is."""

import random
import re
import tomllib
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.draft.as_tables import to_outline
from pacer.plan.draft.draft import (
    Draft,
    DraftBlock,
    DraftBurst,
    DraftGroup,
    DraftPhase,
    DraftStation,
    duplicate,
    insert,
    move,
    remove,
    set_block,
    set_field,
    set_head,
)
from pacer.plan.draft.fields import tidied
from pacer.plan.draft.listed_lines import listed_text, set_listed
from pacer.plan.draft.write_toml import draft_of, written
from pacer.plan.file.reader import read_text
from pacer.plan.outline import Outline

# Invented, as a teacher with an editor of her own might write it.
BY_HAND = """\
# An invented outline
format = 1
title = 'Thirds'   # working title

# The room is free until ten.
[block]
minutes = 75
mini_lesson = "20"       # honest length

# ---- the mini lesson ----

# They like this one.
[[phase]]
title = "Skip count"
kind = "warm-up"
budget = 2   # never more

[[phase]]
id="model"
  title = "Model"
  budget   = "7"        # was 9
  # floor: thinking time
  floor    = "4"
notes = \"\"\"
First this.
Then # not a comment\"\"\"
[[phase.burst]]
# the first talk
length = "0:30"
prompt = "A third is ____ ."
[[phase.burst]]
prompt = "I see ____ ."  # if time

# ---- the end ----

[[phase]]
title = "Look back"
budget = "2"
# two voices only

# (c) nobody
"""


def read(text: str) -> Draft:
    draft = draft_of(text)
    assert isinstance(draft, Draft), draft
    return draft


def changed(text: str, key: str, **fields: str) -> str:
    """The text after fields of one phase were typed."""
    draft = before = read(text)
    for name, value in fields.items():
        draft, _words = set_field(draft, key, name, value)
    return written(draft, text, before)


def test_a_hand_written_outline_is_read_as_it_stands():
    draft = read(BY_HAND)
    assert (draft.title, draft.block.minutes, draft.block.share) == ("Thirds", "75", "")
    assert [phase.key for phase in draft.phases] == ["p1", "p2", "p3"]
    assert draft.phases[1] == DraftPhase(
        "p2", "Model", budget="7", floor="4", id="model", notes="First this.\nThen # not a comment",
        bursts=(DraftBurst("0:30", "A third is ____ ."), DraftBurst("", "I see ____ .")),
    )  # fmt: skip


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_an_unchanged_draft_gives_the_same_text_to_the_byte(ends, mark):
    text = mark + BY_HAND.replace("\n", ends)
    assert written(read(text), text) == text
    assert written(read(text), text, read(text)) == text


def test_all_templates_come_back_to_the_byte(templates):
    assert len(templates) == 10
    for path in templates:
        text = path.read_bytes().decode()
        draft = read(text)
        assert written(draft, text) == text
        assert read(written(draft, None)).content == draft.content
        assert isinstance(read_text(written(draft, None), path.name), Outline)


def test_a_changed_value_changes_its_own_line_and_keeps_the_comment_there():
    assert changed(BY_HAND, "p2", budget="8") == BY_HAND.replace('= "7"        # was', '= "8"        # was')
    assert changed(BY_HAND, "p1", budget="3") == BY_HAND.replace("budget = 2 ", "budget = 3 ")
    assert changed(BY_HAND, "p1", budget="2:30") == BY_HAND.replace("budget = 2 ", 'budget = "2:30" ')


def test_a_new_value_goes_below_the_keys_that_usually_stand_above_it():
    assert changed(BY_HAND, "p1", floor="1") == BY_HAND.replace(
        "budget = 2   # never more\n", 'budget = 2   # never more\nfloor = "1"\n'
    )
    draft = before = read(BY_HAND)
    draft, _words = set_block(draft, "groups", "2")
    draft, _words = set_head(draft, "subject", "mathematics")
    assert written(draft, BY_HAND, before) == BY_HAND.replace(
        "# working title\n", '# working title\nsubject = "mathematics"\n'
    ).replace("# honest length\n", "# honest length\ngroups = 2\n")


def test_a_value_that_goes_leaves_its_comment():
    text = changed(BY_HAND, "p2", budget="", floor="")
    assert text == BY_HAND.replace('  budget   = "7"        # was 9\n', "  # was 9\n").replace(
        '  floor    = "4"\n', ""
    )


def test_a_phase_that_moves_takes_its_comments_along():
    draft = before = read(BY_HAND)
    text = written(move(draft, ["p3"], "p1"), BY_HAND, before)
    order = ["An invented", "the end", "Look back", "two voices", "mini lesson", "They like", "Skip", "(c)"]
    places = [text.index(words) for words in order]
    assert places == sorted(places)
    assert sorted(text.split("\n")) == sorted(BY_HAND.split("\n"))


def test_a_phase_that_goes_leaves_the_comments_that_stood_apart_from_it():
    text = written(remove(read(BY_HAND), ["p1", "p3"]), BY_HAND, read(BY_HAND))
    assert "They like" not in text
    assert "two voices" not in text
    for stays in ("the mini lesson", "the end", "(c) nobody", "The room is free", "the first talk"):
        assert stays in text


def test_a_burst_that_goes_leaves_its_comments_in_the_phase():
    text = changed(BY_HAND, "p2", bursts="I see ____ .")
    assert read(text).phases[1].bursts == (DraftBurst("", "I see ____ ."),)
    assert "# the first talk" in text
    assert 'prompt = "I see ____ ."  # if time' in text


def test_without_the_draft_before_phases_are_found_by_id_and_title():
    draft = move(read(BY_HAND), ["p2", "p1"], None)
    unkeyed = replace(draft, phases=tuple(replace(p, key=f"x{n}") for n, p in enumerate(draft.phases)))
    unkeyed, _words = set_field(unkeyed, "x2", "title", "Model thirds")
    unkeyed, _words = set_field(unkeyed, "x1", "budget", "3")
    text = written(unkeyed, BY_HAND)
    assert sorted(re.findall("# .*", text)) == sorted(re.findall("# .*", BY_HAND))
    places = [text.index(words) for words in ("Look back", "two voices", "They like", "# never", "Model th")]
    assert places == sorted(places)


def test_a_new_text_says_only_what_was_written():
    draft = Draft("Thirds", phases=(DraftPhase("a", "Review", budget="3"), DraftPhase("b", page="2")))
    assert written(draft, None) == (
        'format = 1\ntitle = "Thirds"\n\n[[phase]]\ntitle = "Review"\nbudget = "3"\n\n[[phase]]\npage = 2\n'
    )
    assert written(draft, "\ufeff\r\n") == "\ufeff" + written(draft, None).replace("\n", "\r\n")


@pytest.mark.parametrize(
    "odd",
    [
        'format = 1\ntitle = "T" # c1\nblock = {minutes = 60} # c2\n'
        '[[phase]] # c3\ntitle = "A"\nbudget = 3\n',
        'format = 1\nblock.minutes = 60 # c1\ntitle = "T" # c2\nblock.share = "3" # c3\n'
        '[[phase]]\ntitle = "A"\nbudget = 3\n',
        '# c1\nformat = 1\ntitle = "T"\nphase = [ # c2\n {title = "A", budget = 3}, # c3\n]\n',
        'format = 1\ntitle = "T" # c1\n[[phase]]\ntitle = "A"\nbudget = 3\n'
        'burst = [\n # c2\n {length = "0:20"}, # c3\n]\n',
        'format = 1\ntitle = "T" # c1\n[[phase]] # c2\ntitle = "A"\nbudget = 3\n[block] # c3\nminutes = 60\n'
        '[[phase.burst]]\nlength = "0:20"\n',
        '"format" = 1\n\'title\' = "T" # c1\n[ "block" ] # c2\n"minutes" = 60\n[[ phase ]] # c3\n'
        '"title" = "A"\nbudget = 3',
        '[block] # c1\n[[phase]]\n# c2\ntitle = "A"\n# c3',
        "# c1\n\n# c2\n[[phase]] # c3\n",
    ],
)
def test_odd_texts_stay_when_nothing_changes_and_keep_their_comments_when_all_does(odd):
    before = read(odd)
    same = written(before, odd, before)
    assert same == odd or (
        "format" not in odd and same.replace("format = 1\n", "", 1).rstrip() == odd.rstrip()
    )
    draft, _words = set_field(before, "p1", "title", "B")
    draft, _words = set_field(draft, "p1", "bursts", "0:30 | Say it\n1 | Again")
    draft, _words = set_block(draft, "minutes", "90")
    draft, key = insert(draft, 0, "New")
    for wanted in (draft, move(draft, [key], None)):
        text = written(wanted, odd, before)
        assert read(text).content == wanted.content
        assert re.findall(r"\bc\d", text) or "c1" not in odd
        assert set(re.findall(r"# (c\d)", odd)) <= set(re.findall(r"# (c\d)", text))


def test_a_text_that_is_no_toml_stands_whole_above_the_new_one():
    old = 'format = 1\ntitle = "Thirds\n\nReview 3 # mine\n'
    problems = draft_of(old, "a.toml")
    assert isinstance(problems, list)
    assert "a.toml:2" in str(problems[0])
    text = written(Draft("Thirds"), old)
    assert text.startswith('# format = 1\n# title = "Thirds\n#\n# Review 3 # mine\n\nformat = 1\n')
    assert read(text) == Draft("Thirds")


@pytest.mark.parametrize(
    "text",
    ["format = 2\n", "phase = 3\n", "[phase]\n", "block = 1\n", "[[phase]]\nburst = 1\n", "phase = [1]\n",
     "a." * 200 + "b = 1", "x = " + "[" * 5000, "a\0b\x0b\x85c\rd", BY_HAND + "#" * 1_000_001],
)  # fmt: skip
def test_what_cannot_be_edited_as_an_outline_is_told_and_never_thrown_away(text):
    problems = draft_of(text)
    assert isinstance(problems, list)
    assert problems
    made = written(Draft("T"), text)
    assert made.startswith(("# " + text[:4], "# a\ufffdb\n#\n# c\n# d\n"))
    assert made.endswith('format = 1\ntitle = "T"\n')


def test_a_value_of_the_wrong_type_is_mended_so_that_the_text_can_be_read():
    text = 'format = 1\ntitle = 5\n[[phase]]\ntitle = "A"\nbudget = 3.5\ncut_tier = "2" # gives\npage = 1\n'
    assert written(read(text), text) == text.replace("= 5", '= "5"').replace('"2"', "2")
    assert isinstance(read_text(written(read(text), text), "a.toml"), Outline)


INLINE = 'format = 1\nblock = {minutes = 60} # short day\ntitle = "T"\n\n[[phase]]\ntitle = "A"\n'


def test_a_table_on_one_line_is_written_out_where_it_changes_and_its_comment_stays_there():
    draft, _words = set_block(read(INLINE), "minutes", "48")
    assert written(draft, INLINE) == (
        'format = 1\n# short day\ntitle = "T"\n\n[block]\nminutes = 48\n\n[[phase]]\ntitle = "A"\n'
    )
    stranger = INLINE.replace("60", '60, colour = "red"')
    draft, _words = set_block(read(stranger), "minutes", "48")
    assert '# block = {minutes = 60, colour = "red"} # short day\n' in written(draft, stranger)


def test_should_editing_ever_lose_a_comment_all_of_them_stand_above_a_new_text(monkeypatch):
    monkeypatch.setattr("pacer.plan.draft.write_toml.as_comments", lambda *_line: [])
    text = changed(BY_HAND, "p2", budget="")
    assert text.startswith("# An invented outline\n# working title\n# The room is free until ten.\n")
    assert read(text).phases[1].budget == ""
    assert set(re.findall("# [a-z].*", BY_HAND)) - {'# not a comment"""'} <= set(text.split("\n"))


def test_a_key_that_is_not_known_is_kept_as_a_comment_where_the_text_has_to_be_new():
    odd = 'format = 1\n[[phase]]\ntitle = "A"\ncolour = "red"\n[block]\n[[phase.burst]]\nlength = "1"\n'
    draft, _words = set_field(read(odd), "p1", "title", "B")
    text = written(draft, odd)
    assert '# colour = "red"\n' in text
    assert read(text).content == draft.content


def test_a_key_that_is_not_known_stays_in_the_text():
    text = BY_HAND.replace("# two voices only", 'colour = "red" # mine') + "[mine]\nx = 1\n"
    made = changed(text, "p3", title="End")
    assert made == text.replace('"Look back"', '"End"')


WITH_GROUPS = """\
format = 1
title = "Thirds"
[block]
groups = 3
order = ["Triangle",
  "Circle"] # most owed first

# ---- who sits where ----
[[group]]
name = "Circle"   # by the window
place = "carpet"

[[group]]
name = "Triangle"

# ---- stations ----
[[station]]
name = "Our table"
teacher = true # mine

[[phase]]
title = "Review"
budget = "3"
"""


def relisted(text: str, name: str, lines: str) -> str:
    """The text after the lines of groups or stations were typed."""
    before = read(text)
    return written(set_listed(before, name, lines)[0], text, before)


def test_groups_and_stations_are_read_as_they_stand():
    draft = read(WITH_GROUPS)
    assert draft.block.order == "Triangle, Circle"
    assert draft.named_groups == (DraftGroup("Circle", "carpet"), DraftGroup("Triangle"))
    assert draft.stations == (DraftStation("Our table", teacher="true"),)
    assert listed_text(draft, "named_groups") == "Circle | carpet\nTriangle"
    assert listed_text(draft, "stations") == "Our table | | | teacher"


def test_a_line_of_a_group_changes_its_own_table_and_no_other():
    assert relisted(WITH_GROUPS, "named_groups", "Circle | rug\nTriangle") == WITH_GROUPS.replace(
        '"carpet"', '"rug"'
    )
    assert relisted(WITH_GROUPS, "named_groups", " Circle |  carpet\n\nTriangle") == WITH_GROUPS
    assert relisted(
        WITH_GROUPS, "stations", "Our table | | | teacher\nNumber games | with dice"
    ) == WITH_GROUPS.replace(
        "# mine\n", '# mine\n\n[[station]]\nname = "Number games"\nwords = "with dice"\n'
    )


def test_a_group_that_goes_leaves_its_comments():
    text = relisted(WITH_GROUPS, "named_groups", "Triangle")
    assert text == WITH_GROUPS.replace(
        '[[group]]\nname = "Circle"   # by the window\nplace = "carpet"\n', "# by the window\n"
    )
    assert relisted(WITH_GROUPS, "stations", "").count("#") == WITH_GROUPS.count("#")


def test_the_order_of_groups_is_a_list_and_keeps_its_comment():
    draft, words = set_block(read(WITH_GROUPS), "order", "Circle,Triangle")
    assert words == ""
    assert written(draft, WITH_GROUPS) == WITH_GROUPS.replace(
        'order = ["Triangle",\n  "Circle"] # most owed first\n',
        '# most owed first\norder = ["Circle", "Triangle"]\n',
    )
    one_line = WITH_GROUPS.replace('",\n  "', '", "')
    draft, _words = set_block(read(one_line), "order", "Circle")
    assert written(draft, one_line) == one_line.replace('["Triangle", "Circle"]', '["Circle"]')
    wrong = one_line.replace('["Triangle", "Circle"]', '"Circle"')
    assert written(read(wrong), wrong) == one_line.replace('["Triangle", "Circle"]', '["Circle"]')


def test_groups_in_one_line_are_written_out_where_they_change():
    inline = (
        'format = 1\ngroup = [{name = "Circle"}, {name = "Star"}] # c1\ntitle = "T"\n[[phase]]\ntitle = "A"\n'
    )
    assert written(read(inline), inline) == inline
    text = relisted(inline, "named_groups", "Circle\nStar | rug")
    assert text == (
        'format = 1\n# c1\ntitle = "T"\n[[group]]\nname = "Circle"\n[[group]]\nname = "Star"\nplace = "rug"\n'
        '[[phase]]\ntitle = "A"\n'
    )


def test_an_unknown_key_of_a_group_stays():
    odd = (
        WITH_GROUPS.replace('place = "carpet"', 'place = "carpet"\ncolour = "red"') + "[group.more]\nx = 1\n"
    )
    assert relisted(odd, "named_groups", "Circle | rug\nTriangle") == odd.replace('"carpet"', '"rug"')
    assert '# colour = "red"' in relisted(odd, "named_groups", "Triangle")


TEXT = st.text(st.characters(codec="utf-8", exclude_characters="\r"), max_size=12)
LINE = st.one_of(
    TEXT, st.sampled_from(['"""', "'''", "a\nb", "\n", "\\", '"', "# no comment", "[[phase]]", "=", "\\\n"])
)
NUMBER = st.one_of(
    st.just(""), st.integers(0, 99).map(str), st.sampled_from(["two", "01", "-1", "1_0", "1e3"])
)
TIME = st.one_of(st.just(""), st.sampled_from(["3", "2:30", "90 s", "soon", "3.0", "true"]), TEXT)
BURST = st.builds(DraftBurst, TIME, LINE)
PHASE = st.builds(
    DraftPhase, key=st.just("?"), title=LINE, kind=st.sampled_from(["", "review", "odd one"]), budget=TIME,
    floor=TIME, cap=TIME, cap_group=LINE, cut_tier=NUMBER, movable=st.sampled_from(["", "table"]), talk=LINE,
    examples=NUMBER, class_line=LINE, second_line=LINE, notes=LINE, problem=LINE, attach=LINE, page=NUMBER,
    wall=st.sampled_from(["", "strip"]), id=LINE, bursts=st.lists(BURST, max_size=3).map(tuple),
)  # fmt: skip
ORDER = st.lists(LINE, max_size=4).map(lambda names: tidied("order", ",".join(names)))
BLOCK = st.builds(DraftBlock, TIME, TIME, TIME, NUMBER, TIME, TIME, TIME, TIME, TIME, ORDER, LINE)
GROUP = st.builds(DraftGroup, LINE, LINE, LINE)
STATION = st.builds(DraftStation, LINE, LINE, LINE, st.sampled_from(["", "true", "false", "yes"]))


@st.composite
def drafts(draw: st.DrawFn) -> Draft:
    phases = draw(st.lists(PHASE, max_size=4))
    keyed = tuple(replace(phase, key=f"p{n}") for n, phase in enumerate(phases, start=1))
    groups = tuple(draw(st.lists(GROUP, max_size=3)))
    stations = tuple(draw(st.lists(STATION, max_size=3)))
    return Draft(draw(LINE), draw(LINE), draw(LINE), draw(BLOCK), keyed, len(keyed), groups, stations)


class ByHand:
    """Writes a draft as somebody with an editor and habits of her own would, with numbered comments."""

    def __init__(self, draft: Draft, seed: int) -> None:
        self.chance = random.Random(seed)
        self.comments = 0
        self.of_phase: dict[int, list[str]] = {}
        self.of_all: list[str] = []
        table = tomllib.loads(written(draft, None))
        phases, block = table.pop("phase", []), table.pop("block", {})
        listed = {key: table.pop(key, []) for key in ("group", "station")}
        parts = [self.table("", table, self.of_all)]
        blocks = []
        if block and self.chance.random() < 0.2:
            parts.append(f"block = {self.inline(block)}{self.comment(self.of_all)}\n")
        else:
            blocks.append(self.table("[block]", block, self.of_all))
        made = [self.phase(n, phase) for n, phase in enumerate(phases)]
        for key, tables in listed.items():
            if tables and self.chance.random() < 0.2:
                inline = ", ".join(map(self.inline, tables))
                parts.append(f"{key} = [{inline}]{self.comment(self.of_all)}\n")
            else:
                blocks += [self.table(f"[[{key}]]", of, self.of_all) for of in tables]
        order = [*blocks, *made] if self.chance.random() < 0.7 else [*made, *blocks]
        self.text = "".join([*parts, *order]).rstrip("\n" if self.chance.random() < 0.3 else "\0")
        if self.chance.random() < 0.3:
            self.text = self.text.replace("\n", "\r\n")
        if self.chance.random() < 0.2:
            self.text = "\ufeff" + self.text

    def comment(self, kept: list[str]) -> str:
        if self.chance.random() < 0.5:
            return ""
        self.comments += 1
        kept.append(f"#c{self.comments}.")
        return f" #c{self.comments}."

    def lines(self, kept: list[str]) -> str:
        """Sometimes a comment line, sometimes a blank one."""
        comment = self.comment(kept).strip()
        return (
            self.chance.choice(["", "", "\n"])
            + (comment + "\n" if comment else "")
            + self.chance.choice(["", "", "\n"])
        )

    def table(self, header: str, table: dict, kept: list[str]) -> str:
        keys = list(table)
        self.chance.shuffle(keys)
        lines = []
        if header:
            # What stands right above a header is about it: no blank line between.
            comment = self.comment(kept).strip()
            lines.append(self.chance.choice(["", "\n"]) + (comment + "\n" if comment else ""))
        lines.append(header + self.comment(kept) + "\n" if header else "")
        for key in keys:
            name = self.chance.choice([key, f'"{key}"', f"  {key}"])
            lines.append(
                f"{name}{self.chance.choice(['=', ' = '])}{self.value(table[key])}{self.comment(kept)}\n"
            )
            if key != keys[-1]:
                lines.append(self.lines(kept))
        if comment := self.comment(kept).strip():
            lines.append(comment + "\n")  # right below the last key: about it
        return "".join(lines)

    def phase(self, n: int, table: dict) -> str:
        kept = self.of_phase.setdefault(n, [])
        bursts = table.pop("burst", [])
        if bursts and self.chance.random() < 0.2:
            inline = ", ".join(self.inline(burst) for burst in bursts)
            return self.table("[[phase]]", table, kept) + f"burst = [{inline}]{self.comment(kept)}\n"
        parts = [self.table("[[phase]]", table, kept)]
        # What stands above a burst's header belongs to the phase all the same.
        return "".join([*parts, *(self.table("[[phase.burst]]", burst, kept) for burst in bursts)])

    def inline(self, table: dict) -> str:
        return "{" + ", ".join(f"{key} = {self.value(of)}" for key, of in table.items()) + "}"

    def value(self, value: object) -> str:
        if isinstance(value, int):
            return str(value).lower()
        if isinstance(value, list):
            return f"[{', '.join(map(self.value, value))}]"
        assert isinstance(value, str)
        plain = all(char.isprintable() for char in value)
        if plain and "'" not in value and self.chance.random() < 0.4:
            return f"'{value}'"
        escaped = "".join(
            char if char.isprintable() and char not in '"\\' else f"\\U{ord(char):08X}" for char in value
        )
        return f'"{escaped}"'


def edited(draft: Draft, chance: random.Random, other: Draft) -> Draft:
    """A draft after some random changes, with values from another one."""
    for _change in range(chance.randint(1, 5)):
        keys = [phase.key for phase in draft.phases]
        what = chance.choice(
            ["insert", "remove", "move", "copy", "field", "field", "bursts", "block", "head", "listed"]
        )
        if what == "insert":
            draft = insert(draft, chance.randint(0, len(keys)), "New")[0]
        elif what == "block":
            draft = replace(draft, block=other.block)
        elif what == "listed":
            mixed = [*draft.named_groups, *other.named_groups]
            chance.shuffle(mixed)
            stations = [*other.stations[:1], *draft.stations[: chance.randint(0, 3)]]
            draft = replace(draft, named_groups=tuple(mixed[:3]), stations=tuple(stations))
        elif what == "head":
            draft = replace(draft, title=other.title)
        elif keys:
            key = chance.choice(keys)
            if what == "remove":
                draft = remove(draft, [key])
            elif what == "move":
                draft = move(draft, [key], chance.choice([*keys, None]))
            elif what == "copy":
                draft = duplicate(draft, [key])[0]
            elif other.phases:
                source = chance.choice(other.phases)
                name = (
                    "bursts"
                    if what == "bursts"
                    else chance.choice(["title", "budget", "page", "notes", "id"])
                )
                phases = [
                    replace(p, **{name: getattr(source, name)}) if p.key == key else p for p in draft.phases
                ]
                draft = replace(draft, phases=tuple(phases))
    return draft


@given(drafts())
def test_whatever_is_drafted_is_read_back_from_a_new_text(draft):
    assert read(written(draft, None)).content == draft.content


@given(drafts())
def test_a_draft_is_judged_as_its_file_will_be(draft):
    assert to_outline(draft, "a.toml") == read_text(written(draft, None), "a.toml")


@pytest.mark.slow
@given(drafts(), drafts(), st.integers(0, 2**32))
def test_whatever_is_changed_in_a_hand_written_text_is_read_back_and_no_comment_is_lost(first, other, seed):
    hand = ByHand(first, seed)
    before = read(hand.text)
    assert before.content == first.content
    assert written(before, hand.text) == hand.text
    draft = edited(before, random.Random(seed), other)
    text = written(draft, hand.text, before)
    again = read(text)
    assert again.content == draft.content
    living = {int(phase.key[1:]) - 1 for phase in draft.phases}
    kept = [*hand.of_all, *(c for n, comments in hand.of_phase.items() if n in living for c in comments)]
    assert [comment for comment in kept if comment not in text] == []
    assert written(draft, text, again) == text
    assert written(again, text) == text
    assert text.startswith("\ufeff") == hand.text.startswith("\ufeff")
    if "\r\n" in hand.text:
        assert "\n" not in text.replace("\r\n", "")


@pytest.mark.slow
@given(drafts(), drafts(), st.integers(0, 2**32))
def test_any_draft_can_be_written_over_any_text(draft, other, seed):
    text = written(draft, ByHand(other, seed).text)
    assert read(text).content == draft.content
    assert written(read(text), text) == text
