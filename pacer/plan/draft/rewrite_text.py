"""The text after the table was edited: only the lines of phases that were touched are written anew."""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Literal

from pacer.plan.draft.draft import Draft, DraftPhase
from pacer.plan.draft.with_text import TypedDraft, read, typed_phase
from pacer.plan.typed.read_typed import Typed, TypedPhase, phase_text, plain_text

How = Literal["first line", "lines", "explicit"]
HOWS: tuple[How, ...] = ("first line", "lines", "explicit")
_LONGEST_LINE = 60  # with its class line; a longer class line stands in the details only


def _text_of(phase: DraftPhase, *, with_class: bool, with_notes: bool) -> tuple[str, TypedPhase] | None:
    """The lines of one phase, and what they say; None where they would not read as this one phase."""
    if not phase.title.strip():
        return None
    said = typed_phase(phase)
    class_line, notes = said.class_line if with_class else "", said.notes if with_notes else ""
    text = plain_text([replace(said, class_line=class_line, notes=notes)])
    found = read(text).phases
    return (text, found[0]) if len(found) == 1 else None


def _short(phase: DraftPhase) -> tuple[str, TypedPhase] | None:
    """A phase on a line of its own, with its class line where that is short."""
    whole = _text_of(phase, with_class=True, with_notes=False)
    if whole is not None and whole[0].count("\n") == 1 and len(whole[0]) <= _LONGEST_LINE:
        return whole
    return _text_of(phase, with_class=False, with_notes=False)


def with_text(draft: Draft, loose: Sequence[str] = ()) -> TypedDraft:
    """A draft with a text made for it; ``loose`` are lines that were never understood, at the end."""
    plain = draft.plain if isinstance(draft, TypedDraft) else draft
    parts = {part.name: getattr(plain, part.name) for part in fields(Draft)}
    made = {phase.key: lines for phase in plain.phases if (lines := _short(phase))}
    text, says = "".join(lines for lines, _said in made.values()), [said for _lines, said in made.values()]
    if read(text).phases != tuple(says):
        says = [replace(said, class_line="") for said in says]
        text = "".join(phase_text(said, explicit=True) for said in says)
    more = text + "".join(f"{line}\n" for line in loose)
    if loose and _is_as_said(more, says, read("\n".join(loose))):
        text = more
    return TypedDraft(**parts, text=text, keys=tuple(made))


def _is_as_said(text: str, says: Sequence[TypedPhase], before: Typed) -> bool:
    """Whether a text says these phases, and the same lines as before are not understood."""
    found = read(text)
    unread = [sorted(line.raw for line in each.not_understood) for each in (found, before)]
    is_same = found.phases == tuple(says) and unread[0] == unread[1]
    return is_same and found.title in ("", before.title)


@dataclass(frozen=True)
class _Segment:
    """The lines from one phase to the next: its own, and what stands among and behind them."""

    own: tuple[str, ...]
    rest: tuple[str, ...]


_NO_LINES = _Segment((), ())


def retold(before: TypedDraft, after: TypedDraft) -> TypedDraft:
    """After the draft was changed elsewhere: only the lines of phases that were touched are written anew.

    ``after`` was made from ``before`` and has its text still.
    """
    is_in_order = [p.key for p in before.phases] == [p.key for p in after.phases]
    if is_in_order and all(_says_same(a, b) for a, b in zip(before.phases, after.phases, strict=True)):
        return after
    for how in HOWS:
        made = _rewritten(before, after, how)
        if made is not None:
            return made
    # Lines that change each other's meaning, a table or clock times for instance: all are written anew.
    unread = [line.raw for line in read(before.text).not_understood]
    made = with_text(after, unread)
    lost = [line for line in unread if line not in made.text.split("\n")]
    return _into_table_list(made, lost) if lost else replace(made, gone=before.gone)


def _into_table_list(sheet: TypedDraft, lines: Sequence[str]) -> TypedDraft:
    """Where no place is left in the text, a line goes where it is seen: nothing typed is lost."""
    return replace(sheet, table_list="\n".join([*filter(None, [sheet.table_list]), *lines]))


def _says_same(before: DraftPhase, after: DraftPhase) -> bool:
    return all(
        getattr(before, name) == getattr(after, name)
        for name in ("title", "budget", "kind", "class_line", "notes")
    )


def _rewritten(before: TypedDraft, after: TypedDraft, how: How) -> TypedDraft | None:
    """The text with the touched phases' lines changed; None where others would then read otherwise."""
    found = read(before.text)
    head, segments = _segments(found, before.keys)
    said = dict(zip(before.keys, found.phases, strict=True))
    rests = _rests(head, segments, {phase.key for phase in after.phases})
    earlier = {phase.key: phase for phase in before.phases}
    lines, keys, says = rests.pop(None), [], []
    for phase in after.phases:
        was, own = earlier.get(phase.key), segments.get(phase.key, _NO_LINES).own
        words = said.get(phase.key)
        if was is None or words is None or not _says_same(was, phase):
            own, words = _anew(phase, was, words, own, how)
        if words is not None:
            keys.append(phase.key)
            says.append(words)
        lines += [*own, *rests.get(phase.key, ())]
    text = "\n".join(lines) + ("\n" if lines and (before.text.endswith("\n") or not before.text) else "")
    if not _is_as_said(text, says, found):
        return None
    return replace(after, text=text, keys=tuple(keys), gone=before.gone)


def _rests(head: list[str], segments: dict[str, _Segment], kept: set[str]) -> dict[str | None, list[str]]:
    """What stands behind each phase that stays, None for the head; of others it goes to the one before."""
    rests: dict[str | None, list[str]] = {None: head}
    last = None
    for key, segment in segments.items():
        if key in kept:
            last = key
            rests[key] = list(segment.rest)
        else:
            rests[last] += [line for line in segment.rest if line.strip()]
    return rests


def _anew(
    phase: DraftPhase, was: DraftPhase | None, said: TypedPhase | None, own: Sequence[str], how: How
) -> tuple[tuple[str, ...], TypedPhase | None]:
    """The lines of a touched phase; what stood in the text before stands there again."""
    is_below_same = was is not None and (was.notes, was.class_line) == (phase.notes, phase.class_line)
    kept: tuple[str, ...] = ()
    if said is not None and how == "first line" and is_below_same:
        found = _text_of(phase, with_class=bool(said.class_line) and len(own) == 1, with_notes=False)
        found = found and (found[0], replace(found[1], class_line=said.class_line, notes=said.notes))
        kept = tuple(own[1:])
    elif said is not None and (said.class_line or said.notes):
        found = _text_of(phase, with_class=bool(said.class_line), with_notes=bool(said.notes))
    else:
        found = _short(phase)
    if found is None:
        return kept, None
    text = phase_text(found[1], explicit=True) if how == "explicit" else found[0]
    return (*text.split("\n")[:-1], *kept), found[1]


def _segments(found: Typed, keys: Sequence[str]) -> tuple[list[str], dict[str, _Segment]]:
    """The lines before the first phase, and those of each phase by its key."""
    numbers = [line.number for line in found.lines if line.phase is not None]
    head = [line.raw for line in found.lines if not numbers or line.number < numbers[0]]
    segments = {}
    for n, (key, number) in enumerate(zip(keys, numbers, strict=True)):
        end = numbers[n + 1] if n + 1 < len(numbers) else len(found.lines) + 1
        lines = found.lines[number - 1 : end - 1]
        own = tuple(line.raw for line in lines if line.number == number or line.of == number)
        rest = tuple(line.raw for line in lines if line.number != number and line.of != number)
        segments[key] = _Segment(own, rest)
    return head, segments
