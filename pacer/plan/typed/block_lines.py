"""Lines about groups and share, no phases: ``Groups 3 x 12``, ``Groups: Circle, Star``."""

import re
from collections.abc import Iterable, Sequence

from pacer.plan.durations import brief_duration
from pacer.plan.typed.line import ParsedLine
from pacer.plan.typed.plain_signs import one_line, shadow
from pacer.plan.typed.vocabulary import phrase
from pacer.text import _

Fields = tuple[tuple[str, str], ...]  # fields of the outline or its block, and what they say
_COUNT = re.compile(r"(?:groups|visits):? (\d{1,2}) ?[x×*] ?\d{1,3}(?::\d\d)?(?: ?min(?:utes)?)?\.?")
_LABEL = re.compile(r"(groups|stations|share prompt|first to the table): ?(.+)", re.IGNORECASE)
_PART = re.compile(r"([^(),;]+?)(?: ?\(([^()]*)\))?\s*(?:,|$)")
_NAME_WORDS, _LONGEST = 3, 40
_MOST_SIGNS = 600  # twelve names with their places; the patterns take long over a page on one line
_LEGS = {
    "share": "share", "transition": "move", "move": "move", "move to groups": "move", "swap": "swap",
    "clean up": "clean_up",
}  # fmt: skip
TEACHER = "teacher"


def read_block_lines(lines: Iterable[ParsedLine]) -> None:
    """Mark the lines that say how many groups come, what they are called, and what the stations are."""
    for line in lines:
        if not line.what and not line.indent and not line.mark and not line.is_quoted and not line.is_row:
            line.block = _fields(one_line(line.clean))
            if line.block:
                line.what = "block"
                line.why = _told(line.block)


def read_leg_lines(lines: Sequence[ParsedLine]) -> None:
    """Beside ``Groups 3 x 12`` lines such as ``Share 5`` are no phases: they are the block's own times."""
    if not any(name == "groups" for line in lines for name, _value in line.block):
        return
    belongs = {line.of for line in lines}
    for line in lines:
        name = _LEGS.get(phrase(line.title))
        is_bare = not (line.notes or line.class_line or line.is_quoted or line.number in belongs)
        if line.what == "phase" and name is not None and line.seconds and is_bare:
            line.what, line.block, line.doubts = "block", ((name, brief_duration(line.seconds)),), []


def _fields(text: str) -> Fields:
    if len(text) > _MOST_SIGNS:
        return ()
    count = _COUNT.fullmatch(shadow(text))
    if count is not None:
        return (("groups", str(int(count[1]))),)
    label = _LABEL.fullmatch(text)
    if label is None:
        return ()
    name, said = label[1].lower(), label[2].strip()
    if name == "share prompt":
        return (("share_prompt", said),)
    parts = [(match[1].strip(), (match[2] or "").strip()) for match in _PART.finditer(said)]
    if not _are_names(said, [part for part, _more in parts]):
        return ()
    if name == "groups":
        return (("named_groups", "\n".join(" | ".join(filter(None, part)) for part in parts)),)
    if name == "stations":
        return (("stations", "\n".join(_station(*part) for part in parts)),)
    return (("order", ", ".join(part for part, _more in parts)),)


def _are_names(said: str, names: Sequence[str]) -> bool:
    """Whether all of a text is names: a sentence about what groups do is none."""
    plain = re.sub(r"\([^()]*\)", "", said)
    return (
        len(names) == plain.count(",") + 1 > 1
        and not any(char in plain for char in ".;:|()")
        and all(
            name[:1].isupper() and len(name.split()) <= _NAME_WORDS and len(name) <= _LONGEST
            for name in names
        )
    )


def _station(name: str, more: str) -> str:
    words, bar, mark = more.rpartition(";")
    is_own = (mark if bar else more).strip() == TEACHER
    said = words.strip() if is_own else more
    return f"{name} | {said} | | {TEACHER}" if is_own else " | ".join(filter(None, (name, said)))


def _told(fields: Fields) -> str:
    """What a line was taken for, where its words might have meant a phase."""
    names = [name for name, _value in fields]
    if "groups" in names:
        return _("Read as the number of groups; a visit gets what the block leaves.")
    if "named_groups" in names:
        return _("Read as the names of the groups.")
    return ""
