"""Which proposed budgets were accepted, where and when: written one by one; only a file's name changes."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from pacer.log.part import LAST_UTC_MS, RecordsPart, must_write

KIND_TABLE = "kinds"
"""The target of a budget that was accepted into the table of phase kinds; an outline's ends in .toml."""
_MOST_S = 24 * 3600


@dataclass(frozen=True)
class Accepted:
    """A budget accepted at a UTC time in milliseconds; ``old_s`` and ``new_s`` in seconds.

    ``target`` is the outline file's name, or ``KIND_TABLE`` where ``phase`` is empty. ``lessons`` lay behind
    the proposal then, and ``cut_off`` of their endings say only "at least so long".
    """

    id: int
    utc_ms: int
    target: str
    phase: str
    kind: str
    old_s: int
    new_s: int
    lessons: int
    cut_off: int

    @property
    def place(self) -> tuple[str, str]:
        """What the budget belongs to: the target, and its phase or kind."""
        return self.target, self.kind if self.target == KIND_TABLE else self.phase


class AcceptedBudgets(RecordsPart):
    """The accepted budgets of an open file of day records. Every method raises LogError and its kinds."""

    @contextmanager
    def together(self) -> Iterator[None]:
        """What is noted within is kept only if the rest of the block succeeds, too."""
        with self._writing():
            yield

    def add(
        self,
        *,
        utc_ms: int,
        target: str,
        phase: str,
        kind: str,
        old_s: int,
        new_s: int,
        lessons: int,
        cut_off: int,
    ) -> Accepted:
        """Note an acceptance; on disk when this returns, or at the end of the transaction it is called in."""
        must_write(self._records)
        values = (utc_ms, target, phase, kind, old_s, new_s, lessons, cut_off)
        query = (
            "INSERT INTO accepted_budget (utc_ms, target, phase, kind, old_s, new_s, lessons, cut_off) "
            "VALUES (?, ?, ?, ?, ?, ?, ?, ?) RETURNING id"
        )
        ((number,),) = self._rows(query, values)
        return Accepted(int(number), *values)

    def renamed(self, target: str, new: str) -> None:
        """An outline's file has another name: what was accepted into it goes along."""
        must_write(self._records)
        self._rows("UPDATE accepted_budget SET target = ? WHERE target = ?", (new, target))

    def all(self) -> list[Accepted]:
        """All of them in the order in which they were accepted. A damaged one must not hide the others."""
        query = (
            "SELECT id, utc_ms, target, phase, kind, old_s, new_s, lessons, cut_off "
            "FROM accepted_budget ORDER BY id"
        )
        return [Accepted(*row) for row in self._rows(query) if _is_sound(row)]


def _is_sound(row: tuple[object, ...]) -> bool:
    _id, utc_ms, target, phase, kind, *figures = row
    texts = all(isinstance(text, str) for text in (target, phase, kind))
    numbers = [figure for figure in (utc_ms, *figures) if type(figure) is int]
    if not texts or len(numbers) != 1 + len(figures):
        return False
    at, old_s, new_s, lessons, cut_off = numbers
    return (
        0 <= at < LAST_UTC_MS and 0 < old_s <= _MOST_S and 0 < new_s <= _MOST_S and min(lessons, cut_off) >= 0
    )
