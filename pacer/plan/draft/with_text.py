"""The text pane and the draft kept together: what is typed changes the draft, and what is edited the text."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, fields, replace
from difflib import SequenceMatcher
from functools import lru_cache

from pacer.plan.draft.draft import Draft, DraftPhase, minutes_text, set_field
from pacer.plan.draft.fields import kind_or_nothing, tidied
from pacer.plan.durations import parse_duration
from pacer.plan.file.model import MAX_PHASE_S
from pacer.plan.kinds import KINDS
from pacer.plan.typed.read_typed import Typed, TypedLine, TypedPhase, read_typed

MOST_GONE = 60
_ALIKE = 0.5
_SIGNS = re.compile(r"[\x00-\x08\x0a-\x1f\x7f\ud800-\udfff]")
_UNREAD, _ASIDE = "# typed, not understood: ", "# typed: "


@dataclass(frozen=True)
class TypedDraft(Draft):
    """A draft and the text beside it.

    ``keys`` are those of the phases that the text's lines say, in order: a phase without a title has no line.
    ``gone`` are phases whose lines were taken out, the latest first with its place, so that a line that is
    cut and put in elsewhere is still the same phase with all that the text doesn't say of it.
    """

    text: str = ""
    keys: tuple[str, ...] = ()
    gone: tuple[tuple[int, DraftPhase], ...] = field(default=(), compare=False)

    @property
    def plain(self) -> Draft:
        """The draft alone, as it is written to a file."""
        return Draft(**{part.name: getattr(self, part.name) for part in fields(Draft)})


@lru_cache(maxsize=16)
def read(text: str) -> Typed:
    """What a text says; the latest are remembered, since each is asked for several times."""
    return read_typed(text)


def problems_in(text: str) -> tuple[TypedLine, ...]:
    """The lines that became nothing."""
    return read(text).not_understood


def aside_in(text: str) -> tuple[str, ...]:
    """The lines that were understood and say nothing that an outline's file has a place for."""
    return tuple(line.raw.strip() for line in read(text).lines if line.what in ("heading", "total"))


def seconds_of(text: str) -> int | None:
    """A budget as seconds; None where it is none that a phase may have."""
    try:
        seconds = parse_duration(text)
    except ValueError:
        return None
    return seconds if 0 < seconds <= MAX_PHASE_S else None


def typed_phase(phase: DraftPhase) -> TypedPhase:
    """What lines can say of a phase."""
    kind = KINDS.get(phase.kind)
    return TypedPhase(
        title=phase.title,
        seconds=seconds_of(phase.budget),
        kind="other" if kind is None else kind.name,
        class_line=phase.class_line,
        notes=phase.notes,
    )


# What else Python takes for the end of a line; pasted text may hold it, and one kind of line end is enough.
_LINE_ENDS = str.maketrans(dict.fromkeys("\v\f\x1c\x1d\x1e\x85\u2028\u2029", "\n"))


def typed(sheet: TypedDraft, text: str) -> TypedDraft:
    """After the text was changed: each phase takes on what its lines now say, and keeps all else."""
    text = text.replace("\r\n", "\n").replace("\r", "\n").translate(_LINE_ENDS)
    old, new = read(sheet.text), read(text)
    places = _matched(old.phases, new.phases)
    free = [(at, phase) for at, phase in sheet.gone if phase.key not in {p.key for p in sheet.phases}]
    phases: list[DraftPhase] = []
    made = sheet.made
    for index, (said, place) in enumerate(zip(new.phases, places, strict=True)):
        if place is not None:
            phases.append(_changed(sheet.phase(sheet.keys[place]), old.phases[place], said))
            continue
        revived = _revived(free, index, said)
        if revived is None:
            made += 1
            phases.append(_as_said(DraftPhase(f"p{made}"), said))
        else:
            free.remove(revived)
            phases.append(_as_said(revived[1], said))
    lost = [(at, sheet.phase(key)) for at, key in enumerate(sheet.keys) if at not in places]
    changed = replace(
        sheet,
        phases=_with_unsaid(sheet, phases),
        made=made,
        text=text,
        keys=tuple(phase.key for phase in phases),
        gone=tuple([*lost, *free][:MOST_GONE]),
    )
    return _titled(changed, old.title, new.title)


def _titled(sheet: TypedDraft, old: str, new: str) -> TypedDraft:
    """The text's title is the draft's, unless another was written in its field."""
    return replace(sheet, title=tidied("title", new)) if old != new and sheet.title in ("", old) else sheet


def _matched(old: Sequence[TypedPhase], new: Sequence[TypedPhase]) -> list[int | None]:
    """For each new phase the old one that it is: the same in order, the same elsewhere, then by place."""
    found: list[int | None] = [None] * len(new)
    gaps = []
    for tag, a, b, c, d in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if tag == "equal":
            found[c:d] = range(a, b)
        else:
            gaps.append((range(a, b), range(c, d)))
    _take_same(found, old, new)
    _take_same(found, [said.title for said in old], [said.title for said in new])
    for before, after in gaps:
        left = [at for at in before if at not in found]
        for at, n in zip(left, [n for n in after if found[n] is None], strict=False):
            if _is_alike(old[at], new[n]):
                found[n] = at
    return found


def _take_same(found: list[int | None], old: Sequence[object], new: Sequence[object]) -> None:
    """Pair what is left and the same, wherever it stands now."""
    for n, said in enumerate(new):
        if found[n] is None:
            fits = (at for at, was in enumerate(old) if was == said)
            found[n] = next((at for at in fits if at not in found), None)


def _is_alike(was: TypedPhase, now: TypedPhase) -> bool:
    """Whether a line in the place of another is that phase still: another outline put in its place isn't."""
    same_time = was.seconds is not None and was.seconds == now.seconds
    return same_time or SequenceMatcher(None, was.title.lower(), now.title.lower()).ratio() >= _ALIKE


def _revived(
    gone: Sequence[tuple[int, DraftPhase]], index: int, said: TypedPhase
) -> tuple[int, DraftPhase] | None:
    """The phase whose line was taken out and is here again: of the same title, or retyped at its place."""
    same = next((each for each in gone if _one_line(each[1].title) == said.title), None)
    if same is not None or not gone:
        return same
    at, last = gone[0]
    is_retyped = at == index and said.seconds is not None and seconds_of(last.budget) == said.seconds
    return gone[0] if is_retyped else None


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _fields_of(said: TypedPhase) -> dict[str, str]:
    """The fields of a phase that its lines say."""
    return {
        "title": said.title,
        "budget": minutes_text(said.seconds),
        "kind": kind_or_nothing(said.kind),
        "class_line": said.class_line,
        "notes": said.notes,
    }


def _as_said(phase: DraftPhase, said: TypedPhase) -> DraftPhase:
    """A phase that is new or came back, with what its line says now."""
    texts = _fields_of(said)
    if seconds_of(phase.budget) == said.seconds:
        texts["budget"] = phase.budget
    kept = {name: getattr(phase, name) for name in ("class_line", "notes") if not texts[name]}
    return replace(phase, **texts | kept)


def _changed(phase: DraftPhase, was: TypedPhase, now: TypedPhase) -> DraftPhase:
    """A phase with what its lines say otherwise than before; all else stays."""
    before = _fields_of(was)
    for name, text in _fields_of(now).items():
        if text != before[name]:
            phase = set_field(Draft(phases=(phase,)), phase.key, name, text)[0].phases[0]
    return phase


def _with_unsaid(sheet: TypedDraft, phases: Sequence[DraftPhase]) -> tuple[DraftPhase, ...]:
    """The phases of the text, with those that have no line behind the ones they stood behind."""
    result = list(phases)
    said = set(sheet.keys)
    for at, phase in enumerate(sheet.phases):
        if phase.key in said:
            continue
        before = {earlier.key for earlier in sheet.phases[:at]}
        place = max((n for n, there in enumerate(result) if there.key in before), default=-1) + 1
        result.insert(place, phase)
    return tuple(result)


def with_aside(toml: str, lines: Iterable[str]) -> str:
    """A file's text with such lines as comments at its end, each once: what was typed is never lost."""
    there = set(toml.splitlines())
    return _with_comments(toml, [c for line in lines if (c := f"{_ASIDE}{_printable(line)}") not in there])


def with_loose(toml: str, lines: Iterable[str]) -> str:
    """A file's text with the lines that were not understood as comments at its end."""
    return _with_comments(toml, [f"{_UNREAD}{_printable(line)}" for line in lines])


def _with_comments(toml: str, kept: Sequence[str]) -> str:
    if not kept:
        return toml
    end = "\r\n" if toml.count("\r\n") * 2 > toml.count("\n") else "\n"
    return toml + ("" if toml.endswith("\n") or not toml else end) + end.join([*kept, ""])


def _printable(line: str) -> str:
    """A line without the signs that TOML takes nowhere."""
    return _SIGNS.sub("\ufffd", line)


def without_loose(toml: str) -> tuple[str, list[str]]:
    """A file's text without such comments at its end, and their lines."""
    lines = toml.splitlines(keepends=True)
    loose: list[str] = []
    while lines and lines[-1].startswith(_UNREAD):
        loose.insert(0, lines.pop()[len(_UNREAD) :].rstrip("\r\n"))
    return "".join(lines), loose


def rekeyed(draft: Draft, like: Draft) -> Draft:
    """Another version of a draft, its phases under the keys of those that they are in ``like``."""
    free = list(like.phases)
    phases, made = [], max(like.made, draft.made)
    for phase in draft.phases:
        same = next((each for each in free if phase.id and each.id == phase.id), None)
        same = same or next((each for each in free if each.title == phase.title), None)
        if same is not None:
            free.remove(same)
            phases.append(replace(phase, key=same.key))
        else:
            made += 1
            phases.append(replace(phase, key=f"p{made}"))
    return replace(draft, phases=tuple(phases), made=made)
