"""An outline while it is edited: what the teacher wrote so far, complete or not, as a frozen value."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

from pacer.plan.draft.fields import (
    BLOCK_FIELDS,
    BURST_FIELDS,
    HEAD_FIELDS,
    PHASE_FIELDS,
    problem_with,
    tidied,
)
from pacer.plan.durations import brief_duration, parse_duration

_BURST_LINE = "|"
Piece = TypeVar("Piece", "Draft", "DraftBlock", "DraftPhase")


@dataclass(frozen=True)
class DraftBurst:
    """A planned partner burst as written; an empty text is one that was never written."""

    length: str = ""
    prompt: str = ""


@dataclass(frozen=True)
class DraftBlock:
    """The block's fields as written."""

    minutes: str = ""
    mini_lesson: str = ""
    move: str = ""
    groups: str = ""
    swap: str = ""
    clean_up: str = ""
    share: str = ""
    share_floor: str = ""
    visit_floor: str = ""
    order: str = ""
    share_prompt: str = ""
    move_words: str = ""
    move_picture: str = ""


@dataclass(frozen=True)
class DraftGroup:
    """A group of children as written."""

    name: str = ""
    place: str = ""
    picture: str = ""


@dataclass(frozen=True)
class DraftStation:
    """A station as written; ``teacher`` is ``true`` at the teacher's table."""

    name: str = ""
    words: str = ""
    picture: str = ""
    teacher: str = ""


@dataclass(frozen=True)
class DraftPhase:
    """One row of the outline. ``key`` stays the same however the row is moved or renamed."""

    key: str
    title: str = ""
    kind: str = ""
    budget: str = ""
    floor: str = ""
    cap: str = ""
    cap_group: str = ""
    cut_tier: str = ""
    movable: str = ""
    talk: str = ""
    examples: str = ""
    class_line: str = ""
    second_line: str = ""
    notes: str = ""
    problem: str = ""
    attach: str = ""
    page: str = ""
    wall: str = ""
    id: str = ""
    bursts: tuple[DraftBurst, ...] = ()


@dataclass(frozen=True)
class Draft:
    """A whole outline as written. ``keys_given`` counts the keys so far: none is ever given twice."""

    title: str = ""
    subject: str = ""
    table_list: str = ""
    block: DraftBlock = DraftBlock()
    phases: tuple[DraftPhase, ...] = ()
    keys_given: int = field(default=0, compare=False)
    named_groups: tuple[DraftGroup, ...] = ()
    stations: tuple[DraftStation, ...] = ()
    unit: str = ""

    @property
    def content(self) -> "Draft":
        """The same with keys by position, to compare what is written whatever its history."""
        phases = tuple(replace(phase, key=f"p{n}") for n, phase in enumerate(self.phases, start=1))
        return replace(self, phases=phases, keys_given=len(phases))

    def index_of(self, key: str) -> int:
        """Position of a phase. Raises KeyError."""
        for at, phase in enumerate(self.phases):
            if phase.key == key:
                return at
        raise KeyError(key)

    def phase(self, key: str) -> DraftPhase:
        """A phase by its key. Raises KeyError."""
        return self.phases[self.index_of(key)]


def set_head(draft: Draft, name: str, text: str) -> tuple[Draft, str]:
    """Write a field of the head. Returns the draft, and what is wrong with the text or nothing.

    Here and below a text that won't do is kept all the same: nothing typed is lost.
    """
    text = tidied(name, text)
    return _with(draft, HEAD_FIELDS, name, text), problem_with(name, text, "outline")


def set_block(draft: Draft, name: str, text: str) -> tuple[Draft, str]:
    """Write a field of the block. Returns the draft, and what is wrong with the text or nothing."""
    text = tidied(name, text)
    block = _with(draft.block, BLOCK_FIELDS, name, text)
    return replace(draft, block=block), problem_with(name, text, "block")


def set_field(draft: Draft, key: str, name: str, text: str) -> tuple[Draft, str]:
    """Write a field of a phase, ``bursts`` included (a line each, ``0:30 | prompt``). Raises KeyError."""
    if name == "bursts":
        return _set_bursts(draft, key, text)
    text = tidied(name, text)
    phase = _with(draft.phase(key), PHASE_FIELDS, name, text)
    return _with_phase(draft, phase), problem_with(name, text)


def _with(part: Piece, names: Sequence[str], name: str, text: str) -> Piece:
    """A part with another text in one of its fields. Raises KeyError where it has none of that name."""
    if name not in names:
        raise KeyError(name)
    changed: dict[str, Any] = {name: text}
    return replace(part, **changed)


def _with_phase(draft: Draft, phase: DraftPhase) -> Draft:
    at = draft.index_of(phase.key)
    return replace(draft, phases=(*draft.phases[:at], phase, *draft.phases[at + 1 :]))


def bursts_text(bursts: Iterable[DraftBurst]) -> str:
    """Bursts as the teacher edits them: a line each, ``0:30 | prompt``."""
    return "\n".join(_burst_line(burst) for burst in bursts)


def _burst_line(burst: DraftBurst) -> str:
    if not burst.prompt:
        return burst.length if _is_time(burst.length) else f"{burst.length} {_BURST_LINE}".strip()
    if burst.length or _BURST_LINE in burst.prompt or _is_time(burst.prompt):
        return f"{burst.length} {_BURST_LINE} {burst.prompt}".strip()
    return burst.prompt


def bursts_from(text: str) -> tuple[DraftBurst, ...]:
    """Bursts from such lines: a time alone, a prompt alone, or both with a bar between; no line is lost."""
    return tuple(_burst(line.strip()) for line in tidied("bursts", text).split("\n") if line.strip())


def _burst(line: str) -> DraftBurst:
    length, bar, prompt = line.partition(_BURST_LINE)
    if bar:
        return DraftBurst(length.strip(), prompt.strip())
    return DraftBurst(length=line) if _is_time(line) else DraftBurst(prompt=line)


def _is_time(text: str) -> bool:
    try:
        parse_duration(text)
    except ValueError:
        return False
    return True


def _set_bursts(draft: Draft, key: str, text: str) -> tuple[Draft, str]:
    bursts = bursts_from(text)
    changed = _with_phase(draft, replace(draft.phase(key), bursts=bursts))
    words = (problem_with(name, getattr(burst, name), "burst") for burst in bursts for name in BURST_FIELDS)
    return changed, next(filter(None, words), "")


def insert(draft: Draft, at: int, title: str = "") -> tuple[Draft, str]:
    """Put a new, empty phase at a position. Returns the draft and the new phase's key."""
    key = f"p{draft.keys_given + 1}"
    return _put(draft, at, [DraftPhase(key, title=tidied("title", title))]), key


def _put(draft: Draft, at: int, phases: Sequence[DraftPhase]) -> Draft:
    at = min(max(at, 0), len(draft.phases))
    together = (*draft.phases[:at], *phases, *draft.phases[at:])
    return replace(draft, phases=together, keys_given=draft.keys_given + len(phases))


def remove(draft: Draft, keys: Iterable[str]) -> Draft:
    """Take phases out; keys that aren't there don't matter."""
    removed = set(keys)
    return replace(draft, phases=tuple(phase for phase in draft.phases if phase.key not in removed))


def move(draft: Draft, keys: Iterable[str], before: str | None) -> Draft:
    """Drag phases, in their order, to before another one; None is the end."""
    moving = set(keys)
    dragged = [phase for phase in draft.phases if phase.key in moving]
    at = next((n for n, phase in enumerate(draft.phases) if phase.key == before), len(draft.phases))
    above = [phase for phase in draft.phases[:at] if phase.key not in moving]
    below = [phase for phase in draft.phases[at:] if phase.key not in moving]
    return replace(draft, phases=(*above, *dragged, *below))


def minutes_text(seconds: int | None) -> str:
    """A budget as a teacher writes it: ``3`` or ``2:30``; nothing for None."""
    return "" if seconds is None else brief_duration(seconds)


def duplicate(draft: Draft, keys: Iterable[str]) -> tuple[Draft, list[str]]:
    """Put a copy of phases after the last of them, without their ids: an id belongs to one phase alone."""
    copied = set(keys)
    places = [at for at, phase in enumerate(draft.phases) if phase.key in copied]
    copies = [
        replace(draft.phases[at], key=f"p{draft.keys_given + n}", id="")
        for n, at in enumerate(places, start=1)
    ]
    return _put(draft, places[-1] + 1 if places else 0, copies), [copy.key for copy in copies]
