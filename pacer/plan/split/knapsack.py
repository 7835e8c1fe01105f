"""The 0/1 knapsack with precedence: the most value that fits a room, each choice with what it needs.

Written here since a solver (HiGHS, 8 MB) finds any of several best selections: for the shortest and earliest
it must solve once more for each part, which for 40 parts takes three times as long and more.
"""

from bisect import bisect_right
from collections.abc import Iterator, Mapping
from typing import NamedTuple

FIRST_CASES = 60
MOST_CASES = 2_000  # kept side by side: beyond that the least promising are given up, so that it ends


class PackItem(NamedTuple):
    """One choice; ``needs`` are the positions of those without which it can't be chosen."""

    seconds: int
    value: int
    needs: frozenset[int]


class Selection(NamedTuple):
    """A selection. ``mask`` holds its items by order of position, the first as the highest bit."""

    value: int
    seconds: int
    mask: int

    @property
    def rank(self) -> tuple[int, int, int]:
        """Greater is better: more value, then shorter, then the earlier items."""
        return self.value, -self.seconds, self.mask


NOTHING = Selection(0, 0, 0)
# What may follow depends only on which later items are still possible: the key is their mask. For each of
# them and each value only the shortest selection counts.
Case = dict[int, Selection]


class Knapsack:
    """Items by position, each after what it needs. One that needs something that is no item is left out."""

    def __init__(self, items: Mapping[int, PackItem]) -> None:
        self._places: list[int] = []
        for at in sorted(items):
            if items[at].needs.issubset(self._places):
                self._places.append(at)
        self._items = [items[at] for at in self._places]
        count = len(self._items)
        self._bits = [1 << (count - 1 - n) for n in range(count)]
        # What can't be chosen any more once an item is passed over.
        self._closed_by = [0] * count
        for n in reversed(range(count)):
            for need in self._items[n].needs:
                self._closed_by[self._places.index(need)] |= self._bits[n] | self._closed_by[n]

    def best(self, room_s: int) -> tuple[int, ...]:
        """The positions of the best selection within so many seconds, in order."""
        selection, is_exact = self._search(room_s, NOTHING, FIRST_CASES)
        if not is_exact:
            selection = max(
                selection,
                self._search(room_s, selection, MOST_CASES)[0],
                key=lambda selection: selection.rank,
            )
        return tuple(at for at, bit in zip(self._places, self._bits, strict=True) if selection.mask & bit)

    def _search(self, room_s: int, least: Selection, most: int) -> tuple[Selection, bool]:
        """The best selection, and whether all cases could be followed. ``least``: one known already."""
        cases: dict[int, Case] = {(1 << len(self._items)) - 1: {0: NOTHING}}
        is_exact = True
        for n in range(len(self._items)):
            following: dict[int, Case] = {}
            for open_items, case in cases.items():
                for key, selection in self._extended(n, open_items, case, room_s):
                    best_of_value = following.setdefault(key, {})
                    if (
                        selection.value not in best_of_value
                        or selection.rank > best_of_value[selection.value].rank
                    ):
                        best_of_value[selection.value] = selection
            later = sorted(range(n + 1, len(self._items)), key=self._seconds_per_value)
            bounds = {key: self._pruned(key, case, later, room_s, least) for key, case in following.items()}
            keys = sorted((key for key in following if following[key]), key=lambda key: -bounds[key])
            is_exact = is_exact and len(keys) <= most
            cases = {key: following[key] for key in keys[:most]}
        ends = [selection for case in cases.values() for selection in case.values()]
        return max([least, *ends], key=lambda selection: selection.rank), is_exact

    def _seconds_per_value(self, n: int) -> float:
        """Seconds for one value."""
        return self._items[n].seconds / self._items[n].value

    def _extended(self, n: int, open_items: int, case: Case, room_s: int) -> Iterator[tuple[int, Selection]]:
        """Each selection of a case without the next item, and with it where it is possible and fits."""
        seconds, value, bit = self._items[n].seconds, self._items[n].value, self._bits[n]
        without = open_items & ~bit & ~self._closed_by[n]
        for selection in case.values():
            yield without, selection
            if open_items & bit and selection.seconds + seconds <= room_s:
                yield (
                    open_items & ~bit,
                    Selection(selection.value + value, selection.seconds + seconds, selection.mask | bit),
                )

    def _pruned(self, key: int, case: Case, later: list[int], room_s: int, least: Selection) -> float:
        """Take out of a case what can't become better than ``least``; the most value that may come of it.

        The bound cuts items at will and forgets what they need (Dantzig's bound for the knapsack).
        """
        values, seconds = [0], [0]
        for n in later:
            if key & self._bits[n]:
                values.append(values[-1] + self._items[n].value)
                seconds.append(seconds[-1] + self._items[n].seconds)
        most = 0.0
        shortest = room_s + 1
        for selection in sorted(case.values(), key=lambda selection: -selection.value):
            # One that is worth no more and takes no less than another of its case.
            if selection.seconds >= shortest or not self._may_win(selection, values, seconds, room_s, least):
                del case[selection.value]
                continue
            shortest = selection.seconds
            most = max(most, selection.value + _gain(values, seconds, room_s - selection.seconds))
        return most

    @staticmethod
    def _may_win(
        selection: Selection, values: list[int], seconds: list[int], room_s: int, least: Selection
    ) -> bool:
        equal_s = selection.seconds + _shortest(values, seconds, least.value - selection.value)
        if equal_s <= min(room_s, least.seconds):
            return True
        return selection.seconds + _shortest(values, seconds, least.value + 1 - selection.value) <= room_s


def _shortest(values: list[int], seconds: list[int], wanted: int) -> float:
    """The least seconds in which so much more value can be had, items cut at will."""
    if wanted <= 0:
        return 0
    if wanted > values[-1]:
        return float("inf")
    at = bisect_right(values, wanted) - 1
    over = wanted - values[at]
    if not over:
        return seconds[at]
    part = over * (seconds[at + 1] - seconds[at])
    return seconds[at] + -(-part // (values[at + 1] - values[at]))


def _gain(values: list[int], seconds: list[int], room_s: int) -> float:
    """The most value that so many more seconds can bring, items cut at will."""
    at = bisect_right(seconds, room_s) - 1
    if at + 1 == len(values):
        return values[at]
    return values[at] + (room_s - seconds[at]) * (values[at + 1] - values[at]) / (
        seconds[at + 1] - seconds[at]
    )
