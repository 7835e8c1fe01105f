"""Reads rows out of the pages of a SQLite file, one page at a time, so that damage costs what it touches.

SQLite itself finds a page by its parents: one byte among those hides all below it. The layout is that of
"Database File Format" (sqlite.org/fileformat2.html): b-tree pages, cells, records, overflow, write-ahead log.
What is read here may be damaged or hostile: every number is looked at before it is used.
"""

import mmap
import struct
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

SqlValue = int | float | str | bytes | None
_TABLE, _INDEX, _INDEX_INSIDE = 0x0D, 0x0A, 0x02  # leaves of tables and indexes, and indexes above leaves
USUAL_PAGE, _LEAST_PAGE, _MOST_PAGE = 4096, 512, 65_536
PAGE_SIZES = (USUAL_PAGE, 512, 1024, 2048, 8192, 16_384, 32_768, 65_536)
_HEAD, _MOST_RESERVED, _OVERFLOW_A_BYTE = 100, 32, 8
_MOST_RECORD = 16 * 2**20
_MOST_COLUMNS = 24  # more than any table of ours has
_OF_NO_CELL = 32  # bytes that a place counts for at which nothing can be read
_LOG_HEAD, _FRAME_HEAD = 32, 24
_INTEGER_SIZES = {1: 1, 2: 2, 3: 3, 4: 4, 5: 6, 6: 8}


class _BrokenError(ValueError):
    """What stands here is no cell or record."""


@dataclass(frozen=True)
class StoredRow:
    """A row as it lies on a page; ``rowid`` is None in an index or a table without row ids."""

    rowid: int | None
    values: tuple[SqlValue, ...]


class FilePages:
    """The pages of a file, with what its write-ahead log has of them. A context: the file is mapped.

    ``size`` is that of a page; without it the file says it, and how much of each page is not SQLite's own.
    """

    def __init__(self, path: Path, size: int = 0) -> None:
        self._file = path.open("rb") if path.is_file() else None
        self._bytes: mmap.mmap | bytes = b""
        if self._file is not None and path.stat().st_size:
            self._bytes = mmap.mmap(self._file.fileno(), 0, access=mmap.ACCESS_READ)
        self.size = size or _page_size(self._bytes)
        reserved = self._bytes[20] if not size and len(self._bytes) > _HEAD else 0
        self._usable = self.size - min(reserved, _MOST_RESERVED)
        self._least = (self._usable - 12) * 32 // 255 - 23  # of a record that goes on elsewhere
        # What nearly every file has; anything else may be damage to those very numbers.
        self.is_usual = self._usable == USUAL_PAGE
        self.farthest = 0  # where on the page read last a cell was found
        # A hostile file may name one long record a thousand times.
        self._overflow_left = _OVERFLOW_A_BYTE * len(self._bytes)
        self._logged = _logged_pages(Path(f"{path}-wal"), self.size)

    def __enter__(self) -> "FilePages":
        return self

    def __exit__(self, *_error: object) -> None:
        if isinstance(self._bytes, mmap.mmap):
            self._bytes.close()
        if self._file is not None:
            self._file.close()

    def pages(self) -> Iterator[Sequence[Iterator[StoredRow]]]:
        """For each page in use the ways to read it: as it says to be first, then as what it may have been."""
        free = self._free()
        for number in range(1, self._count() + 1):
            if number in free:
                continue
            page, start = self._page(number), 100 if number == 1 else 0
            stated = page[start : start + 1]
            kinds = sorted((_TABLE, _INDEX, _INDEX_INSIDE), key=lambda kind: bytes([kind]) != stated)
            yield [self._rows(page, start, kind) for kind in kinds]

    def _count(self) -> int:
        return max(-(-len(self._bytes) // self.size), *self._logged, 0)

    def _page(self, number: int) -> bytes:
        logged = self._logged.get(number)
        return self._bytes[(number - 1) * self.size : number * self.size] if logged is None else logged

    def _free(self) -> set[int]:
        """Pages that hold only what was deleted, as far as their list can be followed."""
        free: set[int] = set()
        trunk = _number(self._page(1), 32)
        while 1 < trunk <= self._count() and trunk not in free:
            page = self._page(trunk)
            count = _number(page, 4)
            if count > self._usable // 4 - 2:
                break
            free.add(trunk)
            free.update(_number(page, 8 + 4 * place) for place in range(count))
            trunk = _number(page, 0)
        return free

    def _rows(self, page: bytes, start: int, kind: int) -> Iterator[StoredRow]:
        """The cells of a page that can be read, in their order."""
        self.farthest = 0
        count = int.from_bytes(page[start + 3 : start + 5], "big")
        first = start + (12 if kind == _INDEX_INSIDE else 8)
        count = max(0, min(count, (len(page) - first) // 2))
        left = 2 * len(page)
        # Cells lie beside each other: what names more of them than a page holds is no list of cells.
        for at in dict.fromkeys(struct.unpack_from(f">{count}H", page, first) if count else ()):
            try:
                cell, local = self._cell(page, at, kind)
            except _BrokenError:
                left -= _OF_NO_CELL
            else:
                left -= local
                self.farthest = max(self.farthest, at)
                yield cell
            if left < 0:
                return

    def _cell(self, page: bytes, at: int, kind: int) -> tuple[StoredRow, int]:
        """A cell, and how many bytes of its own page it has at least."""
        if kind == _INDEX_INSIDE:
            at += 4
        length, at = _varint(page, at)
        rowid = None
        if kind == _TABLE:
            rowid, at = _varint(page, at)
            rowid = rowid - 2**64 if rowid >= 2**63 else rowid
        row = StoredRow(rowid, _record(self._payload(page, at, length, kind)))
        return row, min(length, self._least)

    def _payload(self, page: bytes, at: int, length: int, kind: int) -> bytes:
        """A record, the part on overflow pages included."""
        most = self._usable - 35 if kind == _TABLE else (self._usable - 12) * 64 // 255 - 23
        if length <= most:
            return _cut(page, at, length)
        here = self._least + (length - self._least) % (self._usable - 4)
        here = here if here <= most else self._least
        if length > _MOST_RECORD:
            raise _BrokenError
        parts, left = [_cut(page, at, here)], length - here
        follows = _number(page, at + here)
        while left > 0:
            if not 1 < follows <= self._count() or self._overflow_left < 0:
                raise _BrokenError
            # What is read counts, not what a damaged cell says: else one takes the others' share.
            self._overflow_left -= self._usable
            over = self._page(follows)
            parts.append(_cut(over, 4, min(left, self._usable - 4)))
            left -= len(parts[-1])
            follows = _number(over, 0)
        return b"".join(parts)


def _page_size(data: "mmap.mmap | bytes") -> int:
    """The size of a page as the file says it, or the usual one where that can't be."""
    stated = int.from_bytes(data[16:18], "big")
    size = 65_536 if stated == 1 else stated
    fits = _LEAST_PAGE <= size <= _MOST_PAGE and size & (size - 1) == 0 and len(data) % size == 0
    return size if fits else USUAL_PAGE


def _logged_pages(log: Path, size: int) -> dict[int, bytes]:
    """The pages in a write-ahead log, up to the last transaction that was finished."""
    try:
        data = log.read_bytes()
    except OSError:
        return {}
    salts = data[16:24]
    finished: dict[int, bytes] = {}
    open_pages: dict[int, bytes] = {}
    for at in range(_LOG_HEAD, len(data) - size - _FRAME_HEAD + 1, size + _FRAME_HEAD):
        number, pages_after = struct.unpack_from(">II", data, at)
        if data[at + 8 : at + 16] != salts or not number:
            break  # left over from an earlier round of the log
        open_pages[number] = data[at + _FRAME_HEAD : at + _FRAME_HEAD + size]
        if pages_after:
            finished |= open_pages
            open_pages = {}
    return finished


def _record(data: bytes) -> tuple[SqlValue, ...]:
    head, at = _varint(data, 0)
    if not at <= head <= len(data):
        raise _BrokenError
    kinds, value_at = [], head
    while at < head:
        kind, at = _varint(data, at)
        kinds.append(kind)
        if len(kinds) > _MOST_COLUMNS:
            raise _BrokenError
    values = []
    for kind in kinds:
        size = _size(kind)
        values.append(_value(kind, _cut(data, value_at, size)))
        value_at += size
    if at != head or value_at != len(data):
        raise _BrokenError
    return tuple(values)


def _size(kind: int) -> int:
    if kind >= 12:
        return (kind - 12) // 2
    return _INTEGER_SIZES.get(kind, 8 if kind == 7 else 0)


def _value(kind: int, data: bytes) -> SqlValue:
    if kind in _INTEGER_SIZES:
        return int.from_bytes(data, "big", signed=True)
    if kind >= 12:
        try:
            return data.decode("utf-8") if kind % 2 else data
        except UnicodeDecodeError:
            raise _BrokenError from None
    if kind == 7:
        return float(struct.unpack(">d", data)[0])
    if kind in (10, 11):
        raise _BrokenError
    return {8: 0, 9: 1}.get(kind)


def _varint(data: bytes, at: int) -> tuple[int, int]:
    """A number of one to nine bytes, and where the next thing stands."""
    number = 0
    for count, byte in enumerate(data[at : at + 9]):
        if count == 8:
            return number << 8 | byte, at + 9
        number = number << 7 | byte & 0x7F
        if byte < 0x80:
            return number, at + count + 1
    raise _BrokenError


def _cut(data: bytes, at: int, length: int) -> bytes:
    part = data[at : at + length]
    if len(part) != length:
        raise _BrokenError
    return part


def _number(data: bytes, at: int) -> int:
    return int.from_bytes(data[at : at + 4], "big")
