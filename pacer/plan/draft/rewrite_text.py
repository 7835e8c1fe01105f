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
    phase_said = typed_phase(phase)
    class_line, notes = phase_said.class_line if with_class else "", phase_said.notes if with_notes else ""
    text = plain_text([replace(phase_said, class_line=class_line, notes=notes)])
    phases = read(text).phases
    return (text, phases[0]) if len(phases) == 1 else None


def _on_one_line(phase: DraftPhase) -> tuple[str, TypedPhase] | None:
    """A phase on a line of its own, with its class line where that is short."""
    whole = _text_of(phase, with_class=True, with_notes=False)
    if whole is not None and whole[0].count("\n") == 1 and len(whole[0]) <= _LONGEST_LINE:
        return whole
    return _text_of(phase, with_class=False, with_notes=False)


def with_text(draft: Draft, loose: Sequence[str] = ()) -> TypedDraft:
    """A draft with a text made for it; ``loose`` are lines that were never understood, at the end."""
    plain = draft.plain if isinstance(draft, TypedDraft) else draft
    parts = {part.name: getattr(plain, part.name) for part in fields(Draft)}
    lines_of = {phase.key: lines for phase in plain.phases if (lines := _on_one_line(phase))}
    text, phases = (
        "".join(lines for lines, _said in lines_of.values()),
        [typed for _lines, typed in lines_of.values()],
    )
    if read(text).phases != tuple(phases):
        phases = [replace(typed, class_line="") for typed in phases]
        text = "".join(phase_text(typed, explicit=True) for typed in phases)
    more = text + "".join(f"{line}\n" for line in loose)
    if loose and _reads_as(more, phases, read("\n".join(loose))):
        text = more
    return TypedDraft(**parts, text=text, keys=tuple(lines_of))


def _reads_as(text: str, phases: Sequence[TypedPhase], before: Typed) -> bool:
    """Whether a text says these phases, and the same lines as before are not understood."""
    result = read(text)
    unread = [sorted(line.raw for line in typed.not_understood) for typed in (result, before)]
    is_same = result.phases == tuple(phases) and unread[0] == unread[1]
    return is_same and result.title in ("", before.title)


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
    if is_in_order and all(_has_same_text(a, b) for a, b in zip(before.phases, after.phases, strict=True)):
        return after
    for how in HOWS:
        rewritten = _rewritten(before, after, how)
        if rewritten is not None:
            return rewritten
    # Lines that change each other's meaning, a table or clock times for instance: all are written anew.
    unread = [line.raw for line in read(before.text).not_understood]
    rewritten = with_text(after, unread)
    lost = [line for line in unread if line not in rewritten.text.split("\n")]
    return _into_table_list(rewritten, lost) if lost else replace(rewritten, gone=before.gone)


def _into_table_list(sheet: TypedDraft, lines: Sequence[str]) -> TypedDraft:
    """Where no place is left in the text, a line goes where it is seen: nothing typed is lost."""
    return replace(sheet, table_list="\n".join([*filter(None, [sheet.table_list]), *lines]))


def _has_same_text(before: DraftPhase, after: DraftPhase) -> bool:
    return all(
        getattr(before, name) == getattr(after, name)
        for name in ("title", "budget", "kind", "class_line", "notes")
    )


def _rewritten(before: TypedDraft, after: TypedDraft, how: How) -> TypedDraft | None:
    """The text with the touched phases' lines changed; None where others would then read otherwise."""
    typed = read(before.text)
    head, segments = _segments(typed, before.keys)
    typed_by_key = dict(zip(before.keys, typed.phases, strict=True))
    rests = _lines_behind(head, segments, {phase.key for phase in after.phases})
    earlier = {phase.key: phase for phase in before.phases}
    lines, keys, phases_said = rests.pop(None), [], []
    for phase in after.phases:
        old, own = earlier.get(phase.key), segments.get(phase.key, _NO_LINES).own
        words = typed_by_key.get(phase.key)
        if old is None or words is None or not _has_same_text(old, phase):
            own, words = _new_lines(phase, old, words, own, how)
        if words is not None:
            keys.append(phase.key)
            phases_said.append(words)
        lines += [*own, *rests.get(phase.key, ())]
    text = "\n".join(lines) + ("\n" if lines and (before.text.endswith("\n") or not before.text) else "")
    if not _reads_as(text, phases_said, typed):
        return None
    return replace(after, text=text, keys=tuple(keys), gone=before.gone)


def _lines_behind(
    head: list[str], segments: dict[str, _Segment], kept: set[str]
) -> dict[str | None, list[str]]:
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


def _new_lines(
    phase: DraftPhase, old: DraftPhase | None, typed: TypedPhase | None, own: Sequence[str], how: How
) -> tuple[tuple[str, ...], TypedPhase | None]:
    """The lines of a touched phase; what stood in the text before stands there again."""
    is_below_same = old is not None and (old.notes, old.class_line) == (phase.notes, phase.class_line)
    kept: tuple[str, ...] = ()
    if typed is not None and how == "first line" and is_below_same:
        lines = _text_of(phase, with_class=bool(typed.class_line) and len(own) == 1, with_notes=False)
        lines = lines and (lines[0], replace(lines[1], class_line=typed.class_line, notes=typed.notes))
        kept = tuple(own[1:])
    elif typed is not None and (typed.class_line or typed.notes):
        lines = _text_of(phase, with_class=bool(typed.class_line), with_notes=bool(typed.notes))
    else:
        lines = _on_one_line(phase)
    if lines is None:
        return kept, None
    text = phase_text(lines[1], explicit=True) if how == "explicit" else lines[0]
    return (*text.split("\n")[:-1], *kept), lines[1]


def _segments(typed: Typed, keys: Sequence[str]) -> tuple[list[str], dict[str, _Segment]]:
    """The lines before the first phase, and those of each phase by its key."""
    numbers = [line.number for line in typed.lines if line.phase is not None]
    head = [line.raw for line in typed.lines if not numbers or line.number < numbers[0]]
    segments = {}
    for n, (key, number) in enumerate(zip(keys, numbers, strict=True)):
        end = numbers[n + 1] if n + 1 < len(numbers) else len(typed.lines) + 1
        lines = typed.lines[number - 1 : end - 1]
        own = tuple(line.raw for line in lines if line.number == number or line.of == number)
        rest = tuple(line.raw for line in lines if line.number != number and line.of != number)
        segments[key] = _Segment(own, rest)
    return head, segments
