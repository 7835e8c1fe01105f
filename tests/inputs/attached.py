"""Damaged pictures and PDFs through the process that opens them: drawn or refused, within bounds."""

import random
import resource
import struct
import tempfile
import zlib
from collections.abc import Callable
from functools import cache
from pathlib import Path

from pacer.plan.file.attachments import inside_words
from pacer.plan.problems import WhatAndFix
from tests.faults.slices import Work
from tests.faults.tally import Row
from tests.inputs.minimise import shown
from tests.inputs.mutate import mutated
from tests.inputs.reader import must_be_plain
from tests.inputs.watched import NotPlainError

KIND = "attachments (in their process)"
CPU_S, MOST_MIB = 1.0, 300


def _png(wide: int, high: int, data: bytes, depth: int = 8, colour: int = 2) -> bytes:
    def piece(name: bytes, of: bytes) -> bytes:
        return struct.pack(">I", len(of)) + name + of + struct.pack(">I", zlib.crc32(name + of))

    head = struct.pack(">IIBBBBB", wide, high, depth, colour, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + piece(b"IHDR", head)
        + piece(b"IDAT", zlib.compress(data))
        + piece(b"IEND", b"")
    )


def _bmp(wide: int, high: int, rows: bytes) -> bytes:
    head = struct.pack("<IiiHHIIiiII", 40, wide, high, 1, 24, 0, len(rows), 2835, 2835, 0, 0)
    return b"BM" + struct.pack("<IHHI", 54 + len(rows), 0, 0, 54) + head + rows


def _pdf(content: bytes, box: bytes = b"0 0 200 100", kids: bytes = b"3 0 R", count: int = 1) -> bytes:
    parts = (
        b"<</Type/Catalog/Pages 2 0 R>>", b"<</Type/Pages/Kids[%b]/Count %d>>" % (kids, count),
        b"<</Type/Page/Parent 2 0 R/MediaBox[%b]/Contents 4 0 R>>" % box,
        b"<</Length %d>>stream\n%b\nendstream" % (len(content), content),
    )  # fmt: skip
    data, places = b"%PDF-1.4\n", []
    for number, part in enumerate(parts, start=1):
        places.append(len(data))
        data += b"%d 0 obj%b\nendobj\n" % (number, part)
    table = b"xref\n0 5\n0000000000 65535 f \n" + b"".join(b"%010d 00000 n \n" % place for place in places)
    return data + table + b"trailer<</Size 5/Root 1 0 R>>\nstartxref\n%d\n%%%%EOF\n" % len(data)


@cache
def seeds() -> dict[str, tuple[bytes, ...]]:
    """Small files of each kind, and some that claim to be huge."""
    gif = b"GIF89a\x02\0\x02\0\x80\0\0\xff\xff\xff\0\0\0,\0\0\0\0\x02\0\x02\0\0\x02\x03D\x02\x05\0;"
    return {
        ".png": (_png(4, 4, b"\0" * 52), _png(7999, 7999, b"\0" * 9000), _png(8000, 7999, b"\0" * 999, 16,
        6)),
        ".bmp": (_bmp(4, 4, b"\0" * 48), _bmp(30_000, 2000, b"")),
        ".gif": (gif, gif.replace(b"\x02\0\x02\0", b"\x40\x1f\x40\x1f")),
        ".pdf": (
            _pdf(b"0 0 50 50 re f"), _pdf(b"0 0 50 50 re f", b"0 0 1 14400"),
            _pdf(b"0 0 m 9 9 l S " * 20_000),
            _pdf(b"q " * 5000 + b"0 0 50 50 re f"), _pdf(b"0 0 9 9 re f", kids=b"2 0 R"),
        ),
    }  # fmt: skip


def work(seed: int, tries: int) -> Work:
    """Look into so many files."""

    def tried(numbers: range) -> Row:
        from pacer.qt.attachments.process import Looker

        row = Row(KIND)
        with tempfile.TemporaryDirectory(prefix="pacer-inputs-") as folder, Looker() as looker:
            for number in numbers:
                ending, data = _case(seed, number)
                file = Path(folder, f"a{ending}")
                file.write_bytes(data)
                # Every other PDF is asked for its text, as the verb read and the window of what is taken do.
                is_text = ending == ".pdf" and number // len(seeds()) % 2 == 1
                told = f"number {number}, {'text of ' if is_text else ''}{ending} {shown(data)}"
                _look(row, looker, file, told, is_text=is_text)
                if looker.blind:
                    row.left = "Qt can't be used here"
                    break
        return row

    return Work(KIND, tried, tries, 60)


def _case(seed: int, number: int) -> tuple[str, bytes]:
    """An ending, and what lies under it: the first are sound, or only claim to be huge."""
    chance = random.Random(f"{seed}/attached/{number}")
    ending, files = list(seeds().items())[number % len(seeds())]
    data = chance.choice(files)
    if number >= 3 * len(seeds()):
        data = mutated(chance, files, (b"\xff\xff\xff\x7f", b"\0\0\0\0", b"/Count 99999", b"9 0 R", b"IHDR"))
    return ending, data


def _look(row: Row, looker: Callable, file: Path, told: str, *, is_text: bool) -> None:  # type: ignore[type-arg]
    process = getattr(looker, "_process", None)
    before, ended_s = _spent(process), _ended_s()
    words = _words_of_text(looker, file) if is_text else looker(file, 1)
    row.add("tried")
    row.add("refused" if words else "read")
    after = _spent(getattr(looker, "_process", None))
    # What one that was given up had spent counts, too; to start a process is no file's cost.
    spent_s = max(_ended_s() - ended_s + after[0] - before[0], 0.0) if process is not None else 0.0
    row.cost(spent_s, after[1])
    if spent_s > CPU_S:
        row.miss("hang", f"{spent_s:.2f} s: {told}", file.read_bytes())
    if after[1] > MOST_MIB:
        row.miss("memory", f"{after[1]:.0f} MiB: {told}", file.read_bytes())
        looker.close()  # type: ignore[attr-defined]  # the peak would be taken for the next one's
    for sentence in words or ():
        try:
            must_be_plain(sentence)
        except NotPlainError as error:
            row.miss("not plain", f"{error}: {told}", file.read_bytes())


def _words_of_text(looker: Callable, file: Path) -> WhatAndFix | None:  # type: ignore[type-arg]
    answer = looker.text(file)  # type: ignore[attr-defined]
    return inside_words(answer.code, answer.figure) if answer is not None and answer.code else None


def _ended_s() -> float:
    """Seconds of the processor that processes which have ended had taken."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _spent(process: object) -> tuple[float, float]:
    """Seconds of the processor and the peak of memory in MiB of the process that draws."""
    import psutil

    inner = getattr(process, "_process", None)
    if inner is None:
        return 0.0, 0.0
    try:
        times = psutil.Process(inner.pid).cpu_times()
        status = Path(f"/proc/{inner.pid}/status").read_text()
    except (psutil.Error, OSError):
        return 0.0, 0.0
    peak = next(
        (int(line.split()[1]) / 1024 for line in status.splitlines() if line.startswith("VmHWM")), 0.0
    )
    return times.user + times.system, peak
