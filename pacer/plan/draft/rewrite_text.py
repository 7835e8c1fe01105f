"""The text after the table was edited: only the lines of phases that were touched are written anew."""

from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace
from operator import attrgetter
from typing import Literal, NamedTuple

from pacer.plan.draft.draft import Draft, DraftPhase
from pacer.plan.draft.with_text import TypedDraft, read, typed_phase
from pacer.plan.typed.read_typed import Typed, TypedPhase, phase_text, plain_text

How = Literal["first line", "lines", "explicit"]
HOWS: tuple[How, ...] = ("first line", "lines", "explicit")
_LONGEST_LINE = 60  # with its class line; a longer class line stands in the details only


class _PhaseText(NamedTuple):
    """The lines of one phase, and what they are read as."""

    text: str
    phase: TypedPhase


def _text_of(phase: DraftPhase, *, with_class: bool, with_notes: bool) -> _PhaseText | None:
    """The lines of one phase; None where they would not read as this one phase."""
    if not phase.title.strip():
        return None
    typed = typed_phase(phase)
    class_line, notes = typed.class_line if with_class else "", typed.notes if with_notes else ""
    text = plain_text([replace(typed, class_line=class_line, notes=notes)])
    phases = read(text).phases
    return _PhaseText(text, phases[0]) if len(phases) == 1 else None


def _on_one_line(phase: DraftPhase) -> _PhaseText | None:
    """A phase on a line of its own, with its class line where that is short."""
    whole = _text_of(phase, with_class=True, with_notes=False)
    if whole is not None and whole.text.count("\n") == 1 and len(whole.text) <= _LONGEST_LINE:
        return whole
    return _text_of(phase, with_class=False, with_notes=False)


def with_text(draft: Draft, loose: Sequence[str] = ()) -> TypedDraft:
    """A draft with a text made for it; ``loose`` are lines that were never understood, at the end."""
    plain = draft.plain if isinstance(draft, TypedDraft) else draft
    parts = {part.name: getattr(plain, part.name) for part in fields(Draft)}
    lines_of = {phase.key: lines for phase in plain.phases if (lines := _on_one_line(phase))}
    text = "".join(lines.text for lines in lines_of.values())
    phases = [lines.phase for lines in lines_of.values()]
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
    unread = [sorted(typed.unread) for typed in (result, before)]
    is_same = result.phases == tuple(phases) and unread[0] == unread[1]
    return is_same and result.title in ("", before.title)


@dataclass
class _Segment:
    """The lines from one phase to the next: its own, and what stands among and behind them."""

    number: int
    own: list[str] = field(default_factory=list)
    rest: list[str] = field(default_factory=list)


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
    unread = read(before.text).unread
    rewritten = with_text(after, unread)
    there = set(rewritten.text.split("\n"))
    lost = [line for line in unread if line not in there]
    if not lost:
        return replace(rewritten, gone=before.gone)
    # Where no place is left in the text, a line goes where it is seen: nothing typed is lost.
    return replace(rewritten, table_list="\n".join([*filter(None, [rewritten.table_list]), *lost]))


def _has_same_text(before: DraftPhase, after: DraftPhase) -> bool:
    said = attrgetter("title", "budget", "kind", "class_line", "notes")
    return bool(said(before) == said(after))


def _rewritten(before: TypedDraft, after: TypedDraft, how: How) -> TypedDraft | None:
    """The text with the touched phases' lines changed; None where others would then read otherwise."""
    typed = read(before.text)
    head, segments = _segments(typed, before.keys)
    typed_phases = dict(zip(before.keys, typed.phases, strict=True))
    rests = _lines_behind(head, segments, {phase.key for phase in after.phases})
    earlier = {phase.key: phase for phase in before.phases}
    lines, kept = rests.pop(None), dict[str, TypedPhase]()
    for phase in after.phases:
        old, own = earlier.get(phase.key), segments[phase.key].own if phase.key in segments else []
        line_phase = typed_phases.get(phase.key)
        if old is None or line_phase is None or not _has_same_text(old, phase):
            own, line_phase = _new_lines(phase, old, line_phase, own, how)
        if line_phase is not None:
            kept[phase.key] = line_phase
        lines += [*own, *rests.get(phase.key, ())]
    text = "\n".join(lines) + ("\n" if lines and (before.text.endswith("\n") or not before.text) else "")
    if not _reads_as(text, tuple(kept.values()), typed):
        return None
    return replace(after, text=text, keys=tuple(kept), gone=before.gone)


def _lines_behind(
    head: list[str], segments: dict[str, _Segment], kept: set[str]
) -> dict[str | None, list[str]]:
    """What stands behind each phase that stays, None for the head; of others it goes to the one before."""
    rests: dict[str | None, list[str]] = {None: head}
    last = None
    for key, segment in segments.items():
        if key in kept:
            last = key
            rests[key] = segment.rest
        else:
            rests[last] += [line for line in segment.rest if line.strip()]
    return rests


def _new_lines(
    phase: DraftPhase, old: DraftPhase | None, typed: TypedPhase | None, own: list[str], how: How
) -> tuple[list[str], TypedPhase | None]:
    """The lines of a touched phase; what stood in the text before stands there again."""
    is_below_same = old is not None and (old.notes, old.class_line) == (phase.notes, phase.class_line)
    kept: list[str] = []
    if typed is not None and how == "first line" and is_below_same:
        lines = _text_of(phase, with_class=bool(typed.class_line) and len(own) == 1, with_notes=False)
        if lines is not None:
            phase_read = replace(lines.phase, class_line=typed.class_line, notes=typed.notes)
            lines = _PhaseText(lines.text, phase_read)
        kept = own[1:]
    elif typed is not None and (typed.class_line or typed.notes):
        lines = _text_of(phase, with_class=bool(typed.class_line), with_notes=bool(typed.notes))
    else:
        lines = _on_one_line(phase)
    if lines is None:
        return kept, None
    text = phase_text(lines.phase, explicit=True) if how == "explicit" else lines.text
    return [*text.split("\n")[:-1], *kept], lines.phase


def _segments(typed: Typed, keys: Sequence[str]) -> tuple[list[str], dict[str, _Segment]]:
    """The lines before the first phase, and those of each phase by its key."""
    head: list[str] = []
    segments: dict[str, _Segment] = {}
    segment, following = None, iter(keys)
    for line in typed.lines:
        for at, _phase in enumerate(line.phases):
            # The first phase of a line has the line; to touch one that shares it is to write all anew.
            here = segments[next(following)] = _Segment(line.number)
            segment = here if at == 0 or segment is None else segment
        if segment is None:
            head.append(line.raw)
        else:
            is_own = segment.number in (line.number, line.of)
            (segment.own if is_own else segment.rest).append(line.raw)
    (head if segment is None else segment.rest).extend(typed.rest)
    return head, segments
