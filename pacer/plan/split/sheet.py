"""The curriculum's lesson on one sheet: its parts, what the teacher moved by hand, and what comes of it."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, get_args

from pydantic import Field

from pacer.plan.outline import OutlinePart
from pacer.plan.split.split import Split, SplitPart, Tag, Where, split

MAX_PARTS = 40
WHERES: tuple[Where, ...] = get_args(Where)


class SheetPart(OutlinePart):
    """One part as the teacher wrote it. ``needs`` are numbers of earlier parts, counted from 1.

    ``moved_to`` is where she put it by hand; None leaves it to the best split. ``was`` is where the split had
    it when she moved another one: as little as may be moves with hers. ``class_line`` and ``notes`` go on
    into the outline that is made of it.
    """

    title: Annotated[str, Field(min_length=1, max_length=120)]
    seconds: Annotated[int, Field(ge=1, le=3 * 3600)]
    value: Annotated[int, Field(ge=1, le=3)] = 2
    tag: Tag | None = None
    needs: tuple[int, ...] = ()
    moved_to: Where | None = None
    was: Where | None = None
    class_line: str = ""
    notes: str = ""


@dataclass(frozen=True)
class SplitOutcome:
    """What a split comes to, in seconds.

    ``whole_s`` and ``table_s`` are what those two take of one child's time,
    ``over_s`` and ``table_over_s`` by how much that is too much, ``tables_s`` what all tables together cost.
    ``orphans`` are the numbers, from 1, of parts that are taught without something they need.
    """

    fates: tuple[Where, ...]
    whole_s: int
    table_s: int
    tables_s: int
    over_s: int
    table_over_s: int
    percent: int
    lost_s: int
    orphans: tuple[int, ...]


class SplitSheet(OutlinePart):
    """All parts with the room there is: the mini lesson, one visit at the table, and how many tables."""

    title: Annotated[str, Field(max_length=120)] = ""
    whole_group_s: Annotated[int, Field(ge=60, le=3 * 3600)] = 25 * 60
    table_s: Annotated[int, Field(ge=0, le=3 * 3600)] = 13 * 60
    tables: Annotated[int, Field(ge=0, le=12)] = 3
    parts: Annotated[tuple[SheetPart, ...], Field(max_length=MAX_PARTS)] = ()

    def best(self) -> Split:
        """The best split, with the parts that were moved by hand where they were put.

        A part that was moved leaves room, or takes it; the others are split anew around it.
        """
        fixed: dict[int, Where] = {at: part.moved_to for at, part in enumerate(self.parts) if part.moved_to}
        free = [at for at in range(len(self.parts)) if at not in fixed]
        position = {at: number for number, at in enumerate(free)}
        room = self.whole_group_s - self._moved_s(fixed, "whole group")
        table = self.table_s - self._moved_s(fixed, "table")
        # What a free part needs and was put somewhere by hand is no longer a question for the split.
        parts = [
            SplitPart(
                part.title,
                part.seconds,
                part.value,
                part.tag,
                tuple(position[need - 1] for need in part.needs if need - 1 in position and need - 1 < at),
                part.was,
            )
            for at, part in ((at, self.parts[at]) for at in free)
        ]
        best_split = split(parts, max(0, room), max(0, table))
        fates = tuple(
            fixed[at] if at in fixed else best_split.fates[position[at]] for at in range(len(self.parts))
        )
        return Split(fates, best_split.over_s)

    def _moved_s(self, fixed: dict[int, Where], where: Where) -> int:
        return sum(self.parts[at].seconds for at, place in fixed.items() if place == where)

    def outcome(self) -> SplitOutcome:
        """What the split comes to."""
        fates = self.best().fates
        seconds_in: Counter[Where] = Counter()
        for part, fate in zip(self.parts, fates, strict=True):
            seconds_in[fate] += part.seconds
        whole, table, total = seconds_in["whole group"], seconds_in["table"], seconds_in.total()
        # What was put somewhere beyond the room there is reaches nobody.
        heard = min(whole, self.whole_group_s) + min(table, self.table_s)
        return SplitOutcome(
            fates=fates,
            whole_s=whole,
            table_s=table,
            tables_s=table * self.tables,
            over_s=max(0, whole - self.whole_group_s),
            table_over_s=max(0, table - self.table_s),
            percent=round(100 * heard / total) if total else 0,
            lost_s=seconds_in["not taught"],
            orphans=_orphans(self.parts, fates),
        )


def staying(parts: Sequence[SheetPart], before: SplitSheet, fates: Sequence[Where]) -> tuple[SheetPart, ...]:
    """The parts, each knowing where the same one, by title and length, was, so that it may stay there."""
    where: dict[tuple[str, int], list[Where]] = {}
    for part, fate in zip(before.parts, fates, strict=False):
        where.setdefault((part.title, part.seconds), []).append(fate)
    return tuple(
        part.model_copy(update={"was": places.pop(0) if places else None})
        for part in parts
        for places in [where.get((part.title, part.seconds), [])]
    )


def _orphans(parts: tuple[SheetPart, ...], fates: tuple[Where, ...]) -> tuple[int, ...]:
    """Parts taught to a child who did not get what they need before: heard by all needs heard by all."""
    orphans = []
    for number, (part, fate) in enumerate(zip(parts, fates, strict=True), start=1):
        if fate == "not taught":
            continue
        enough = ("whole group",) if fate == "whole group" else ("whole group", "table")
        if any(fates[need - 1] not in enough for need in part.needs if 0 < need <= len(fates)):
            orphans.append(number)
    return tuple(orphans)
