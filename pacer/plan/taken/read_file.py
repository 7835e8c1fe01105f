"""Reads what a teacher has in a file as text: by what is in it, and where that says nothing by its name."""

from collections.abc import Callable
from datetime import UTC, tzinfo
from pathlib import Path

from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.file.attachments import ENDINGS as SHOWN_ENDINGS
from pacer.plan.taken.archive import opened
from pacer.plan.taken.taken import MOST_BYTES, NotTakenError, Taken, locked
from pacer.text import _

# What the page offers when it asks for a file.
ENDINGS = (".txt", ".md", ".docx", ".odt", ".rtf", ".html", ".htm", ".xlsx", ".ods", ".csv", ".tsv", ".ics",
           ".pdf")  # fmt: skip
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_PICTURES = (b"\x89PNG", b"\xff\xd8\xff", b"GIF8", b"BM", b"RIFF")
_TABLES = (".csv", ".tsv", ".tab")
_PAGES = (".html", ".htm", ".xhtml")
_BY_NAME = (*_TABLES, *_PAGES)
# Finds the text of a PDF's pages; it needs what lies above this package. Raises NotTakenError.
PdfText = Callable[[Path], Taken]


class PictureError(NotTakenError):
    """It is a picture: nothing is read from it, but it can be shown with a phase."""


def text_of(path: Path, zone: tzinfo = UTC, pdf_text: PdfText | None = None) -> Taken:
    """The text in a file. Raises NotTakenError, which says what to do next; PictureError for a picture.

    ``zone`` is the classroom's, for calendars; without ``pdf_text`` no PDF is read. Counts bound the work.
    """
    try:
        data = read_bounded(path, MOST_BYTES)
    except UnreadableFileError as error:
        raise NotTakenError(error.what, error.fix) from None
    return text_of_bytes(data, path, zone, pdf_text)


def text_of_bytes(data: bytes, path: Path, zone: tzinfo = UTC, pdf_text: PdfText | None = None) -> Taken:
    """The same of a file whose bytes are read already: a pipe gives them once. A PDF is read by its name."""
    if b"%PDF-" in data[:1024]:
        if pdf_text is None:
            raise NotTakenError(_("A PDF can't be read here."), _("Open it, copy its text and paste it."))
        return pdf_text(path)
    return text_in(data, path.name, zone)


def is_document(data: bytes, name: str) -> bool:
    """Whether a file is anything else than text as it is typed, by its bytes or its name."""
    head = data[:1024].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    return (
        data.startswith((b"PK", _OLE, *_PICTURES))
        or head.startswith((b"{\\rtf", b"begin:vcalendar", b"<!doctype html", b"<html", b"%pdf-"))
        or Path(name).suffix.lower() in _BY_NAME
    )


def text_in(data: bytes, name: str, zone: tzinfo = UTC) -> Taken:
    """The same from a file's bytes and its name. Raises NotTakenError."""
    ending = Path(name).suffix.lower()
    head = data[:1000].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if data.startswith(b"PK"):
        return _of_archive(data)
    if data.startswith(_OLE):
        raise _of_old_office(data)
    if data.startswith(_PICTURES) and (ending in SHOWN_ENDINGS or not ending):
        raise PictureError(
            _("This is a picture, and what is written in a picture is not read."),
            _("It can be shown with a phase: drop it on the phase. Or type the lesson."),
        )
    if head.startswith(b"{\\rtf"):
        from pacer.plan.taken.rich_text import text_of_rtf

        return text_of_rtf(data)
    if head.startswith(b"begin:vcalendar"):
        from pacer.plan.taken.plain_files import text_of_calendar

        return text_of_calendar(data, zone)
    if ending in _PAGES or head.startswith((b"<!doctype html", b"<html")):
        from pacer.plan.taken.web_page import text_of_page

        return text_of_page(data)
    from pacer.plan.taken.plain_files import text_of_plain, text_of_table

    return text_of_table(data) if ending in _TABLES else text_of_plain(data)


def _of_archive(data: bytes) -> Taken:
    with opened(data, _("document")) as archive:
        names = set(archive.namelist())
    if "word/document.xml" in names:
        from pacer.plan.taken.word_file import text_of_word

        return text_of_word(data)
    if "xl/workbook.xml" in names:
        from pacer.plan.taken.workbook import text_of_workbook

        return text_of_workbook(data)
    if "content.xml" in names:
        from pacer.plan.taken.open_document import text_of_open_document

        return text_of_open_document(data)
    raise NotTakenError(
        _("This is a packed file, and no document that a lesson can be read from."),
        _("Unpack it and take the document in it, or paste its text."),
    )


def _of_old_office(data: bytes) -> NotTakenError:
    """What an old container of office files holds: a new document under lock, or an old one."""
    if "EncryptedPackage".encode("utf-16-le") in data:
        return locked()
    return NotTakenError(
        _("This is in the old form of office files (.doc, .xls, .ppt)."),
        _("Open it and save it in the new form (.docx, .xlsx), or paste its text."),
    )
