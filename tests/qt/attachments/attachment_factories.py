"""Attachments made at run time for the tests: invented pictures and PDFs, whole, broken and hostile."""

import struct
import zlib
from pathlib import Path

from PySide6.QtCore import QMarginsF, QSizeF
from PySide6.QtGui import QColor, QImage, QPageSize, QPainter, QPdfWriter

RED, BLUE = QColor(200, 20, 20), QColor(20, 20, 200)
# One red pixel, then one blue: a moving picture of two frames, 0.1 s each, written by hand.
GIF = bytes.fromhex(
    "47494638396101000100800000ff00000000ff" + "21f904000a000000" + "2c000000000100010000" + "02024401" + "00"
    + "21f904000a000000" + "2c000000000100010000" + "02024c01" + "00" + "3b"
)  # fmt: skip


def picture(width: int = 300, height: int = 200) -> QImage:
    """Red above, blue below, and stripes, so that much of the file is needed."""
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(BLUE)
    painter = QPainter(image)
    painter.fillRect(0, 0, width, height // 2, RED)
    for stripe in range(0, width, 7):
        painter.fillRect(stripe, height // 3, 2, height // 3, QColor.fromHsv(stripe % 360, 200, 200))
    painter.end()
    return image


def save(path: Path, image: QImage | None = None) -> Path:
    assert (image or picture()).save(str(path)), path
    return path


def pdf(path: Path, pages: int = 3, width_in: float = 8, height_in: float = 6) -> Path:
    """A PDF whose page n has n dark squares in a row, and nothing else."""
    writer = QPdfWriter(str(path))
    writer.setPageSize(QPageSize(QSizeF(width_in, height_in), QPageSize.Unit.Inch))
    writer.setPageMargins(QMarginsF(0, 0, 0, 0))
    writer.setResolution(72)
    painter = QPainter(writer)
    for page in range(1, pages + 1):
        if page > 1:
            writer.newPage()
        for square in range(page % 10):
            painter.fillRect(20 + square * 60, 20, 40, 40, QColor("black"))
    painter.end()
    return path


def png_of_head(width: int, height: int, rows: bytes = b"") -> bytes:
    """A PNG whose head claims a size, whatever its rows hold."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def one_colour_png(side: int) -> bytes:
    """A valid grey PNG, a few hundred kB for a side of 20000, that unpacks to side × side bytes and more."""
    packer = zlib.compressobj(9)
    row = bytes(side + 1)
    rows = b"".join(packer.compress(row) for _row in range(side)) + packer.flush()
    return png_of_head(side, side, rows)


def _stream(head: bytes, body: bytes) -> bytes:
    return b"<< " + head + b" /Length %d >>\nstream\n" % len(body) + body + b"\nendstream"


def _pdf_of(objects: list[bytes], trailer: bytes = b"") -> bytes:
    out, places = b"%PDF-1.4\n", []
    for number, written in enumerate(objects, start=1):
        places.append(len(out))
        out += b"%d 0 obj\n" % number + written + b"\nendobj\n"
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    count = len(objects) + 1
    return (
        out + b"xref\n0 %d\n0000000000 65535 f \n" % count + table
        + b"trailer\n<< /Size %d /Root 1 0 R %b >>\nstartxref\n%d\n%%%%EOF\n" % (count, trailer, len(out))
    )  # fmt: skip


def slow_pdf(forms: int = 300) -> bytes:
    """A page of so many forms of 64 triangles, each blended by its lightness: a few kB of file, and a minute
    of the processor at 600 pixels a side. In little memory, or the bound of that would end it sooner.
    """
    resources = b" /Resources << /ExtGState << /L << /BM /Luminosity /ca 0.5 >> >> >>"
    return _pdf_of([
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 200 200] /Contents 4 0 R"
        b" /Resources << /XObject << /F 5 0 R >> >> >>",
        _stream(b"", b"/F Do\n" * forms),
        _stream(
            b"/Type /XObject /Subtype /Form /BBox [0 0 200 200]" + resources,
            b"/L gs\n" + b"0 0 m 200 200 l 100 30 l f\n" * 64,
        ),
    ])  # fmt: skip


def endless_pdf() -> bytes:
    """A PDF whose list of pages names itself."""
    return _pdf_of(
        [
            b"<< /Type /Catalog /Pages 2 0 R >>",
            b"<< /Type /Pages /Kids [2 0 R] /Count 1 >>",
            b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 200 100] >>",
        ]
    )


def pdf_without_pages() -> bytes:
    return _pdf_of([b"<< /Type /Catalog /Pages 2 0 R >>", b"<< /Type /Pages /Kids [] /Count 0 >>"])


def locked_pdf() -> bytes:
    """The standard security handler with a user's password that nobody knows (made-up O and U entries)."""
    encrypt = (
        b"<< /Filter /Standard /V 1 /R 2 /P -4 /O <"
        + b"41" * 32
        + b"> /U <"
        + b"42" * 32
        + b"> /Length 40 >>"
    )
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 200 200] >>",
        encrypt,
    ]
    return _pdf_of(objects, b"/Encrypt 4 0 R /ID [<00112233445566778899aabbccddeeff> <00>]")


def turned_jpeg(path: Path) -> Path:
    """A JPEG of 300 × 200 whose note says that the camera was held upright (EXIF orientation 6)."""
    data = save(path).read_bytes()
    exif = b"Exif\0\0MM\0*\0\0\0\x08" + struct.pack(">HHHIHHI", 1, 0x0112, 3, 1, 6, 0, 0)
    path.write_bytes(data[:2] + b"\xff\xe1" + struct.pack(">H", len(exif) + 2) + exif + data[2:])
    return path
