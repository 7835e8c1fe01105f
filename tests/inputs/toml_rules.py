"""TOML 1.0.0 by its rules: one outline in many valid spellings, and a spelling broken at a known line.

Rules are those of the specification (toml.io/en/v1.0.0), in words and examples of our own.
"""

import random
import tomllib
from collections.abc import Callable, Mapping
from typing import Any

from pacer.plan.draft.draft import Draft, set_head
from pacer.plan.draft.write_toml import draft_of, written
from pacer.plan.file.reader import read_bytes
from pacer.plan.outline import Outline
from tests.faults.slices import Work
from tests.faults.tally import Row
from tests.inputs.reader import NAME, must_be_plain, must_equal
from tests.inputs.watched import RoundTripError, watched

TEXTS = (
    "Halves", "1/2", "say \"half\"", "it's", "back\\slash", "# no comment", "é ü ß", "数", "🍎", "a = 1",
    "[[phase]]", "tab\tin", "", " blanks ", "''", '""', "ends\\", "%s {0}", "\u2028",
)  # fmt: skip
NOTES = ("one\ntwo", '"""', "'''", "\nfirst empty", 'ends in "', "a\n\n\nb", "\\n")


def _plan(chance: random.Random) -> dict[str, Any]:
    """The tables of an outline that the reader takes."""

    def text() -> str:
        return chance.choice(TEXTS).replace("\t", " ")  # the outline's own rules refuse one in a line

    phases: list[dict[str, Any]] = []
    for number in range(1, chance.randrange(2, 6)):
        phase: dict[str, Any] = {"title": text().strip("\u2028 ") or f"P{number}"}
        phase["budget"] = chance.choice(("3", "2:30", "90 s", "PT2M30S", 4))
        for key, value in (
            ("kind", "review"), ("cut_tier", chance.randrange(1, 9)), ("class_line", text()),
            ("notes", chance.choice(NOTES)), ("examples", chance.randrange(20)), ("wall", "strip"), ("page",
            12),
        ):  # fmt: skip
            if chance.random() < 0.4:
                phase[key] = value
        if chance.random() < 0.3:
            phase["burst"] = [{"length": "30 s", "prompt": text()} for _n in range(chance.randrange(1, 3))]
        phases.append(phase)
    block = {"minutes": 75, "groups": chance.randrange(4), "move": "2"}
    return {"format": 1, "title": "Spelled", "subject": text(), "block": block, "phase": phases}


class Speller:
    """Writes tables in one of the many ways that TOML allows, drawn by chance."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        self.end = chance.choice(("\n", "\n", "\r\n"))

    def often(self, share: float) -> bool:
        return self.chance.random() < share

    def blanks(self) -> str:
        return self.chance.choice(("", " ", " ", "\t", "  "))

    def comment(self) -> str:
        return f"{self.blanks()}# {self.chance.choice(TEXTS)}" if self.often(0.15) else self.blanks()

    def key(self, name: str) -> str:
        return self.chance.choice(
            (name, name, name, f'"{name}"', f"'{name}'", f'"\\u{ord(name[0]):04x}{name[1:]}"')
        )

    def string(self, text: str) -> str:
        """Basic, literal, or either over several lines."""
        ways = [self._basic]
        if "'" not in text and "\n" not in text:
            ways.append(lambda text: f"'{text}'")
        ways.append(self._long_basic)
        if "'''" not in text and not text.endswith("'"):
            ways.append(
                lambda text: f"'''{self.end if text.startswith(chr(10)) else ''}{self._ends(text)}'''"
            )
        return self.chance.choice(ways)(text)

    def _ends(self, text: str) -> str:
        return text.replace("\n", self.end)

    def _basic(self, text: str, keep: str = "") -> str:
        escapes = {'"': '\\"', "\\": "\\\\", "\n": "\\n", "\t": "\\t"}
        signs = []
        for char in text:
            if char in keep:
                signs.append(char)
            elif char in escapes:
                signs.append(escapes[char])
            elif self.often(0.1):
                signs.append(
                    f"\\U{ord(char):08x}" if ord(char) > 0xFFFF or self.often(0.3) else f"\\u{ord(char):04X}"
                )
            else:
                signs.append(char)
        return "".join(signs) if keep else f'"{"".join(signs)}"'

    def _long_basic(self, text: str) -> str:
        begin = self.end if text.startswith("\n") or self.often(0.5) else ""
        inner = self._ends(self._basic(text, keep="\n"))
        fold = f"\\{self.end}   {self.end}  " if self.often(0.3) and not text[:1].isspace() else ""
        return f'"""{begin}{fold}{inner}"""'

    def value(self, value: object) -> str:
        if isinstance(value, str):
            return self.string(value)
        assert isinstance(value, int)
        return self.chance.choice((str(value), str(value), f"+{value}", f"0x{value:x}", f"0b{value:b}",
        f"0o{value:o}",
                                   "_".join(str(value))))  # fmt: skip

    def line(self, name: str, value: object, before: str = "") -> str:
        begin = f"{self.blanks()}{before}{self.key(name)}{self.blanks()}="
        return f"{begin}{self.blanks()}{self.value(value)}{self.comment()}"

    def inline(self, table: Mapping[str, Any]) -> str:
        pairs = [f"{self.key(name)} = {self.inline_value(value)}" for name, value in table.items()]
        return "{ " + ", ".join(pairs) + " }"

    def inline_value(self, value: object) -> str:
        if isinstance(value, dict):
            return self.inline(value)
        if isinstance(value, list):
            glue = self.chance.choice((",", f",{self.end}  ", f" , # a{self.end}\t"))
            last = self.chance.choice(("", ",", self.end))
            return f"[{glue.join(self.inline_value(entry) for entry in value)}{last}]"
        return self.value(value)

    def document(self, plan: Mapping[str, Any]) -> str:
        head = {name: value for name, value in plan.items() if not isinstance(value, dict | list)}
        first = [self.line(name, value) for name, value in head.items()]
        later: list[list[str]] = []
        match self.chance.randrange(3):
            case 0:
                first += [
                    self.line(name, value, f"{self.key('block')}{self.blanks()}.")
                    for name, value in plan["block"].items()
                ]
            case 1:
                first.append(f"block = {self.inline(plan['block'])}")
            case _:
                lines = [self.line(name, value) for name, value in plan["block"].items()]
                later.append(
                    [
                        f"{self.blanks()}[{self.blanks()}{self.key('block')}{self.blanks()}]{self.comment()}",
                        *lines,
                    ]
                )
        self.chance.shuffle(first)
        if self.often(0.25):
            first.append(f"phase = {self.inline_value(plan['phase'])}")
        else:
            phases = [line for phase in plan["phase"] for line in self.phase(phase)]
            later.insert(self.chance.randrange(len(later) + 1), phases)
        lines = [*first, *(line for part in later for line in part)]
        spaced = [line for one in lines for line in ((one, "") if self.often(0.1) else (one,))]
        mark = "\ufeff" if self.often(0.1) else ""
        return mark + self.end.join(spaced) + (self.end if self.often(0.8) else "")

    def phase(self, phase: Mapping[str, Any]) -> list[str]:
        bursts = phase.get("burst", [])
        lines = [self.line(name, value) for name, value in phase.items() if name != "burst"]
        self.chance.shuffle(lines)
        lines.insert(0, f"[[{self.blanks()}phase{self.blanks()}]]{self.comment()}")
        if bursts and self.often(0.5):
            return [*lines, f"burst = {self.inline_value(bursts)}"]
        for burst in bursts:
            lines += [f"[[phase.{self.key('burst')}]]", *(self.line(*pair) for pair in burst.items())]
        return lines


# Lines that TOML refuses wherever a key and its value may stand; none has another line to blame.
BROKEN = (
    "a = ", "= 1", "a", "a = b", 'a = "b', "a = 'b", 'a = "\\q"', 'a = "\\u12"', 'a = "\\ud800"', "a = 01",
    "a = 1__0",
    "a = _1", "a = 1_", "a = +0x1", "a = 1.", "a = .5", "a = 1.e2", "a = 0xg", "a = 1 b = 2", "a b = 1",
    "a. = 1",
    ".a = 1", "a..b = 1", "a = [1", "a = {b = 1,}", "a = {b = 1", "a = {b = 1, b = 2}",
    "a = {b = {c = 1}, b.d = 2}",
    "é = 1", "a = 1979-13-01", "a = 25:00:00", "a = 1979-05-27T", "a = True", "a = nan1", "a = inf inf", "[a",
    "[a]]",
    "[]", "[a.]", "[[a]", "[ [a]]", "a = 1 # \x01", "a = '\x01'", 'a = "\x7f"', "a = [1,, 2]", "a = {,}",
    "\x0b", "a\x00 = 1",
    "a = \"b\"\r# c", "title = 1\ntitle = 2", "a.b = 1\na = 2", "a = {}\na.b = 1", "a = 1\n[a]", "[a]\n[a]",
    "[a.b]\n[a]\n[a.b]",
    "a = []\n[[a]]", "[[a]]\n[a]", "a = 1\na.b = 2", "'''a''' = 1", 'a = """b\nc""""""', "a = '''b''''''",
)  # fmt: skip
# These are open to the end, so the line to tell is the one that opens them.
UNCLOSED = ('notes = """open\nand on', "notes = '''open\nand on", 'a = ["b",\n"c"', 'title = """')


def _valid(chance: random.Random) -> str:
    plan = _plan(chance)
    text = Speller(chance).document(plan)
    assert tomllib.loads(text.removeprefix("\ufeff").replace("\r\n", "\n")) == plan, text
    plain = written(draft_of(_plainly(plan)), None)  # type: ignore[arg-type]
    wanted, read = read_bytes(plain.encode(), NAME), read_bytes(text.encode(), NAME)
    assert isinstance(wanted, Outline), (plan, wanted)
    if not isinstance(read, Outline):
        raise RoundTripError(f"refused: {read[0]} in {text!r}")
    must_equal(wanted, read, f"read from {text!r}")
    draft = draft_of(text)
    assert isinstance(draft, Draft)
    must_equal(text, written(draft, text, draft), "saved unchanged")
    changed = set_head(draft, "title", "Another")[0]
    again = read_bytes(written(changed, text, draft).encode(), NAME)
    must_equal(wanted.model_copy(update={"title": "Another"}), again, f"with another title, in {text!r}")
    return "read"


def _plainly(plan: Mapping[str, Any]) -> str:
    """The same tables in the plainest spelling."""

    def value(of: object) -> str:
        if isinstance(of, dict):
            return "{" + ", ".join(f"{name} = {value(inner)}" for name, inner in of.items()) + "}"
        if isinstance(of, list):
            return f"[{', '.join(map(value, of))}]"
        if isinstance(of, str):
            return '"' + "".join(c if c.isalnum() or c in " .:/" else f"\\U{ord(c):08x}" for c in of) + '"'
        return str(of)

    return "\n".join(f"{name} = {value(of)}" for name, of in plan.items())


def _invalid(chance: random.Random) -> str:
    speller = Speller(chance)
    plan = _plan(chance)
    lines = ["format = 1", 'title = "Broken"', *(line for phase in plan["phase"] for line in (
        "[[phase]]", f'title = "{chance.randrange(99)}"', 'budget = "3"'))]  # fmt: skip
    at = chance.randrange(len(lines) + 1)
    broken = chance.choice(UNCLOSED if chance.random() < 0.15 else BROKEN)
    text = speller.end.join([*lines[:at], *broken.split("\n"), *lines[at:]]) + speller.end
    read = read_bytes(text.encode("utf-8", "surrogatepass"), NAME)
    if isinstance(read, Outline):
        raise RoundTripError(f"taken: {text!r}")
    for problem in read:
        must_be_plain(str(problem))
    first, last = at + 1, at + 1 + broken.count("\n")
    # What is left open swallows the next line, where it may be told as well.
    after = 1 if broken.endswith(("1", "= ", "{b = 1")) or "[" in broken else 0
    end = first if broken in UNCLOSED and "[" not in broken else last + after
    if not any(first <= (problem.line or 0) <= end for problem in read):
        raise RoundTripError(f"told at line {read[0].line}, not {first}: {broken!r} {read[0].what!r}")
    return "refused"


def works(seed: int, tries: int) -> list[Work]:
    """Try so many valid and so many invalid documents."""
    return [
        by_rules("TOML 1.0, valid", _valid, seed, tries),
        by_rules("TOML 1.0, broken", _invalid, seed, tries),
    ]


def by_rules(kind: str, check: Callable[[random.Random], str], seed: int, tries: int) -> Work:
    """A row of checks that each draw their own case; the same for the same seed and number."""

    def one(number: int) -> str:
        return check(random.Random(f"{seed}/{kind}/{number}"))

    def tried(numbers: range) -> Row:
        row = Row(kind)
        for number, outcome in watched(one, numbers):
            row.add("tried")
            row.cost(outcome.cpu_s, outcome.mib)
            if outcome.what in ("read", "refused"):
                row.add(outcome.what)
            else:
                what = "wrong" if outcome.what == "round trip" else outcome.what
                row.miss(what, f"number {number}: {outcome.why[:500]}")
        return row

    return Work(kind, tried, tries, 200)
