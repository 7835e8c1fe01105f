"""The text pane and the draft kept together: what is typed changes the draft, and what is edited the text."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from difflib import SequenceMatcher
from functools import lru_cache

from pacer.plan.draft.draft import Draft, DraftPhase, minutes_text, set_block, set_field
from pacer.plan.draft.fields import kind_or_nothing, tidied
from pacer.plan.draft.listed_lines import LISTED_FIELDS, says_listed, set_listed
from pacer.plan.durations import parse_duration
from pacer.plan.file.model import MAX_PHASE_S
from pacer.plan.kinds import KINDS
from pacer.plan.typed.plain_signs import one_line
from pacer.plan.typed.read_typed import Typed, TypedPhase, plain_text, read_typed

MOST_GONE = 60
_ALIKE = 0.5
_UNPRINTABLE = "\ufffd"  # in place of the signs that TOML takes nowhere
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


def unread_in(text: str) -> tuple[str, ...]:
    """The lines that became nothing, as they were typed."""
    return read(text).unread


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


def plain_outline(draft: Draft) -> str:
    """A draft as text to be pasted anywhere: a line each, phases without a title left out.

    Groups, stations and share follow where they are written, in lines that read back to the same.
    """
    phases = plain_text(typed_phase(phase) for phase in draft.phases if phase.title.strip())
    lines = [line for line in _half_lines(draft) if read(line).block]
    together = phases + "".join(f"{line}\n" for line in lines)
    return together if read(together).phases == read(phases).phases else phases


def _half_lines(draft: Draft) -> list[str]:
    """What a draft says of groups and share, as lines that are typed so."""
    groups = (_with_more(group.name, group.place) for group in draft.named_groups)
    stations = (
        _with_more(at.name, "; ".join(filter(None, (at.words, "teacher" if at.teacher == "true" else ""))))
        for at in draft.stations
    )
    labelled = (
        ("Groups", ", ".join(groups)),
        ("First to the table", draft.block.order),
        ("Stations", ", ".join(stations)),
        ("Share prompt", draft.block.share_prompt),
    )
    return [f"{label}: {said}" for label, said in labelled if said.strip()]


def _with_more(name: str, more: str) -> str:
    return f"{name} ({more})" if more else name


# What else Python takes for the end of a line; pasted text may hold it, and one kind of line end is enough.
_LINE_ENDS = str.maketrans(dict.fromkeys("\v\f\x1c\x1d\x1e\x85\u2028\u2029", "\n"))


def typed(sheet: TypedDraft, text: str) -> TypedDraft:
    """After the text was changed: each phase takes on what its lines now say, and keeps all else."""
    text = text.replace("\r\n", "\n").replace("\r", "\n").translate(_LINE_ENDS)
    old, new = read(sheet.text), read(text)
    places = _matching_phases(old.phases, new.phases)
    removed = [(at, phase) for at, phase in sheet.gone if phase.key not in {p.key for p in sheet.phases}]
    phases: list[DraftPhase] = []
    keys_given = sheet.keys_given
    for index, (line, place) in enumerate(zip(new.phases, places, strict=True)):
        if place is not None:
            phases.append(_with_changes(sheet.phase(sheet.keys[place]), old.phases[place], line))
            continue
        revived = _revived(removed, index, line)
        if revived is None:
            keys_given += 1
            phases.append(_with_line(DraftPhase(f"p{keys_given}"), line))
        else:
            removed.remove(revived)
            phases.append(_with_line(revived[1], line))
    lost = [(at, sheet.phase(key)) for at, key in enumerate(sheet.keys) if at not in places]
    changed = replace(
        sheet,
        phases=_with_untitled(sheet, phases),
        keys_given=keys_given,
        text=text,
        keys=tuple(phase.key for phase in phases),
        gone=tuple([*lost, *removed][:MOST_GONE]),
    )
    return _with_block(_with_title(changed, old.title, new.title), old.block, new.block)


def _with_title(sheet: TypedDraft, old: str, new: str) -> TypedDraft:
    """The text's title is the draft's, unless another was written in its field."""
    return replace(sheet, title=tidied("title", new)) if old != new and sheet.title in ("", old) else sheet


def _with_block(sheet: TypedDraft, old: Mapping[str, str], new: Mapping[str, str]) -> TypedDraft:
    """What lines say of groups and share is the draft's, unless something else was written in the fields."""
    for name in dict.fromkeys((*old, *new)):
        before, said = old.get(name, ""), new.get(name, "")
        if before == said:
            continue
        if name in LISTED_FIELDS:
            if not getattr(sheet, name) or says_listed(sheet, name, before):
                sheet = _typed_part(set_listed(sheet, name, said)[0])
        elif getattr(sheet.block, name) in ("", before):
            sheet = _typed_part(set_block(sheet, name, said)[0])
    return sheet


def _typed_part(draft: Draft) -> TypedDraft:
    assert isinstance(draft, TypedDraft)  # changed by ``replace``: still what it was
    return draft


def _matching_phases(old: Sequence[TypedPhase], new: Sequence[TypedPhase]) -> list[int | None]:
    """For each new phase the old one that it is: the same in order, the same elsewhere, then by place."""
    matches: list[int | None] = [None] * len(new)
    gaps = []
    for tag, a, b, c, d in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if tag == "equal":
            matches[c:d] = range(a, b)
        else:
            gaps.append((range(a, b), range(c, d)))
    _match_equal(matches, old, new)
    _match_equal(matches, [phase.title for phase in old], [phase.title for phase in new])
    for before, after in gaps:
        left = [at for at in before if at not in matches]
        for at, n in zip(left, [n for n in after if matches[n] is None], strict=False):
            if _is_alike(old[at], new[n]):
                matches[n] = at
    return matches


def _match_equal(matches: list[int | None], old: Sequence[object], new: Sequence[object]) -> None:
    """Pair what is left and the same, wherever it stands now."""
    for n, phase in enumerate(new):
        if matches[n] is None:
            fits = (at for at, earlier in enumerate(old) if earlier == phase)
            matches[n] = next((at for at in fits if at not in matches), None)


def _is_alike(was: TypedPhase, now: TypedPhase) -> bool:
    """Whether a line in the place of another is that phase still: another outline put in its place isn't."""
    same_time = was.seconds is not None and was.seconds == now.seconds
    return same_time or SequenceMatcher(None, was.title.lower(), now.title.lower()).ratio() >= _ALIKE


def _revived(
    removed: Sequence[tuple[int, DraftPhase]], index: int, line: TypedPhase
) -> tuple[int, DraftPhase] | None:
    """The phase whose line was taken out and is here again: of the same title, or retyped at its place."""
    same = next((entry for entry in removed if one_line(entry[1].title) == line.title), None)
    if same is not None or not removed:
        return same
    at, last = removed[0]
    is_retyped = at == index and line.seconds is not None and seconds_of(last.budget) == line.seconds
    return removed[0] if is_retyped else None


def _fields_of(line: TypedPhase) -> dict[str, str]:
    """The fields of a phase that its lines say."""
    return {
        "title": line.title,
        "budget": minutes_text(line.seconds),
        "kind": kind_or_nothing(line.kind),
        "class_line": line.class_line,
        "notes": line.notes,
    }


def _with_line(phase: DraftPhase, line: TypedPhase) -> DraftPhase:
    """A phase that is new or came back, with what its line says now."""
    texts = _fields_of(line)
    if seconds_of(phase.budget) == line.seconds:
        texts["budget"] = phase.budget
    kept = {name: getattr(phase, name) for name in ("class_line", "notes") if not texts[name]}
    return replace(phase, **texts | kept)


def _with_changes(phase: DraftPhase, was: TypedPhase, now: TypedPhase) -> DraftPhase:
    """A phase with what its lines say otherwise than before; all else stays."""
    before = _fields_of(was)
    for name, text in _fields_of(now).items():
        if text != before[name]:
            phase = set_field(Draft(phases=(phase,)), phase.key, name, text)[0].phases[0]
    return phase


def _with_untitled(sheet: TypedDraft, phases: Sequence[DraftPhase]) -> tuple[DraftPhase, ...]:
    """The phases of the text, with those that have no line behind the ones they stood behind."""
    result = list(phases)
    typed_keys = set(sheet.keys)
    for at, phase in enumerate(sheet.phases):
        if phase.key in typed_keys:
            continue
        before = {earlier.key for earlier in sheet.phases[:at]}
        place = max((n for n, there in enumerate(result) if there.key in before), default=-1) + 1
        result.insert(place, phase)
    return tuple(result)


def with_aside(toml: str, lines: Iterable[str]) -> str:
    """A file's text with such lines as comments at its end, each once: what was typed is never lost."""
    there = set(toml.splitlines())
    comments = [f"{_ASIDE}{_SIGNS.sub(_UNPRINTABLE, line)}" for line in lines]
    return _with_comments(toml, [comment for comment in comments if comment not in there])


def with_loose(toml: str, lines: Iterable[str]) -> str:
    """A file's text with the lines that were not understood as comments at its end."""
    return _with_comments(toml, [f"{_UNREAD}{_SIGNS.sub(_UNPRINTABLE, line)}" for line in lines])


def _with_comments(toml: str, kept: Sequence[str]) -> str:
    if not kept:
        return toml
    end = "\r\n" if toml.count("\r\n") * 2 > toml.count("\n") else "\n"
    return toml + ("" if toml.endswith("\n") or not toml else end) + end.join([*kept, ""])


def without_loose(toml: str) -> tuple[str, list[str]]:
    """A file's text without such comments at its end, and their lines."""
    lines = toml.splitlines(keepends=True)
    loose: list[str] = []
    while lines and lines[-1].startswith(_UNREAD):
        loose.insert(0, lines.pop()[len(_UNREAD) :].rstrip("\r\n"))
    return "".join(lines), loose


def rekeyed(draft: Draft, like: Draft) -> Draft:
    """Another version of a draft, its phases under the keys of those that they are in ``like``."""
    unmatched = list(like.phases)
    phases, keys_given = [], max(like.keys_given, draft.keys_given)
    for phase in draft.phases:
        same = next((other for other in unmatched if phase.id and other.id == phase.id), None)
        same = same or next((other for other in unmatched if other.title == phase.title), None)
        if same is not None:
            unmatched.remove(same)
            phases.append(replace(phase, key=same.key))
        else:
            keys_given += 1
            phases.append(replace(phase, key=f"p{keys_given}"))
    return replace(draft, phases=tuple(phases), keys_given=keys_given)
