"""What is pasted or dropped: the files that it names, or its text with its lists and tables."""

from pathlib import Path

from PySide6.QtCore import QMimeData

from pacer.plan.file.attachments import ENDINGS as SHOWN_ENDINGS
from pacer.plan.taken.read_file import PictureError, text_in
from pacer.plan.taken.rich_text import text_of_rtf
from pacer.plan.taken.taken import MOST_SIGNS, NotTakenError, Taken, copy_one_lesson, taken
from pacer.plan.taken.web_page import MOST_HTML_BYTES
from pacer.text import _

_RTF = ("text/rtf", "application/rtf", "text/richtext")
# Only then do tags say more than the plain text beside them.
_TELLS_MORE = ("<table", "<li", "mso-list", "line-through", "<s>", "<strike", "<del")


def files_in(mime: QMimeData) -> list[Path]:
    """The files of this computer that are named."""
    return [Path(url.toLocalFile()) for url in mime.urls() if url.isLocalFile()] if mime.hasUrls() else []


def is_shown(file: Path) -> bool:
    """Whether a file is of a kind that can be shown with a phase."""
    return file.suffix.lower() in SHOWN_ENDINGS


def is_lesson(mime: QMimeData) -> bool:
    """Whether it is more than a word for a field: a file, a table, or several lines."""
    if files_in(mime):
        return True
    if mime.hasHtml() and "<table" in mime.html()[:MOST_HTML_BYTES].lower():
        return True
    return mime.hasText() and mime.text()[:MOST_SIGNS].strip().count("\n") >= 1


def taken_of(mime: QMimeData) -> Taken:
    """The text of what is pasted or dropped, no file. Raises NotTakenError."""
    plain = mime.text() if mime.hasText() else ""
    if len(plain) > MOST_SIGNS:
        what = _("That is {n} million signs of text.", n=f"{len(plain) / 1e6:.1f}")
        raise NotTakenError(what, copy_one_lesson())
    html = mime.html() if mime.hasHtml() else ""
    if html and any(sign in html[:MOST_HTML_BYTES].lower() for sign in _TELLS_MORE):
        return text_in(b"<html>" + html.encode("utf-8", "replace"), "clipboard.html")
    rtf = next((bytes(mime.data(name).data()) for name in _RTF if mime.hasFormat(name)), b"")
    if rtf and not plain.count("\t"):
        return text_of_rtf(rtf)
    if not plain.strip() and mime.hasImage():
        raise PictureError(
            _("This is a picture, and what is written in a picture is not read."),
            _("Save it as a file and drop that on its phase, or type the lesson."),
        )
    return taken([("", plain or html)])
