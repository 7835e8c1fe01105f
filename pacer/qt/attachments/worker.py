"""Looks into attached pictures and PDFs and draws them, in a process of its own that may be ended any time.

A process, not a thread: drawing a PDF's page holds Python's lock, so the Wall would stand still; a
page may take minutes, and a thread in it can't be ended; and a broken file that stops the reader must
not stop the lesson. `attachment_process.py` is the other end.
"""

import contextlib
import faulthandler
import io
import json
import os
import re
import signal
import stat
import struct
import time
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QSize, QSizeF, Qt
from PySide6.QtGui import QColorConstants, QImage, QImageIOHandler, QImageReader, QPainter

from pacer.plan.bounded_file import UnreadableFileError
from pacer.plan.file.attachments import (
    LOOK_S,
    MOST_BYTES,
    MOST_PAGES,
    MOST_PIXELS,
    MOST_TEXT_PAGES,
    attached_file,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

    from PySide6.QtPdf import QPdfDocument

MOST_SIDE = 8192  # no screen has more pixels on a side, and a page of any size is drawn to fit
_SIGNS = {b"\x89PNG": b"png", b"\xff\xd8\xff": b"jpeg", b"GIF8": b"gif", b"BM": b"bmp", b"RIFF": b"webp"}
_BYTES_A_PIXEL = 4
_JPEG_MARK = re.compile(rb"\xff+([^\x00\xff\xd0-\xd7])")
USUAL_START_S = 0.6  # of the processor, until Qt is loaded: half as much again as on a computer of today
MOST_TEXT = 400_000
MOST_DRAWN = 12_000_000  # pixels of an answer: a page is held twice while it is drawn
MOST_MEMORY = 240 * 1024 * 1024  # of data; with what Qt maps of its own files the process stays below 300 MiB


class FaultError(Exception):
    """What is wrong inside a file: a code of ``inside_words``, and what it counts."""

    def __init__(self, code: str, figure: int = 0) -> None:
        super().__init__(code, figure)
        self.code, self.figure = code, figure


def read_file(path: Path) -> bytes:
    """The bytes of an ordinary file. Raises FaultError. A pipe or a device is not waited for."""
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        with open(handle, "rb") as file:  # noqa: PTH123 - opened above, without waiting
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                raise FaultError("unreadable")
            data = file.read(MOST_BYTES + 1)
    except (OSError, ValueError):
        raise FaultError("unreadable") from None
    if len(data) > MOST_BYTES:
        raise FaultError("unreadable")
    return data


def draw(path: Path, page: int, box: QSize) -> tuple[QImage, int]:
    """A picture, or a PDF's page counted from 1, as large as fits the box; and how many pages there are.

    A picture has no pages: 0. Of a moving picture the first frame is drawn. Raises FaultError.
    """
    data = read_file(path)
    if path.suffix.lower() == ".pdf":
        return draw_pdf(data, page, box)
    return draw_picture(data, box), 0


def draw_picture(data: bytes, box: QSize) -> QImage:
    """A picture's first frame, the way up that its camera noted. Raises FaultError."""
    kind = next((kind for sign, kind in _SIGNS.items() if data.startswith(sign)), None)
    if kind is None or (kind == b"webp" and data[8:12] != b"WEBP"):
        raise FaultError("not-a-picture")
    if (kind == b"jpeg" and _jpeg_is_cut(data)) or (kind == b"bmp" and _bmp_is_cut(data)):
        raise FaultError("broken-picture")  # Qt would show what there is, and grey below
    device = _device(data)
    reader = QImageReader(device, QByteArray(kind))
    reader.setAutoDetectImageFormat(False)
    reader.setAutoTransform(True)
    size = reader.size()
    if size.isEmpty():
        raise FaultError("broken-picture")
    # A JPEG, as large cameras write them, is made smaller while it is unpacked.
    if size.width() * size.height() > MOST_PIXELS * (2 if kind == b"jpeg" else 1):
        raise FaultError("too-many-pixels", size.width() * size.height())
    turned = reader.transformation() & QImageIOHandler.Transformation.TransformationRotate90
    reader.setScaledSize(_fit(QSizeF(size), box.transposed() if turned else box))
    image = reader.read()
    if image.isNull():
        # Where there was no room for it, nothing says that it is broken.
        is_large = 2 * _BYTES_A_PIXEL * size.width() * size.height() > MOST_MEMORY
        raise FaultError("too-much" if is_large else "broken-picture")
    formats = QImage.Format
    return image.convertToFormat(
        formats.Format_ARGB32_Premultiplied if image.hasAlphaChannel() else formats.Format_RGB32
    )


@contextlib.contextmanager
def _opened_pdf(data: bytes) -> "Iterator[QPdfDocument]":
    """A PDF that is whole and not too long. Raises FaultError."""
    from PySide6.QtPdf import QPdfDocument

    if b"%PDF-" not in data[:1024]:
        raise FaultError("not-a-pdf")
    if b"%%EOF" not in data:
        raise FaultError("broken-pdf")
    device = _device(data)
    document = QPdfDocument()
    try:
        document.load(device)
        errors = QPdfDocument.Error
        if document.error() in (errors.IncorrectPassword, errors.UnsupportedSecurityScheme):
            raise FaultError("locked-pdf")
        if document.error() is not errors.None_ or document.pageCount() < 1:
            raise FaultError("broken-pdf")  # one without pages is refused by the library, too
        if document.pageCount() > MOST_PAGES:
            raise FaultError("too-many-pages", document.pageCount())
        yield document
    finally:
        document.close()


def pdf_text(data: bytes) -> tuple[str, int]:
    """The text of the first pages, and how many pages there are. Raises FaultError."""
    with _opened_pdf(data) as document:
        pages = document.pageCount()
        texts: list[str] = []
        for page in range(min(pages, MOST_TEXT_PAGES)):
            texts.append(document.getAllText(page).text())
            if sum(map(len, texts)) > MOST_TEXT:
                break
        return "\n".join(texts)[:MOST_TEXT], pages


def draw_pdf(data: bytes, page: int, box: QSize) -> tuple[QImage, int]:
    """A page on white paper, and the number of pages; an empty box gets no page. Raises FaultError."""
    from PySide6.QtPdf import QPdfDocumentRenderOptions

    with _opened_pdf(data) as document:
        pages = document.pageCount()
        if box.isEmpty():
            return QImage(), pages
        if page > pages:
            raise FaultError("no-such-page", pages)
        size = document.pagePointSize(page - 1)
        if size.isEmpty():
            raise FaultError("broken-pdf")
        options = QPdfDocumentRenderOptions()
        options.setRenderFlags(QPdfDocumentRenderOptions.RenderFlag.Annotations)
        drawn = document.render(page - 1, _fit(size, box), options)
    if drawn.isNull():
        raise FaultError("broken-pdf")
    return _on_white(drawn), pages


def _device(data: bytes) -> QBuffer:
    device = QBuffer()
    device.setData(QByteArray(data))
    device.open(QIODevice.OpenModeFlag.ReadOnly)
    return device


def _fit(size: QSizeF, box: QSize) -> QSize:
    """The largest size of these proportions in the box, at least a pixel each way."""
    fitted = size.scaled(QSizeF(box), Qt.AspectRatioMode.KeepAspectRatio).toSize()
    return fitted.expandedTo(QSize(1, 1)).boundedTo(box)


def _on_white(drawn: QImage) -> QImage:
    paper = QImage(drawn.size(), QImage.Format.Format_RGB32)
    paper.fill(QColorConstants.White)
    with QPainter(paper) as painter:
        painter.drawImage(0, 0, drawn)
    return paper


def _jpeg_is_cut(data: bytes) -> bool:
    """Whether no end mark follows the last piece: a walk over the marks, each with its length."""
    at = 2
    while match := _JPEG_MARK.search(data, at):
        mark, at = match[1][0], match.end()
        if mark == 0xD9:
            return False
        if mark != 0x01 and at + 2 <= len(data):
            at += int.from_bytes(data[at : at + 2], "big")
    return True


def _bmp_is_cut(data: bytes) -> bool:
    """Whether there are fewer rows than the head claims; of a packed one nothing can be said."""
    if len(data) < 54:
        return True
    begin, _head, width, height, _planes, depth, packing = struct.unpack_from("<IIiiHHI", data, 10)
    if packing not in (0, 3) or _head < 40:
        return False
    row = (abs(width) * depth + 31) // 32 * 4
    return begin + row * abs(height) > len(data)


def answer_to(request: dict[str, Any]) -> tuple[dict[str, object], QImage]:
    """The head of an answer, and the picture where one was asked for."""
    box = QSize(min(int(request["width"]), MOST_SIDE), min(int(request["height"]), MOST_SIDE))
    if box.width() * box.height() > MOST_DRAWN:
        box *= (MOST_DRAWN / (box.width() * box.height())) ** 0.5
    answer: dict[str, object] = {"number": request["number"]}
    try:
        if request.get("text"):
            text, pages = pdf_text(read_file(Path(request["path"])))
            return answer | {"text": text, "pages": pages}, QImage()
        attach = request.get("attach")
        path = Path(request["path"]) if attach is None else attached_file(request["folder"], attach)
        image, pages = draw(path, int(request["page"]), box)
    except FaultError as fault:
        return answer | {"code": fault.code, "figure": fault.figure}, QImage()
    except UnreadableFileError:
        return answer | {"code": "unreadable"}, QImage()
    if not request["pixels"]:
        image = QImage()
    size = {"width": image.width(), "height": image.height(), "alpha": image.hasAlphaChannel()}
    return answer | {"pages": pages} | size, image


def _end_after(cpu_s: float) -> None:
    """End this process, whatever it is in, once it has spent so much more of the processor's time; 0: never.

    The kernel does it, as no thread of Python's runs while a page is drawn. Where it can't, the clock does.
    """
    with contextlib.suppress(AttributeError):
        signal.setitimer(signal.ITIMER_PROF, cpu_s)


def serve(requests: IO[bytes], answers: IO[bytes]) -> None:
    """Answer requests, a line of JSON each, until there are no more: a line of JSON, then the pixels."""
    # On a slow computer an ordinary page costs more, and so did the start of this process.
    slowness = max(1.0, time.process_time() / USUAL_START_S)
    _send(answers, {"number": 0})
    with open(os.devnull, "w") as nowhere:  # noqa: PTH123 - a device, not a file
        for line in requests:
            # Ends this process, whatever it is in, should nobody be left to end it.
            faulthandler.dump_traceback_later(LOOK_S + 5, exit=True, file=nowhere)
            request = json.loads(line)
            _end_after(request.get("cpu_s", 0) * slowness)
            head, image = answer_to(request)
            _end_after(0)
            _send(answers, head, image)
            faulthandler.cancel_dump_traceback_later()


def _send(answers: IO[bytes], head: dict[str, object], image: QImage | None = None) -> None:
    answers.write(json.dumps(head).encode() + b"\n")
    if image is not None and not image.isNull():
        answers.write(image.constBits())
    answers.flush()


def main() -> None:
    """What the process runs. Drawing gives way to the lesson, and memory has a bound where one can be set."""
    with contextlib.suppress(AttributeError, OSError):
        os.nice(5)
    with contextlib.suppress(AttributeError):
        signal.signal(signal.SIGPROF, signal.SIG_DFL)  # whoever starts this may have it ignored
    with contextlib.suppress(ImportError, OSError, ValueError):
        import resource

        # Not of the addresses: the PDF library takes many of those that it never uses.
        resource.setrlimit(resource.RLIMIT_DATA, (MOST_MEMORY, MOST_MEMORY))
    # What libraries print must not get between the answers.
    answers = os.fdopen(os.dup(1), "wb", buffering=io.DEFAULT_BUFFER_SIZE)
    os.dup2(2, 1)
    with os.fdopen(0, "rb", closefd=False) as requests, answers:
        serve(requests, answers)
